package read

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/models"
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
	root.table("format", "circuit", "machine", "complaint", "codes", "intermittent", "moves", "battery", "meter", "assume", "reading", "inspection",
		"tried", "writeup", "repair", "verification")
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
	if b, ok := root.key("battery"); ok {
		p.posts(b)
	}
	if m, ok := root.key("moves"); ok {
		p.moves(m)
	}
	if a, ok := root.key("assume"); ok {
		for _, s := range p.stimuli(a, false) {
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
	if tried, ok := root.key("tried"); ok {
		for _, t := range tried.list() {
			p.tried(t)
		}
	}
	p.after(root)
}

// posts reads what was measured between the battery's posts today: the circuit's battery then has these volts, off by no
// more than the meter.
func (p *jobParser) posts(c cursor) {
	if !c.table("volts", "running_volts") {
		return
	}
	battery := &p.c.Battery
	for i, of := range []struct {
		key      string
		to, file *float64
	}{{"volts", &p.j.Posts.Volts, &battery.Volts}, {"running_volts", &p.j.Posts.RunningVolts, &battery.RunningVolts}} {
		v, given := c.key(of.key)
		if !given {
			continue
		}
		volts := c.numberOr(of.key, *of.file, circuits.Positive)
		if volts > circuits.MaxVolts {
			v.tooHigh(volts)
			continue
		}
		*of.to, *of.file = volts, volts
		low, high := p.j.Meter.Volts.Interval(volts)
		battery.Widths[i] = models.Evenly(low, high, false)
	}
}

// moves reads the names of devices whose stimulus is free at each reading.
func (p *jobParser) moves(c cursor) {
	names, ok := c.texts()
	if !ok {
		return
	}
	for i, name := range names {
		at := c.list()[i]
		if d := p.stimulated(name, at, "remove it from the list"); d != nil && !slices.Contains(p.j.Moves, name) {
			p.j.Moves = append(p.j.Moves, name)
		}
	}
}

// stimulated finds a device that something outside the circuit sets; nil, with the problem noted, where it is none. remove is the hint then.
func (p *jobParser) stimulated(name string, at cursor, remove string) *circuits.Device {
	d := p.c.Device(name)
	switch {
	case d == nil:
		what := fmt.Sprintf("no device is called %s", name)
		if kind := p.c.KindOf(name); kind != "" {
			what = fmt.Sprintf("%s is %s: only a device has a stimulus", name, wording.An(kind))
		}
		at.fail(what, wording.DidYouMean(name, p.c.Stimulated()))
		return nil
	case !d.Kind.HasStimulus():
		at.fail(fmt.Sprintf("%s is %s: nothing outside the circuit sets it", name, wording.An(string(d.Kind))), remove)
		return nil
	}
	return d
}

// tried reads a [[tried]].
func (p *jobParser) tried(c cursor) {
	if !c.table("at", "done", "result") {
		return
	}
	t := circuits.Tried{Line: c.at(), Done: c.textOr("done", ""), Result: circuits.Result(c.textOr("result", ""))}
	if result, ok := c.key("result"); ok {
		if _, isText := result.value.(string); isText && !slices.Contains(circuits.Results(), string(t.Result)) {
			result.fail(fmt.Sprintf("what was tried cannot have the result %q", t.Result), wording.DidYouMean(string(t.Result), circuits.Results()))
		}
	} else if c.lacks("result") {
		c.fail("it does not say what came of it", `write result = "remains", "gone" or "changed"`)
	}
	at, ok := c.key("at")
	if !ok {
		if c.lacks("at") {
			c.fail("it does not say where", `write at = "C7:3", the place that was worked on`)
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
	t.At = l
	p.j.Tried = append(p.j.Tried, t)
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

// stimuli reads a table DEVICE = stimulus, in file order. In a reading two values say from where to where a stimulus was
// moved.
func (p *jobParser) stimuli(c cursor, inReading bool) []circuits.SetDevice {
	var out []circuits.SetDevice
	c.each(func(name string, entry cursor) {
		d := p.stimulated(name, entry, "remove the line")
		if d == nil {
			return
		}
		ends := entry.list()
		if entry.isList() && (len(ends) != 2 || !inReading) {
			what, hint := "must be one stimulus, or two between which it was moved, not "+describe(entry.value), fmt.Sprintf("write %s = 0.3, or %s = [0.05, 0.95]", name, name)
			if !inReading {
				what, hint = "a stimulus that is known for the whole job is one value", fmt.Sprintf("write the two into the set of the reading that saw %s moved", name)
			}
			entry.fail(what, hint)
			return
		}
		s := circuits.SetDevice{Device: name, Moved: entry.isList()}
		for i, to := range []*float64{&s.Set, &s.To}[:len(ends)] {
			v, ok := readSet(d, ends[i])
			if !ok {
				return
			}
			if v < d.Range[0] || v > d.Range[1] {
				ends[i].warn(fmt.Sprintf("%g is beyond the range of %s, %g to %g", v, name, d.Range[0], d.Range[1]), "check the value, or widen range in the circuit")
			}
			*to = v
		}
		if s.Moved && s.Set == s.To {
			entry.fail(fmt.Sprintf("%s was moved from %g to %g, which is nowhere", name, s.Set, s.To), fmt.Sprintf("write %s = %g", name, s.Set))
			return
		}
		out = append(out, s)
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
