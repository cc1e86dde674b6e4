package report

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
	"ohmtrail/solver/plan"
)

// verification is the check after the repair: each reading with its result, and what would catch a repair gone wrong.
func (w writer) verification() []paper.Block {
	if w.f.standing == Forbidden && len(w.v.Readings) == 0 && !w.v.Recorded {
		return nil
	}
	out := []paper.Block{paper.Heading{Text: say("head.verification")}}
	if len(w.v.Readings) == 0 {
		out = append(out, paper.Paragraph{Lead: say("first.not_verified_head") + ".", Text: say("after.none")})
	} else {
		rule := say("after.rule")
		if names := w.v.confirmingNames(); len(names) > 0 {
			rule += " " + say("after.confirming", "list", listed(names))
		}
		out = append(out, w.v.table(), paper.Paragraph{Text: rule, Small: true})
	}
	r := w.j.Repair
	codes := say("not_recorded")
	if r.CodesRead {
		codes = firstOf(clipped(strings.Join(r.CodesAfter, ", "), mostLetters), say("after.codes_none"))
	}
	out = append(out, paper.Paragraph{Lead: say("after.codes"), Text: codes + "."}, paper.Paragraph{Lead: say("after.retested"), Text: answered(r.Retested)})
	return append(out, w.v.proposal()...)
}

// table is the readings after the repair with their results.
func (v Verification) table() paper.Table {
	t := paper.Table{Small: true, Columns: []paper.Column{{Head: say("after.number")}, {Head: say("after.where")}, {Head: say("after.measured")},
		{Head: say("after.healthy")}, {Head: say("after.fault")}, {Head: say("after.result")}}}
	for i, c := range v.Readings {
		with := say("readings.excludes_none")
		if v.Fault != (circuits.Fault{}) {
			with = expected(c.Reading.Quantity, c.With)
		}
		place := where(v.j.Circuit, c.Reading)
		if c.Same >= 0 {
			place += " (" + say("after.same", "n", strconv.Itoa(c.Same+1)) + ")"
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: strconv.Itoa(i + 1)}, {Text: place}, {Text: showed(c.Reading), Bold: true},
			{Text: expected(c.Reading.Quantity, c.Accepted.Expectation)}, {Text: with}, {Text: c.result(), Bold: c.Judged() && !c.Passes}}})
	}
	return t
}

// result is what a reading after the repair comes to.
func (c Checked) result() string {
	switch {
	case !c.Reading.Taken:
		return say("after.planned")
	case c.Accepted.Why.Kind != network.NoReason:
		return say("after.unjudged", "why", view.NoValue(c.Accepted.Why))
	case c.Passes:
		return say("after.passes")
	}
	return say("after.fails")
}

// proposal is the shortest set of readings that would catch a repair gone wrong, and what it would catch.
func (v Verification) proposal() []paper.Block {
	if len(v.Slips) == 0 {
		return nil
	}
	var out []paper.Block
	head := say("after.propose")
	if len(v.Readings) > 0 {
		head = say("after.propose_more")
	}
	var items []string
	for _, c := range v.Propose {
		items = append(items, v.proposed(c))
	}
	if len(items) > 0 {
		out = append(out, paper.Paragraph{Lead: head, Text: say("after.set_minutes", "minutes", number(v.Minutes))}, paper.List{Items: items, Numbered: true})
	} else if len(v.Readings) > 0 {
		out = append(out, paper.Paragraph{Text: say("after.propose_none")})
	}
	if words := v.comesAndGoes(); words != "" {
		out = append(out, paper.Paragraph{Text: words, Small: true})
	}
	caught, missed := v.catches()
	var text []string
	if len(caught) > 0 {
		text = append(text, strings.Join(caught, "; ")+".")
	}
	if len(missed) > 0 {
		text = append(text, say("after.uncaught", "list", listed(missed)))
	}
	return append(out, paper.Paragraph{Lead: say("after.catches"), Text: strings.Join(text, " "), Small: true})
}

// rare is the share of the time for which a fault that comes and goes is supposed to be there, to say how many looks it
// takes.
const rare = 0.05

// comesAndGoes says what a good reading after the repair is worth where the fault came and went; "" where it did not.
func (v Verification) comesAndGoes() string {
	if !v.j.Intermittent {
		return ""
	}
	return say("after.intermittent", "looks", strconv.Itoa(plan.LooksFor(rare, confirming)))
}

// proposed is one reading to take after the repair, with what a healthy machine shows.
func (v Verification) proposed(c evidence.Check) string {
	return say("after.propose_reading", "reading", where(v.j.Circuit, c.Reading), "minutes", number(c.Minutes),
		"healthy", expected(c.Reading.Quantity, evidence.Expect(v.j, c.Reading, circuits.Fault{})))
}

// catches sums up by kind of slip how likely it would be shown, and names those that no reading shows with even odds.
func (v Verification) catches() (caught, missed []string) {
	low, high := map[string]float64{}, map[string]float64{}
	var order []string
	for i, s := range v.Slips {
		if v.Chance[i] < 0.5 {
			if len(missed) < mostListed {
				missed = append(missed, s.Fault.WithoutOhms().String())
			}
			continue
		}
		key := slipKey(s)
		if _, there := low[key]; !there {
			order = append(order, key)
			low[key], high[key] = math.Inf(1), 0
		}
		low[key], high[key] = min(low[key], v.Chance[i]), max(high[key], v.Chance[i])
	}
	sort.SliceStable(order, func(a, b int) bool { return low[order[a]] > low[order[b]] })
	for _, key := range order {
		if from, to := chance(low[key]), chance(high[key]); from == to {
			caught = append(caught, say("after.catch", "what", say(key), "chance", to))
		} else {
			caught = append(caught, say("after.catch_range", "what", say(key), "low", wholePercent(low[key]), "chance", to))
		}
	}
	return caught, missed
}

// chance is a chance of so many in a hundred; never all of them.
func chance(p float64) string { return say("after.chance", "n", wholePercent(p)) }

func wholePercent(p float64) string { return strconv.Itoa(min(int(math.Round(100*p)), 99)) }

// slipKey names the kind of a slip.
func slipKey(s hypothesis.Slip) string {
	switch s.Kind {
	case hypothesis.SlipStays:
		return "after.stays"
	case hypothesis.SlipSwapped:
		return "after.swapped"
	case hypothesis.SlipPart:
		return "after.part"
	case hypothesis.SlipNeighbour:
		if s.Fault.Kind == circuits.ShortBetween {
			return "after.neighbour_touch"
		}
		return "after.neighbour_open"
	}
	switch s.Fault.Kind {
	case circuits.Open:
		return "after.place_open"
	case circuits.ShortToGround:
		return "after.place_ground"
	case circuits.ShortToVoltage:
		return "after.place_voltage"
	}
	return "after.place_high"
}
