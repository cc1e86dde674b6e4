package report

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// expected says what a reading shows: its nominal value and its bounds.
func expected(q circuits.Quantity, e evidence.Expectation) string {
	v := e.Value
	switch e.Status {
	case network.OverRange:
		v = math.Inf(1)
	case network.NoValue:
		return say("readings.none", "why", view.NoValue(e.Why))
	}
	low, high := e.Low, e.High
	if e.CanBeOL {
		high = math.Inf(1)
		if math.IsNaN(low) {
			low = high
		}
	}
	shown, from, to := value(q, v), value(q, low), value(q, high)
	if math.IsNaN(low) || from == to {
		return shown
	}
	if a, b := strings.LastIndex(from, "\u00a0"), strings.LastIndex(to, "\u00a0"); a >= 0 && b >= 0 && from[a:] == to[b:] {
		from = from[:a] // one unit is enough
	}
	return held(say("readings.bounds", "value", shown, "low", from, "high", to))
}

// readings are the table of the readings in order, and what was taken as known for it.
func (w writer) readings() []paper.Block {
	if len(w.j.Readings) == 0 {
		return nil
	}
	out := []paper.Block{paper.Heading{Text: say("head.readings")}}
	compare := w.f.speaks()
	t := paper.Table{Small: true, Columns: []paper.Column{{Head: say("readings.number")}, {Head: say("readings.where")}, {Head: say("readings.state")},
		{Head: say("readings.measured")}, {Head: say("readings.healthy")}}}
	if compare {
		t.Columns = append(t.Columns, paper.Column{Head: say("readings.finding", "fault", w.f.fault.String())}, paper.Column{Head: say("readings.excluded")})
	}
	excluded, faults := w.firstAgainst()
	named := false
	for i, r := range w.j.Readings {
		row := paper.Row{Cells: []paper.Cell{{Text: strconv.Itoa(i + 1)}, {Text: lead(r)}, {Text: state(w.j.Circuit, r)}, {Text: showed(r), Bold: r.Taken},
			{Text: expected(r.Quantity, w.x.Expect(r, circuits.Fault{}))}}}
		if compare {
			row.Cells = append(row.Cells, paper.Cell{Text: expected(r.Quantity, w.x.Expect(r, w.f.fault))}, paper.Cell{Text: w.excludes(i, excluded[i], faults, &named)})
		}
		t.Rows = append(t.Rows, row)
	}
	out = append(out, t)
	if notes := w.notes(); notes != nil {
		out = append(out, notes...)
	}
	return append(out, paper.Paragraph{Small: true, Text: w.basis()})
}

// firstAgainst counts by reading, in the order in which they were taken, the faults that it is the first to speak
// against; faults is how many there are. Those at the place of the finding and two at once do not count.
func (w writer) firstAgainst() (excluded map[int]int, faults int) {
	excluded = map[int]int{}
	for _, c := range w.r.Candidates {
		if c.Fault.Kind == circuits.Unlisted || c.Fault.Kind == circuits.Healthy || c.Whole().IsDouble() || w.f.speaks() && w.leads(c) {
			continue
		}
		faults++
		if against := c.Against(); len(against) > 0 {
			excluded[w.r.Taken[against[0]]]++
		}
	}
	return excluded, faults
}

// excludes is the last cell of a reading's row.
func (w writer) excludes(i, n, of int, named *bool) string {
	switch {
	case slices.Contains(w.r.Refused, i):
		return say("readings.refused")
	case slices.Contains(w.r.Unexplained, i):
		return say("readings.misfit")
	case n == 0:
		return say("readings.excludes_none")
	}
	key := "readings.excludes_more"
	if !*named {
		key, *named = "readings.excludes", true
	}
	return say(key, "n", strconv.Itoa(n), "of", strconv.Itoa(of))
}

// notes are the author's notes to the readings.
func (w writer) notes() []paper.Block {
	var items []string
	for i, r := range w.j.Readings {
		if r.Note != "" {
			items = append(items, say("readings.note", "n", strconv.Itoa(i+1), "note", clipped(r.Note, 300)))
		}
	}
	if len(items) == 0 {
		return nil
	}
	const most = 30
	if more := len(items) - most; more > 0 {
		items = append(items[:most], say("more", "n", strconv.Itoa(more)))
	}
	text := ""
	for k, s := range items {
		if k > 0 {
			text += " · "
		}
		text += s
	}
	return []paper.Block{paper.Paragraph{Lead: say("readings.notes"), Text: text, Small: true}}
}

// basis says what the numbers of the table rest on.
func (w writer) basis() string {
	text := ""
	if w.f.speaks() {
		text = say("readings.check", "file", shellWord(w.j.File), "fault", w.f.fault.String()) + "\n"
		if w.j.Intermittent {
			text += say("readings.by_turns") + " "
		}
	}
	known, unknown := w.stimuli()
	if len(known) > 0 {
		text += say("readings.known", "list", listed(known)) + " "
	}
	if len(unknown) > 0 {
		text += say("readings.unknown", "list", listed(unknown)) + " "
	}
	m := w.j.Meter
	text += say("readings.meter", "input", held(models.SI(m.InputOhms, "Ω")), "volts_pct", number(m.Volts.Pct), "volts_plus", value(circuits.Volts, m.Volts.Plus))
	return text + " " + say("readings.points")
}

// stimuli are the parts whose setting is known, and those whose setting is not.
func (w writer) stimuli() (known, unknown []string) {
	for i := range w.j.Circuit.Devices {
		d := &w.j.Circuit.Devices[i]
		if !d.Kind.HasStimulus() {
			continue
		}
		if set, ok := w.j.SetOf(circuits.Reading{}, d); ok {
			known = append(known, view.Stimulus(w.j.Circuit, d.Name, set))
		} else {
			unknown = append(unknown, d.Name)
		}
	}
	return known, unknown
}
