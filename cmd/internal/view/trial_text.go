package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ohmtrail/cmd/internal/tally"
)

// Text is the trial for a terminal: the orders side by side, what was said against what came true, and each circuit.
func (v Tried) Text(p Page) string {
	var b strings.Builder
	b.WriteString(p.paragraph("", v.what()))
	b.WriteString("\n")
	counted := v.counted()
	b.WriteString(v.ordersTable(counted).set(p))
	for _, held := range []struct {
		of string
		c  tally.Calibration
	}{{"leading group", counted[0].ByGroup}, {"leading place", counted[0].ByPlace}} {
		b.WriteString("\n" + calibrationTable(held.of, held.c).set(p))
	}
	if len(v.Circuits) > 1 {
		b.WriteString("\n" + p.strong("By circuit, in our order") + "\n")
		b.WriteString(v.circuitsTable().set(p))
	}
	b.WriteString("\n" + p.paragraph("", "The machines are simulated on the same circuit that is reasoned on, with tolerances and meter errors drawn "+
		"within their bounds: this tries the reasoning, not whether a drawing is true to a machine."))
	return b.String()
}

// what says what was tried.
func (v Tried) what() string {
	faults := count(v.N, "hidden fault", "hidden faults")
	if v.Plan.Double {
		faults = count(v.N, "pair of hidden faults", "pairs of hidden faults")
	}
	words := count(len(v.Circuits), "circuit", "circuits") + ", " + faults
	if len(v.Circuits) > 1 {
		words += " on each"
	}
	return fmt.Sprintf("%s, drawn by the weights of experience (seed %d); %s of all readings are not what they say; %s.", words, v.Plan.Seed, share(v.Plan.Misread), v.machines())
}

// machines says what machines the faults were hidden in.
func (v Tried) machines() string {
	out := "every number of a machine is drawn from its width"
	if v.Plan.AsWritten {
		out = "every number of a machine is as the file has it"
	}
	if v.Plan.Extras > 0 {
		out += fmt.Sprintf(", and %s of the machines have something that no file knows", share(v.Plan.Extras))
	}
	return out
}

// share prints a share with the decimals that it needs.
func share(v float64) string {
	if math.IsNaN(v) {
		return "none"
	}
	return strconv.FormatFloat(math.Round(1000*v)/10, 'f', -1, 64) + nbsp + "%"
}

// points prints a distance between percentages.
func points(v float64) string {
	if math.IsNaN(v) {
		return "none"
	}
	return strconv.FormatFloat(100*v, 'f', 1, 64) + nbsp + "points"
}

// bounded prints a share with its bounds and the count behind it.
func bounded(s tally.Share) string {
	if s.Of == 0 {
		return "none"
	}
	low, high := s.Interval()
	return strings.ReplaceAll(fmt.Sprintf("%s (%.0f to %.0f)", onePlace(100*s.Value())+" %", 100*low, 100*high), " ", nbsp)
}

func onePlace(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "none"
	}
	return strconv.FormatFloat(v, 'f', 1, 64)
}

func twoPlaces(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "none"
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

func (v Tried) ordersTable(counted []tally.Order) table {
	truth := "the fault"
	if v.Plan.Double {
		truth = "one of the two"
	}
	t := table{head: []string{"order of the readings"}}
	row := func(name string, cell func(o tally.Order) string) {
		cells := []string{name}
		for _, o := range counted {
			cells = append(cells, cell(o))
		}
		t.rows = append(t.rows, cells)
	}
	for _, o := range counted {
		t.head = append(t.head, string(o.Order))
	}
	row(truth+" is in the leading group", func(o tally.Order) string { return bounded(o.Group) })
	row("in one of the leading three", func(o tally.Order) string { return bounded(o.Three) })
	row("at the leading place", func(o tally.Order) string { return bounded(o.Place) })
	if v.Plan.Double {
		row("both found by repairing and going on", func(o tally.Order) string { return bounded(o.Found) })
	}
	row("says that it is done", func(o tally.Order) string { return bounded(o.Stopped) })
	row("ends with 95 % or more", func(o tally.Order) string { return bounded(o.Sure) })
	row("and is right then", func(o tally.Order) string { return bounded(o.SureRight) })
	row("readings", func(o tally.Order) string { return onePlace(o.Readings) })
	row("minutes", func(o tally.Order) string { return onePlace(o.Minutes) })
	row("planned minutes to these", func(o tally.Order) string { return twoPlaces(counted[0].Minutes / o.Minutes) })
	row("bits of the places before any reading", func(o tally.Order) string { return twoPlaces(o.EntropyBits) })
	row("of these to each reading", func(o tally.Order) string { return twoPlaces(o.BitsPerReading) })
	row("readings that were misread", func(o tally.Order) string { return itoa(o.Misread) })
	row("jobs with such a reading", func(o tally.Order) string { return bounded(o.MisreadJobs) })
	return t
}

// calibrationTable holds the probabilities said, in our order, against what came true.
func calibrationTable(of string, c tally.Calibration) table {
	t := table{head: []string{"said of the " + of, "jobs", "said on average", "come true"}}
	for _, b := range c.Bins {
		said := "none"
		switch {
		case b.Right.Of == 0:
		case b.Said > 0.9995:
			said = ">99.9" + nbsp + "%"
		default:
			said = onePlace(100*b.Said) + nbsp + "%"
		}
		t.rows = append(t.rows, []string{fmt.Sprintf("%g to %g %%", 100*b.From, 100*b.To), itoa(b.Right.Of), said, bounded(b.Right)})
	}
	t.rows = append(t.rows, []string{"mean distance from what came true", "", points(c.Error), ""})
	return t
}

func (v Tried) circuitsTable() table {
	t := table{head: []string{"circuit", "in the leading group", "at the leading place", "readings", "minutes"}}
	for _, name := range v.Circuits {
		o := tally.Count(orders[0], tally.Of(name, v.Cases))
		t.rows = append(t.rows, []string{name, bounded(o.Group), bounded(o.Place), onePlace(o.Readings), onePlace(o.Minutes)})
	}
	return t
}
