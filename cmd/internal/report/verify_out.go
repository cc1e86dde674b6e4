package report

import (
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// VerifiedJSON is the answer to `verify` for programs.
type VerifiedJSON struct {
	After    string         `json:"after"`    // not verified, not judged, failed, unconfirmed, verified
	Recorded bool           `json:"recorded"` // the job says what was repaired
	Repaired []string       `json:"repaired"` // places
	Fault    string         `json:"fault"`    // that was repaired; "" where nobody knows it
	Readings []CheckedJSON  `json:"readings"`
	Propose  []ProposedJSON `json:"propose"` // the shortest set that would catch the rest
	Minutes  float64        `json:"minutes"`
	Slips    []SlipJSON     `json:"slips"`
	Cautions []string       `json:"cautions"`
}

// CheckedJSON is one reading after the repair.
type CheckedJSON struct {
	view.ReadingJSON
	Healthy  view.Amount `json:"healthy"`
	Low      view.Amount `json:"healthy_low"`
	High     view.Amount `json:"healthy_high"`
	From     view.Amount `json:"accepted_from"` // the same with the meter's own error
	To       view.Amount `json:"accepted_to"`
	Fault    view.Amount `json:"with_fault"` // null where no fault is known
	Result   string      `json:"result"`     // pass, fail, planned, not judged
	Confirms bool        `json:"confirms"`
	Why      string      `json:"why,omitempty"` // why it cannot be judged
}

// ProposedJSON is a reading to take after the repair.
type ProposedJSON struct {
	Reading view.PlannedReadingJSON `json:"reading"`
	Minutes float64                 `json:"minutes"`
	Healthy view.Amount             `json:"healthy"`
	Low     view.Amount             `json:"healthy_low"`
	High    view.Amount             `json:"healthy_high"`
}

// SlipJSON is a way in which the repair may have gone wrong.
type SlipJSON struct {
	Fault   string  `json:"fault"`
	Caught  float64 `json:"caught"`        // the chance that the readings taken would have shown it
	Planned float64 `json:"with_proposed"` // the same with those that are proposed
}

// JSON is the check for programs.
func (v Verification) JSON() VerifiedJSON {
	out := VerifiedJSON{After: v.After.String(), Recorded: v.Recorded, Repaired: []string{}, Readings: []CheckedJSON{}, Propose: []ProposedJSON{},
		Minutes: v.Minutes, Slips: []SlipJSON{}, Cautions: view.Cautions(v.withAfter())}
	if out.Cautions == nil {
		out.Cautions = []string{}
	}
	for _, at := range v.Repaired {
		out.Repaired = append(out.Repaired, at.String())
	}
	known := v.Fault != (circuits.Fault{})
	if known {
		out.Fault = v.Fault.String()
	}
	for _, c := range v.Readings {
		row := CheckedJSON{ReadingJSON: view.ReadingOf(v.j.Circuit, c.Reading), From: view.Amount(c.Accepted.From), To: view.Amount(c.Accepted.To),
			Fault: view.Amount(math.NaN()), Result: c.program(), Confirms: c.Confirms, Why: view.NoValue(c.Accepted.Why)}
		row.Healthy, row.Low, row.High = view.Amounts(c.Accepted.Expectation)
		if known {
			row.Fault, _, _ = view.Amounts(c.With)
		}
		out.Readings = append(out.Readings, row)
	}
	for _, c := range v.Propose {
		row := ProposedJSON{Reading: view.PlannedOf(c.Reading), Minutes: c.Minutes}
		row.Healthy, row.Low, row.High = view.Amounts(evidence.Expect(v.j, c.Reading, circuits.Fault{}))
		out.Propose = append(out.Propose, row)
	}
	for i, s := range v.Slips {
		out.Slips = append(out.Slips, SlipJSON{s.Fault.String(), v.Caught[i], v.Chance[i]})
	}
	return out
}

// program is a result as programs see it.
func (c Checked) program() string {
	switch {
	case !c.Reading.Taken:
		return "planned"
	case c.Accepted.Why.Kind != network.NoReason:
		return "not judged"
	case c.Passes:
		return "pass"
	}
	return "fail"
}

// Text is the check for a terminal.
func (v Verification) Text(p view.Page) string {
	var b strings.Builder
	para := func(indent, s string) { b.WriteString(p.Under(indent, s)) }
	head := firstOf(v.j.Machine, v.j.Circuit.Title)
	if v.j.Complaint != "" {
		head = say("verify.machine", "machine", head, "complaint", v.j.Complaint)
	}
	para("", plainText(head))
	switch repaired := listed(locations(v.Repaired)); {
	case v.Repaired == nil:
		para("", say("verify.nothing"))
	case !v.Recorded:
		para("", say("verify.assumed", "place", repaired))
	case v.Fault == (circuits.Fault{}):
		para("", say("verify.repaired_place", "place", repaired))
	default:
		para("", say("verify.repaired", "place", repaired, "fault", v.Fault.String()))
	}
	b.WriteString("\n" + p.Heading(say("verify.head")) + "\n")
	para("  ", v.claim())
	for i, c := range v.Readings {
		para("  ", say("verify.line", "n", strconv.Itoa(i+1), "reading", where(v.j.Circuit, c.Reading), "measured", showed(c.Reading),
			"healthy", expected(c.Reading.Quantity, c.Accepted.Expectation), "result", c.result()))
	}
	if len(v.Propose) > 0 {
		title := say("after.propose")
		if len(v.Readings) > 0 {
			title = say("after.propose_more")
		}
		b.WriteString("\n" + p.Heading(strings.TrimSuffix(title, ":")) + "\n")
		for i, c := range v.Propose {
			para("  ", strconv.Itoa(i+1)+"  "+v.proposed(c))
		}
		para("  ", sentence(say("after.set_minutes", "minutes", number(v.Minutes))))
	}
	if len(v.Slips) > 0 {
		b.WriteString("\n" + p.Heading(strings.TrimSuffix(say("after.catches"), ":")) + "\n")
		if words := v.comesAndGoes(); words != "" {
			para("  ", words)
		}
		caught, missed := v.catches()
		for _, s := range caught {
			para("  ", s)
		}
		if len(missed) > 0 {
			para("  ", say("after.uncaught", "list", listed(missed)))
		}
	}
	if cautions := view.Cautions(v.withAfter()); len(cautions) > 0 {
		b.WriteString("\n" + p.Heading(say("head.cautions")) + "\n")
		for _, c := range cautions {
			para("  ", c)
		}
	}
	return b.String()
}

func locations(list []circuits.Location) []string {
	var out []string
	for _, l := range list {
		out = append(out, l.String())
	}
	return out
}
