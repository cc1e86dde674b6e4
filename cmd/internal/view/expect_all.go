package view

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// EveryFault writes what a job's readings show under fault after fault, a piece at a time: the head, each fault as it
// comes, the foot. The pieces joined are the table, or the JSON of ExpectedJSON.
type EveryFault struct {
	Job     *circuits.Job
	Healthy []evidence.Expectation // by reading

	widest int     // of the faults' names
	scales []scale // by reading
}

// NewEveryFault prepares the pieces for faults with these names.
func NewEveryFault(j *circuits.Job, healthy []evidence.Expectation, names []string) *EveryFault {
	e := &EveryFault{Job: j, Healthy: healthy}
	for _, name := range names {
		e.widest = max(e.widest, width(name))
	}
	for i, r := range j.Readings {
		expected, low, high := amounts(healthy[i])
		e.scales = append(e.scales, scaleOf(r.Quantity, []float64{expected, low, high}))
	}
	return e
}

// HeadJSON is what stands before the faults.
func (e *EveryFault) HeadJSON() ([]byte, error) {
	readings := []ReadingJSON{}
	for _, r := range e.Job.Readings {
		readings = append(readings, readingJSON(e.Job.Circuit, r))
	}
	body, err := JSON(struct {
		Readings []ReadingJSON `json:"readings"`
	}{readings})
	return []byte(strings.TrimSuffix(string(body), "\n}\n") + ",\n \"faults\": ["), err
}

// FaultJSON is one fault, a line.
func (e *EveryFault) FaultJSON(number int, name string, cells []evidence.Expectation) ([]byte, error) {
	body, err := json.Marshal(expectedOf(name, cells))
	line := "\n  " + string(body)
	if number > 0 {
		line = "," + line
	}
	return []byte(line), err
}

// FootJSON is what stands behind the faults.
func (e *EveryFault) FootJSON() []byte { return []byte("\n ]\n}\n") }

// column is the width of a reading's column.
const column = 9

// Head lists the readings with what they show with nothing wrong, and heads the table.
func (e *EveryFault) Head(p Page) string {
	var b strings.Builder
	b.WriteString(stimuliText(p, e.Job))
	t := table{head: []string{"reading", "read", "healthy"}}
	healthy := Expected{Job: e.Job, Faults: []Asked{{Name: "healthy"}}, Cells: [][]evidence.Expectation{e.Healthy}}
	var notes footnotes
	for i, cell := range healthy.column(0, &notes) {
		r := e.Job.Readings[i]
		t.rows = append(t.rows, []string{fmt.Sprintf("%d %s", i+1, readingWords(e.Job.Circuit, r)), Read(r), cell})
	}
	alignNumbers(t.rows, 1)
	b.WriteString(t.set(p))
	b.WriteString(notes.text(p))
	b.WriteString("\n" + p.paragraph("", "Below, by reading: what it shows with 1 kΩ in series, or with a dead short, where a fault has no ohms of its own; * where "+
		"whatever the fault's ohms it lies outside of what a sound machine shows. --json has the ranges."))
	head := pad("fault", e.widest, false)
	for i, r := range e.Job.Readings {
		unit := e.scales[i].unit
		if r.Quantity == circuits.Ohms {
			unit = "Ω"
		}
		head += pad(fmt.Sprintf("%d, %s", i+1, unit), column, true) + " "
	}
	b.WriteString("\n" + p.strong(strings.TrimRight(head, " ")) + "\n")
	return spaced(b.String())
}

// Fault is one fault's row.
func (e *EveryFault) Fault(name string, cells []evidence.Expectation) string {
	var b strings.Builder
	b.WriteString(pad(name, e.widest, false))
	blown := ""
	for i, cell := range cells {
		mark := " "
		if apart(cell, e.Healthy[i]) {
			mark = "*"
		}
		b.WriteString(pad(e.cell(i, cell), column, true) + mark)
		if cell.Blown != "" {
			blown = " blown: " + cell.Blown
		}
	}
	return spaced(strings.TrimRight(b.String()+blown, " ")) + "\n"
}

// cell is one value, its unit in the column's head but for ohms.
func (e *EveryFault) cell(i int, cell evidence.Expectation) string {
	switch {
	case cell.Status == network.OverRange:
		return "OL"
	case cell.Status == network.NoValue:
		return shortReason(cell.Why)
	case e.Job.Readings[i].Quantity == circuits.Ohms && cell.Value < 10:
		return scale{1, 2, "Ω"}.value(cell.Value)
	case e.Job.Readings[i].Quantity == circuits.Ohms:
		return Value(circuits.Ohms, cell.Value)
	}
	return e.scales[i].digits(cell.Value)
}

// shortReason says in a word why there is no value.
func shortReason(r network.Reason) string {
	switch r.Kind {
	case network.Floating:
		return "floats"
	case network.Unpowered:
		return "no power"
	case network.Unsteady:
		return "unsteady"
	case network.Live:
		return "live"
	}
	return "none"
}

// apart tells whether nothing that a reading shows under a fault is shown by a sound machine.
func apart(fault, healthy evidence.Expectation) bool {
	_, low, high := amounts(fault)
	_, from, to := amounts(healthy)
	if math.IsNaN(low) || math.IsNaN(from) {
		return math.IsNaN(low) != math.IsNaN(from)
	}
	return high < from || low > to
}
