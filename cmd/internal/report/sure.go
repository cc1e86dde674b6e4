package report

import (
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
)

const mostListed = 6

// sure says how sure the finding is, what else would read alike, what does not fit and what was not tested.
func (w writer) sure() []paper.Block {
	if w.f.standing == Forbidden {
		return nil
	}
	var items []string
	switch {
	case w.f.speaks():
		items = append(items, w.probability()...)
	case len(w.r.Taken) > 0:
		items = append(items, w.left())
	}
	items = append(items, w.doubts()...)
	items = append(items, w.again()...)
	items = append(items, w.untested()...)
	if w.f.standing != Proven && w.f.standing != Forbidden {
		items = append(items, w.next()...)
	}
	if len(items) == 0 {
		return nil
	}
	return []paper.Block{paper.Heading{Text: say("head.sure")}, paper.List{Items: items}}
}

// probability is what the place and its group hold, and who shares the group.
func (w writer) probability() []string {
	group := w.r.Groups[w.f.group]
	text := say("sure.place", "place", w.f.place.Place.String(), "probability", percent(w.f.place.Probability), "group", percent(group.Probability))
	var shares []string
	more := 0
	for _, c := range group.Faults {
		switch {
		case c.Name() == w.f.lead.Name() || c.Fault.Kind == circuits.Healthy:
		case len(shares) == mostListed || c.Probability < 0.01*group.Probability && len(shares) > 0:
			more++
		default:
			shares = append(shares, say("sure.share", "fault", c.Name(), "probability", percent(c.Probability)))
		}
	}
	switch {
	case len(shares) == 0:
		text += " " + say("sure.alone")
	case more > 0:
		text += " " + say("sure.shares_rest", "list", strings.Join(shares, ", "), "n", strconv.Itoa(more))
	default:
		text += " " + say("sure.shares", "list", listed(shares))
	}
	unlisted := 0.0
	for _, c := range w.r.Candidates {
		if c.Fault.Kind == circuits.Unlisted {
			unlisted = c.Probability
		}
	}
	return []string{text + " " + say("sure.rest", "probability", percent(max(1-w.f.place.Probability, 0)), "unlisted", percent(unlisted))}
}

// left are the likeliest places where the report names no finding.
func (w writer) left() string {
	var list []string
	for i, p := range w.f.plan.Remaining {
		if i == mostListed {
			list = append(list, say("more", "n", strconv.Itoa(len(w.f.plan.Remaining)-i)))
			break
		}
		name := p.Place.String()
		switch p.Leading.First.Kind {
		case circuits.Healthy:
			name = say("sure.nothing_wrong")
		case circuits.Unlisted:
			name = say("sure.not_drawn")
		}
		list = append(list, say("reasoning.place", "place", name, "probability", percent(p.Probability)))
	}
	return say("sure.left", "list", listed(list))
}

// doubts are the readings that do not fit or count for nothing.
func (w writer) doubts() []string {
	var out []string
	var names []string
	for i, index := range w.r.Taken {
		if w.r.Misread[i] > 0.5 {
			names = append(names, say("sure.doubt", "reading", w.readingName(index), "probability", percent(w.r.Misread[i])))
		}
	}
	if len(names) > 0 {
		out = append(out, say("sure.misfit", "list", listed(names)))
	}
	if len(w.r.Refused) > 0 {
		out = append(out, say("sure.refused", "list", listed(w.readingNames(w.r.Refused))))
	}
	return out
}

// again are the readings that were taken more than once.
func (w writer) again() []string {
	var out []string
	first := map[string]int{}
	for i, r := range w.j.Readings {
		if !r.Taken {
			continue
		}
		key := circuits.ReadingKey(r)
		if k, there := first[key]; there {
			if len(out) < mostListed {
				out = append(out, say("sure.again", "n", strconv.Itoa(i+1), "first", strconv.Itoa(k+1), "before", showed(w.j.Readings[k]), "then", showed(r)))
			}
			continue
		}
		first[key] = i
	}
	return out
}

// untested are the planned readings that were not taken, and the faults that none of those taken would have shown.
func (w writer) untested() []string {
	var out []string
	var planned []int
	for i, r := range w.j.Readings {
		if !r.Taken {
			planned = append(planned, i)
		}
	}
	if len(planned) > 0 {
		if len(planned) > mostListed {
			planned = planned[:mostListed]
		}
		out = append(out, say("sure.untested", "list", listed(w.readingNames(planned))))
	}
	healthy, ok := w.r.Find(circuits.Fault{})
	if !ok || len(w.r.Taken) == 0 {
		return out
	}
	seen := map[hypothesis.Place]bool{}
	var names []string
	faults := 0
	for _, c := range w.r.Groups[w.r.GroupOf(healthy)].Faults {
		if c.Fault.Kind == circuits.Healthy || c.Name() == w.f.lead.Name() && w.f.speaks() {
			continue
		}
		faults++
		seen[c.Place()] = true
		if len(names) < 3 {
			names = append(names, c.Name())
		}
	}
	if faults > 0 {
		out = append(out, say("sure.unseen", "faults", counted(faults, "count.fault", "count.faults"), "places", counted(len(seen), "count.place", "count.places"), "list", listed(names)))
	}
	return out
}

// next is the reading that would tell most, with what each outcome would mean.
func (w writer) next() []string {
	if len(w.f.plan.Suggestions) == 0 {
		return []string{sentence(view.Reason(&w.r, w.f.plan)) + "."}
	}
	s := w.f.plan.Suggestions[0]
	var outcomes []string
	for i, b := range s.Outcomes {
		if i == 3 {
			break
		}
		var faults []string
		for _, f := range b.Faults[:min(2, len(b.Faults))] {
			faults = append(faults, f.String())
		}
		outcomes = append(outcomes, say("sure.outcome", "value", view.OutcomeRange(s.Reading.Quantity, b), "probability", percent(b.Probability), "faults", joined("or", faults)))
	}
	text := ""
	if len(outcomes) > 0 {
		text = strings.Join(outcomes, "; ") + "."
	}
	return []string{say("sure.next", "reading", where(w.j.Circuit, s.Reading), "minutes", number(s.Minutes), "outcomes", text)}
}
