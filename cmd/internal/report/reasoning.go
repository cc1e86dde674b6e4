package report

import (
	"math"
	"sort"
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
	"ohmtrail/solver/rank"
)

// mostExcluded is how many excluded places are accounted for one by one.
const mostExcluded = 7

// ruledOut is a place with its faults, none of which is likely any more.
type ruledOut struct {
	place       hypothesis.Place
	hardest     rank.Candidate // the likeliest of its faults: the hardest to exclude
	prior       float64
	probability float64
}

// reasoning accounts for the excluded places, those that were likeliest before any reading first.
func (w writer) reasoning() []paper.Block {
	if len(w.r.Taken) == 0 || w.f.standing == Forbidden {
		return nil
	}
	out := []paper.Block{paper.Heading{Text: say("head.reasoning")}}
	list, together := w.ruledOut()
	if len(list) == 0 {
		return append(out, paper.Paragraph{Text: say("reasoning.none")})
	}
	intro := say("reasoning.intro")
	if w.f.speaks() && w.f.lead.Whole().IsDouble() {
		intro = say("reasoning.alone") + " " + intro
	}
	out = append(out, paper.Paragraph{Text: intro, Small: true})
	var items []string
	for i, x := range list {
		if i == mostExcluded {
			items = append(items, counted2(len(list)-i, "reasoning.rest_one", "reasoning.rest", shellWord(w.j.File)))
			break
		}
		items = append(items, w.account(x))
	}
	out = append(out, paper.List{Items: items, Small: true})
	if len(together) > 0 {
		var names []string
		for i, x := range together {
			if i == mostExcluded {
				names = append(names, say("more", "n", strconv.Itoa(len(together)-i)))
				break
			}
			names = append(names, say("reasoning.place", "place", x.place.String(), "probability", percent(x.probability)))
		}
		key := "reasoning.together"
		if w.f.standing != Proven {
			key = "reasoning.open"
		}
		out = append(out, paper.Paragraph{Text: say(key, "list", listed(names))})
	}
	return out
}

func counted2(n int, one, many, file string) string {
	if n == 1 {
		return say(one, "file", file)
	}
	return say(many, "n", strconv.Itoa(n), "file", file)
}

// ruledOut parts the places beside the leading one into those whose every fault some reading speaks against, and those
// that are only unlikely.
func (w writer) ruledOut() (excluded, together []ruledOut) {
	index := map[hypothesis.Place]int{}
	var all []ruledOut
	open := map[hypothesis.Place]bool{} // some fault there has no reading against it
	for _, c := range w.r.Candidates {
		if c.Fault.Kind == circuits.Unlisted || c.Fault.Kind == circuits.Healthy || c.Whole().IsDouble() || w.f.speaks() && w.leads(c) {
			continue
		}
		i, there := index[c.Place()]
		if !there {
			i = len(all)
			index[c.Place()] = i
			all = append(all, ruledOut{place: c.Place(), hardest: c})
		}
		all[i].prior += c.Prior
		all[i].probability += c.Probability
		open[c.Place()] = open[c.Place()] || len(c.Against()) == 0
	}
	for _, x := range all {
		if open[x.place] {
			together = append(together, x)
		} else {
			excluded = append(excluded, x)
		}
	}
	sort.SliceStable(excluded, func(a, b int) bool { return excluded[a].prior > excluded[b].prior })
	sort.SliceStable(together, func(a, b int) bool { return together[a].probability > together[b].probability })
	return excluded, together
}

// leads tells whether a single fault is at a place of the finding.
func (w writer) leads(c rank.Candidate) bool {
	for _, s := range singles(w.f.fault) {
		if s.At == c.Fault.At && s.To == c.Fault.To {
			return true
		}
	}
	return c.Place() == w.f.place.Place
}

// strongest is the reading that speaks most against a candidate.
func strongest(c rank.Candidate) int {
	against := c.Against()
	best, most := against[0], -1.0
	for _, i := range against {
		gap := math.Abs(c.Gap[i])
		if math.IsNaN(gap) {
			gap = 1e3 * c.Misread[i] // no value where one was read
		}
		if gap > most {
			best, most = i, gap
		}
	}
	return best
}

// account says of one place which reading excludes its likeliest fault, and by how much.
func (w writer) account(x ruledOut) string {
	c := x.hardest
	i := strongest(c)
	r := w.j.Readings[w.r.Taken[i]]
	pairs := []string{"fault", c.Name(), "n", strconv.Itoa(w.r.Taken[i] + 1), "where", lead(r), "read", showed(r), "probability", percent(x.probability)}
	text := ""
	switch would := c.Predicts[i]; {
	case c.Over[i]:
		text = say("reasoning.over", pairs...)
	case math.IsNaN(would) && c.Why[i].Kind == network.NoReason:
		text = say("reasoning.unexplained", pairs...)
	case r.Pair && !math.IsNaN(would) && !math.IsNaN(c.High[i]):
		text = say("reasoning.pair", append(pairs, "predicted", pairWords(r, would, c.High[i]))...)
	case math.IsNaN(would):
		text = say("reasoning.never", append(pairs, "why", view.NoValue(c.Why[i]))...)
	case r.OL && !r.Pair:
		text = say("reasoning.ol", append(pairs, "predicted", value(r.Quantity, would))...)
	default:
		text = say("reasoning.value", append(pairs, "predicted", value(r.Quantity, would), "difference", value(r.Quantity, math.Abs(r.Value-would)), "spreads", spreads(c.Gap[i]))...)
	}
	var others []string
	for _, k := range c.Against() {
		if k != i {
			others = append(others, strconv.Itoa(w.r.Taken[k]+1))
		}
	}
	switch len(others) {
	case 0:
		return text
	case 1:
		return text + " " + say("reasoning.other", "list", others[0])
	}
	return text + " " + say("reasoning.others", "list", listed(others))
}

// pairWords are the two values that a fault predicts for a reading that moved.
func pairWords(r circuits.Reading, low, high float64) string {
	if math.IsNaN(high) || high == low {
		return value(r.Quantity, low)
	}
	return say("reasoning.moved", "low", value(r.Quantity, low), "high", value(r.Quantity, high))
}

// manySpreads is how many standard deviations are told apart from more: a meter's error is not known so far out.
const manySpreads = 100

// spreads is a gap in standard deviations, whole from ten on.
func spreads(gap float64) string {
	switch gap = math.Abs(gap); {
	case gap > manySpreads:
		return say("reasoning.many", "n", strconv.Itoa(manySpreads))
	case gap >= 9.95:
		return strconv.FormatFloat(gap, 'f', 0, 64)
	}
	return strconv.FormatFloat(gap, 'f', 1, 64)
}
