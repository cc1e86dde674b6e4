package view

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
	"ohmtrail/solver/rank"
)

// AccountJSON says how one fault stands to each reading taken.
type AccountJSON struct {
	Fault       string               `json:"fault"`
	Probability float64              `json:"probability"`
	Group       int                  `json:"group"` // index of its group
	Prior       float64              `json:"prior"`
	Reason      string               `json:"reason"`
	Readings    []AccountReadingJSON `json:"readings"`
}

// AccountReadingJSON is one reading beside what the fault and a healthy circuit predict for it.
type AccountReadingJSON struct {
	Reading  int     `json:"reading"` // index in the job
	Value    Amount  `json:"value"`   // the lower of two that were seen
	Predicts Amount  `json:"predicts"`
	Upper    *Amount `json:"predicts_high,omitempty"` // the upper end of a reading that moved
	Healthy  Amount  `json:"healthy"`
	Low      Amount  `json:"healthy_low"`
	High     Amount  `json:"healthy_high"`
	Gap      Amount  `json:"gap"`           // (read − predicted) in standard deviations of the reading
	Misread  float64 `json:"misread"`       // the share in which the fault must take the reading for a misreading
	Against  bool    `json:"against"`       // the reading speaks against the fault
	Why      string  `json:"why,omitempty"` // why the fault predicts no value
}

func amountOr(v float64, ok bool) Amount {
	if !ok {
		return Amount(math.NaN())
	}
	return Amount(v)
}

// predicted is what a fault predicts for a taken reading: NaN for no value, +Inf for OL.
func predicted(c rank.Candidate, position int) float64 {
	if c.Over[position] {
		return math.Inf(1)
	}
	return c.Predicts[position]
}

func (v Ranked) accountsJSON() []AccountJSON {
	var out []AccountJSON
	healthy := v.healthy()
	for _, c := range v.Why {
		a := AccountJSON{Fault: c.Name(), Probability: c.Probability, Group: v.Ranking.GroupOf(c), Prior: c.Prior, Reason: priorReason(c.Reason), Readings: []AccountReadingJSON{}}
		against := positions(c.Against())
		for i, index := range v.Ranking.Taken {
			r := v.Ranking.Job.Readings[index]
			value := r.Value
			if r.OL && !r.Pair {
				value = math.Inf(1)
			}
			expected, low, high := Amounts(healthy[i])
			var upper *Amount
			if !math.IsNaN(c.High[i]) {
				h := Amount(c.High[i])
				upper = &h
			}
			a.Readings = append(a.Readings, AccountReadingJSON{Upper: upper, Reading: index, Value: Amount(value), Predicts: Amount(predicted(c, i)),
				Healthy: expected, Low: low, High: high, Gap: Amount(c.Gap[i]), Misread: c.Misread[i],
				Against: against[i], Why: NoValue(c.Why[i])})
		}
		out = append(out, a)
	}
	return out
}

func positions(list []int) map[int]bool {
	out := map[int]bool{}
	for _, i := range list {
		out[i] = true
	}
	return out
}

// healthy is what each taken reading shows with nothing wrong.
func (v Ranked) healthy() []evidence.Expectation {
	out := make([]evidence.Expectation, len(v.Ranking.Taken))
	for i := range out {
		out[i] = v.Ranking.HealthyReading(i)
	}
	return out
}

// accountText sets each reading beside what the asked faults predict, then says in words what speaks against which.
func (v Ranked) accountText(p Page) string {
	var b strings.Builder
	b.WriteString(p.strong("Why") + "\n")
	if len(v.Ranking.Taken) == 0 {
		b.WriteString(p.paragraph("  ", "No reading has been taken: the odds are those of the kinds of place."))
	} else {
		var notes footnotes
		b.WriteString(v.accountTable(&notes).set(p))
		b.WriteString(notes.text(p))
		for _, c := range v.Why {
			if c.Fault.Kind != circuits.Healthy && len(c.Against()) > 0 {
				b.WriteString(p.paragraph(notFit+"  ", "the reading speaks against this fault"))
				break
			}
		}
		b.WriteString("\n")
	}
	for _, c := range v.Why {
		b.WriteString(v.against(p, c))
	}
	for _, index := range v.Ranking.Unexplained {
		r := v.Ranking.Job.Readings[index]
		b.WriteString(p.paragraph("", fmt.Sprintf("Nothing likely explains reading %d, %s: %s. Take it again.", index+1, readingWords(v.Ranking.Job.Circuit, r), Read(r))))
	}
	return b.String()
}

// notFit marks a prediction that the reading speaks against.
const notFit = "≠"

func (v Ranked) accountTable(notes *footnotes) table {
	t := table{head: []string{"reading", "read", "healthy"}}
	healthy := v.healthy()
	for i, index := range v.Ranking.Taken {
		r := v.Ranking.Job.Readings[index]
		expected, _, _ := amounts(healthy[i])
		t.rows = append(t.rows, []string{fmt.Sprintf("%d %s", index+1, readingWords(v.Ranking.Job.Circuit, r)), Read(r),
			orNone(r.Quantity, expected, NoValue(healthy[i].Why), notes)})
	}
	for _, c := range v.Why {
		if c.Fault.Kind == circuits.Healthy {
			continue // it has its column
		}
		t.head = append(t.head, c.Name())
		against := positions(c.Against())
		for i, index := range v.Ranking.Taken {
			cell := orNone(v.Ranking.Job.Readings[index].Quantity, predicted(c, i), NoValue(c.Why[i]), notes)
			if high := c.High[i]; !math.IsNaN(high) && !math.IsNaN(predicted(c, i)) { // a reading that moved
				cell += " to" + nbsp + held(Value(v.Ranking.Job.Readings[index].Quantity, high))
			}
			mark := nbsp + nbsp
			if against[i] {
				mark = notFit + nbsp
			}
			t.rows[i] = append(t.rows[i], mark+cell)
		}
	}
	for column := 1; column < len(t.head); column++ {
		alignNumbers(t.rows, column)
	}
	return t
}

func orNone(q circuits.Quantity, v float64, why string, notes *footnotes) string {
	switch {
	case math.IsNaN(v) && why == "":
		return "–" // the fault takes the reading for a misreading
	case math.IsNaN(v):
		return "none" + nbsp + notes.mark(why)
	case math.IsInf(v, 1):
		return "OL"
	}
	return held(Value(q, v))
}

// alignNumbers moves the cells of a column so that their decimal points stand under each other.
func alignNumbers(rows [][]string, column int) {
	before := func(s string) int {
		for i, r := range s {
			if r == '.' {
				return width(s[:i])
			}
		}
		return width(strings.TrimRight(s, "ΩkMmµV A"+nbsp))
	}
	most := 0
	for _, r := range rows {
		most = max(most, before(r[column]))
	}
	for _, r := range rows {
		mark, rest := "", r[column]
		for _, m := range []string{notFit + nbsp, nbsp + nbsp} {
			if strings.HasPrefix(rest, m) {
				mark, rest = m, strings.TrimPrefix(rest, m)
			}
		}
		r[column] = mark + strings.Repeat(nbsp, most-before(r[column])) + rest
	}
}

// against is a paragraph on one fault: what was thought of it before, and which readings speak against it.
func (v Ranked) against(p Page, c rank.Candidate) string {
	var parts []string
	for _, i := range c.Against() {
		r := v.Ranking.Job.Readings[v.Ranking.Taken[i]]
		words := fmt.Sprintf("reading %d (%s) showed %s", v.Ranking.Taken[i]+1, Where(r), Read(r))
		switch would := predicted(c, i); {
		case math.IsInf(would, 1):
			words += " and should be OL"
		case !math.IsNaN(would):
			words += " and should be near " + held(Value(r.Quantity, would))
		case c.Why[i].Kind != network.NoReason:
			words += " and should show nothing: " + NoValue(c.Why[i])
		}
		parts = append(parts, words)
	}
	said := "no reading speaks against it"
	if len(parts) > 0 {
		said = strings.Join(parts, "; ")
	}
	if len(v.Ranking.Taken) == 0 {
		said = "not tested by any reading"
	}
	before := fmt.Sprintf(", %s before any reading (%s)", Percent(c.Prior), priorReason(c.Reason))
	if c.Whole().IsDouble() { // the prior is that of the fault that was added
		before = fmt.Sprintf("; %s alone was given%s", c.Fault.WithoutOhms(), strings.TrimPrefix(before, ","))
	}
	return p.paragraph("", fmt.Sprintf("%s: %s now%s. %s", c.Name(), Percent(c.Probability), before, sentence(said)))
}
