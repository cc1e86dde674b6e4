package read

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
)

// Opener gives the text of a circuit that a job names; shown is the circuit's name for messages.
type Opener func(name string) (shown string, text []byte, err error)

// Job reads a job file and the circuit it names. The job is nil where any problem, of either file, is an error.
func Job(file string, text []byte, open Opener) (*circuits.Job, circuits.Problems) {
	d, root := decode(file, text)
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	j := &circuits.Job{File: file, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
	root.table("format", "circuit", "machine", "complaint", "codes", "intermittent", "meter", "assume", "reading", "inspection",
		"writeup", "repair", "verification")
	format(root)
	j.Machine, j.Complaint = root.textOr("machine", ""), root.textOr("complaint", "")
	j.Intermittent = root.boolOr("intermittent", false)
	name, ok := root.key("circuit")
	if !ok {
		if root.lacks("circuit") {
			root.problem(false, "", "the job names no circuit", `write circuit = "name.circuit.toml", or circuit = "library:NAME"`)
		}
		return nil, d.problems.Sorted()
	}
	if j.CircuitName, ok = name.text(); !ok {
		return nil, d.problems.Sorted()
	}
	shown, circuitText, err := open(j.CircuitName)
	if err != nil {
		name.fail("cannot read the circuit: "+err.Error(), "name a file beside this one, or library:NAME")
		return nil, d.problems.Sorted()
	}
	c, circuitProblems := Circuit(shown, circuitText)
	if c == nil {
		return nil, append(circuitProblems, d.problems.Sorted()...)
	}
	j.Circuit = c
	p := jobParser{j: j, c: c, d: d, greatest: greatestVolts(c)}
	p.job(root)
	problems := append(circuitProblems, d.problems.Sorted()...)
	if len(problems.Errors()) > 0 {
		return nil, problems
	}
	return j, problems
}

// jobParser carries the job under construction.
type jobParser struct {
	j        *circuits.Job
	c        *circuits.Circuit
	d        *decoder
	greatest float64 // no voltage of the circuit is greater; 0 where unknown
	apart    string  // how hints ask for a plug to be taken apart, with %s for it; "" as a job file says it
}

// greatestVolts is the greatest voltage of any source in a circuit.
func greatestVolts(c *circuits.Circuit) float64 {
	v := max(c.Battery.Volts, c.Battery.RunningVolts)
	for _, m := range c.Modules {
		for _, pin := range m.Pins {
			v = max(v, pin.Volts, pin.PullUpVolts, pin.SenseVolts, pin.BiasVolts)
		}
	}
	return v
}

func (p *jobParser) job(root cursor) {
	if codes, ok := root.key("codes"); ok {
		p.codes(codes)
	}
	if m, ok := root.key("meter"); ok {
		p.meter(m)
	}
	if a, ok := root.key("assume"); ok {
		for _, s := range p.stimuli(a) {
			p.j.Assume[s.Device] = s.Set
		}
	}
	if readings, ok := root.key("reading"); ok {
		for _, r := range readings.list() {
			if reading, ok := p.reading(r, true); ok {
				p.j.Readings = append(p.j.Readings, reading)
			}
		}
	}
	if inspections, ok := root.key("inspection"); ok {
		for _, i := range inspections.list() {
			p.inspection(i)
		}
	}
	p.after(root)
}

func (p *jobParser) codes(c cursor) {
	codes, ok := c.texts()
	if !ok {
		return
	}
	known := p.c.Codes()
	for i, code := range codes {
		if !slices.Contains(known, code) {
			c.list()[i].warn(fmt.Sprintf("no pin of the circuit sets the code %s, so it counts for nothing", code), wording.DidYouMean(code, known))
		}
	}
	p.j.Codes = codes
}

func (p *jobParser) meter(m cursor) {
	if !m.table("input_ohms", "volts", "ohms", "amps", "max_ohms") {
		return
	}
	to := &p.j.Meter
	to.InputOhms = m.ohmsOr("input_ohms", to.InputOhms, circuits.Bounds{Low: 100, High: 1e13})
	to.MaxOhms = m.ohmsOr("max_ohms", to.MaxOhms, circuits.Positive)
	for _, q := range circuits.Quantities()[:3] {
		a, ok := m.key(q)
		if !ok || !a.table("pct", "plus") {
			continue
		}
		accuracy := &to.Volts
		switch circuits.Quantity(q) {
		case circuits.Ohms:
			accuracy = &to.Ohms
		case circuits.Amps:
			accuracy = &to.Amps
		}
		accuracy.Pct = a.numberOr("pct", accuracy.Pct, circuits.Percent)
		accuracy.Plus = a.numberOr("plus", accuracy.Plus, circuits.NotNegative)
	}
}

// stimuli reads a table DEVICE = stimulus, in file order.
func (p *jobParser) stimuli(c cursor) []circuits.SetDevice {
	var out []circuits.SetDevice
	c.each(func(name string, entry cursor) {
		d := p.c.Device(name)
		if d == nil {
			what := fmt.Sprintf("no device is called %s", name)
			if kind := p.c.KindOf(name); kind != "" {
				what = fmt.Sprintf("%s is %s: only a device has a stimulus", name, wording.An(kind))
			}
			entry.fail(what, wording.DidYouMean(name, p.c.Stimulated()))
			return
		}
		if !d.Kind.HasStimulus() {
			entry.fail(fmt.Sprintf("%s is %s: nothing outside the circuit sets it", name, wording.An(string(d.Kind))), "remove the line")
			return
		}
		if v, ok := readSet(d, entry); ok {
			if v < d.Range[0] || v > d.Range[1] {
				entry.warn(fmt.Sprintf("%g is beyond the range of %s, %g to %g", v, name, d.Range[0], d.Range[1]), "check the value, or widen range in the circuit")
			}
			out = append(out, circuits.SetDevice{Device: name, Set: v})
		}
	})
	return out
}

// inspection reads an [[inspection]].
func (p *jobParser) inspection(c cursor) {
	if !c.table("at", "seen") {
		return
	}
	i := circuits.Inspection{Line: c.at(), Seen: c.textOr("seen", "")}
	if seen, ok := c.key("seen"); ok {
		if _, isText := seen.value.(string); isText && !slices.Contains(circuits.SeenWords(), i.Seen) {
			seen.fail(fmt.Sprintf("an inspection cannot have seen %q", i.Seen), wording.DidYouMean(i.Seen, circuits.SeenWords()))
		}
	} else if c.lacks("seen") {
		c.fail("the inspection does not say what was seen", `write seen = "…" with one of `+strings.Join(circuits.SeenWords(), ", "))
	}
	at, ok := c.key("at")
	if !ok {
		if c.lacks("at") {
			c.fail("the inspection does not say where", `write at = "C7:3"`)
		}
		return
	}
	text, ok := at.text()
	if !ok {
		return
	}
	l, err := p.c.Somewhere(text)
	if err != nil {
		at.fail(err.Error(), "")
		return
	}
	i.At = l
	p.j.Inspections = append(p.j.Inspections, i)
}
