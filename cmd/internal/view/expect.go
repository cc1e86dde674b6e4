package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// Asked is a fault as somebody asked for it.
type Asked struct {
	Name  string // as it was asked for
	Fault circuits.Fault
}

// Expected is what the readings of a job show under some faults.
type Expected struct {
	Job    *circuits.Job
	Faults []Asked
	Cells  [][]evidence.Expectation // by fault and reading
}

// Expect works out what every reading of a job, planned or taken, shows under each fault.
func Expect(j *circuits.Job, faults []Asked) Expected {
	e := Expected{Job: j, Faults: faults}
	expecter := evidence.NewExpecter(j)
	for _, f := range faults {
		cells := make([]evidence.Expectation, len(j.Readings))
		for i, r := range j.Readings {
			cells[i] = expecter.Expect(r, f.Fault)
		}
		e.Cells = append(e.Cells, cells)
	}
	return e
}

// Amounts are the three numbers of an expectation as programs see them: NaN for none, +Inf for OL.
func Amounts(e evidence.Expectation) (expected, low, high Amount) {
	v, l, h := amounts(e)
	return Amount(v), Amount(l), Amount(h)
}

// amounts are the same as the table shows them.
func amounts(e evidence.Expectation) (expected, low, high float64) {
	expected, low, high = e.Value, e.Low, e.High
	switch e.Status {
	case network.OverRange:
		expected = math.Inf(1)
	case network.NoValue:
		expected = math.NaN()
	}
	if e.CanBeOL {
		high = math.Inf(1)
		if math.IsNaN(low) {
			low = high
		}
	}
	return expected, low, high
}

// ExpectedJSON is the contract's answer to `expect`.
type ExpectedJSON struct {
	Readings []ReadingJSON       `json:"readings"`
	Faults   []FaultExpectedJSON `json:"faults"`
}

// FaultExpectedJSON is what one fault predicts, by reading.
type FaultExpectedJSON struct {
	Fault    string            `json:"fault"`
	Expected []Amount          `json:"expected"`
	Low      []Amount          `json:"low"`
	High     []Amount          `json:"high"`
	Why      map[string]string `json:"why,omitempty"` // by reading: why there is no value, or which fuse has blown
}

// JSON is the contract's form.
func (e Expected) JSON() ExpectedJSON {
	out := ExpectedJSON{Readings: []ReadingJSON{}, Faults: []FaultExpectedJSON{}}
	for _, r := range e.Job.Readings {
		out.Readings = append(out.Readings, readingJSON(e.Job.Circuit, r))
	}
	for f, asked := range e.Faults {
		out.Faults = append(out.Faults, expectedOf(asked.Name, e.Cells[f]))
	}
	return out
}

// expectedOf is one fault's part.
func expectedOf(name string, cells []evidence.Expectation) FaultExpectedJSON {
	row := FaultExpectedJSON{Fault: name, Expected: []Amount{}, Low: []Amount{}, High: []Amount{}}
	for i, cell := range cells {
		expected, low, high := Amounts(cell)
		row.Expected, row.Low, row.High = append(row.Expected, expected), append(row.Low, low), append(row.High, high)
		if words := whyWords(cell.Outcome); words != "" {
			if row.Why == nil {
				row.Why = map[string]string{}
			}
			row.Why[strconv.Itoa(i)] = words
		}
	}
	return row
}

// whyWords say why a reading has no value, and which fuses have blown, whether it has one or not.
func whyWords(o network.Outcome) string {
	var words []string
	if o.Status == network.NoValue {
		words = append(words, NoValue(o.Why))
	}
	if o.Blown != "" {
		words = append(words, "blown: "+o.Blown+", by more than 1.35 times its amps; find the short before the next fuse")
	}
	return strings.Join(words, "; ")
}

// Text is the same as one table, with what was taken as known above it and why a value is missing below it.
func (e Expected) Text(p Page) string {
	if len(e.Job.Readings) == 0 {
		return p.paragraph("", "The job has no readings yet. Add a [[reading]] without a value to see what it would show.")
	}
	var b strings.Builder
	b.WriteString(stimuliText(p, e.Job))
	t := table{head: []string{"reading", "read"}}
	for _, f := range e.Faults {
		t.head = append(t.head, f.Name)
	}
	for i, r := range e.Job.Readings {
		t.rows = append(t.rows, []string{fmt.Sprintf("%d %s", i+1, readingWords(e.Job.Circuit, r)), Read(r)})
	}
	alignNumbers(t.rows, 1)
	var notes footnotes
	for f := range e.Faults {
		for i, cell := range e.column(f, &notes) {
			t.rows[i] = append(t.rows[i], cell)
		}
	}
	b.WriteString(t.set(p))
	b.WriteString(notes.text(p))
	return b.String()
}

// column prints one fault's cells, one scale a quantity.
func (e Expected) column(f int, notes *footnotes) []string {
	shown := map[string][]float64{} // by unit: what a module reports and what a meter shows are both volts
	for i, r := range e.Job.Readings {
		expected, low, high := amounts(e.Cells[f][i])
		shown[r.Quantity.Unit()] = append(shown[r.Quantity.Unit()], expected, low, high)
	}
	var values, ranges []string
	widest := 0
	for i, r := range e.Job.Readings {
		s := scaleOf(r.Quantity, shown[r.Quantity.Unit()])
		expected, low, high := amounts(e.Cells[f][i])
		value, span := "none", ""
		if !math.IsNaN(expected) {
			value = s.value(expected)
		}
		if words := whyWords(e.Cells[f][i].Outcome); words != "" {
			value += nbsp + notes.mark(words)
		}
		if !math.IsNaN(low) && s.digits(low) != s.digits(high) {
			span = s.digits(low) + nbsp + "to" + nbsp + s.digits(high)
		}
		values, ranges = append(values, value), append(ranges, span)
		widest = max(widest, width(value))
	}
	for i := range values {
		values[i] = strings.ReplaceAll(pad(values[i], widest, true), " ", nbsp)
		if ranges[i] != "" {
			values[i] += nbsp + nbsp + ranges[i]
		}
	}
	return values
}

// footnotes are reasons that a table refers to by letters.
type footnotes struct{ reasons []string }

// mark is the letter of a reason.
func (n *footnotes) mark(reason string) string {
	for i, known := range n.reasons {
		if known == reason {
			return letter(i)
		}
	}
	n.reasons = append(n.reasons, reason)
	return letter(len(n.reasons) - 1)
}

func letter(i int) string {
	if i >= 26 {
		return letter(i/26-1) + letter(i%26)
	}
	return string(rune('a' + i))
}

func (n footnotes) text(p Page) string {
	var b strings.Builder
	for i, reason := range n.reasons {
		b.WriteString(p.paragraph(letter(i)+"  ", reason))
	}
	return b.String()
}

// stimuliText says what the parts of a job are set to, as far as anybody knows.
func stimuliText(p Page, j *circuits.Job) string {
	var known, unknown []string
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if !d.Kind.HasStimulus() {
			continue
		}
		set, ok := j.SetOf(circuits.Reading{}, d)
		switch {
		case ok:
			known = append(known, Stimulus(j.Circuit, d.Name, set))
		case d.Kind.TwoState():
			unknown = append(unknown, d.Name)
		default:
			unknown = append(unknown, d.Name+nbsp+rangeWords(d))
		}
	}
	var b strings.Builder
	if len(known) > 0 {
		b.WriteString(p.paragraph("Known:   ", strings.Join(known, "; ")))
	}
	if len(unknown) > 0 {
		b.WriteString(p.paragraph("Unknown: ", strings.Join(unknown, "; ")))
	}
	if b.Len() > 0 {
		b.WriteString("\n")
	}
	return b.String()
}

// rangeWords says between what a stimulus lies, in the sensor's own unit where the circuit knows it.
func rangeWords(d *circuits.Device) string {
	if d.Reads != nil {
		return held(plainNumber(rounded(d.Reads.At(d.Range[0]))) + " to " + plainNumber(rounded(d.Reads.At(d.Range[1]))) + " " + d.Reads.Unit)
	}
	return held(plainNumber(d.Range[0])+" to "+plainNumber(d.Range[1])) + stimulusUnit(d.Kind)
}
