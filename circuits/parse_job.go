package circuits

import (
	"fmt"
	"strings"
)

// OpenFunc gives the text of a circuit that a job names; shown is the circuit's name for messages.
type OpenFunc func(name string) (shown string, text []byte, err error)

// ParseJob reads a job file and the circuit it names. The job is nil where any problem, of either file, is an error.
func ParseJob(file string, text []byte, open OpenFunc) (*Job, Problems) {
	d, root := decode(file, text)
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	j := &Job{File: file, Meter: DefaultMeter(), Assume: map[string]float64{}}
	root.table("format", "circuit", "machine", "complaint", "codes", "intermittent", "meter", "assume", "reading", "inspection")
	format(root)
	j.Machine, j.Complaint = root.textOr("machine", ""), root.textOr("complaint", "")
	j.Intermittent = root.boolOr("intermittent", false)
	name, ok := root.key("circuit")
	if !ok {
		root.problem(false, "", "the job names no circuit", `write circuit = "name.circuit.toml", or circuit = "library:NAME"`)
		return nil, d.problems.sorted()
	}
	if j.CircuitName, ok = name.text(); !ok {
		return nil, d.problems.sorted()
	}
	shown, circuitText, err := open(j.CircuitName)
	if err != nil {
		name.fail(err.Error(), "name a file beside this one, or library:NAME")
		return nil, d.problems.sorted()
	}
	c, circuitProblems := ParseCircuit(shown, circuitText)
	if c == nil {
		return nil, append(circuitProblems, d.problems.sorted()...)
	}
	j.Circuit = c
	p := jobParser{j: j, c: c, d: d}
	p.job(root)
	problems := append(circuitProblems, d.problems.sorted()...)
	if len(problems.Errors()) > 0 {
		return nil, problems
	}
	return j, problems
}

type jobParser struct {
	j *Job
	c *Circuit
	d *decoder
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
}

func (p *jobParser) codes(c cursor) {
	codes, ok := c.texts()
	if !ok {
		return
	}
	known := p.c.Codes()
	for i, code := range codes {
		if !contains(known, code) {
			c.list()[i].warn(fmt.Sprintf("no pin of the circuit sets the code %s, so it counts for nothing", code), didYouMean(code, known))
		}
	}
	p.j.Codes = codes
}

// Codes are the codes that the circuit's pins can set, in file order.
func (c *Circuit) Codes() []string {
	var out []string
	for _, m := range c.Modules {
		for _, pin := range m.Pins {
			for _, l := range []*Limit{pin.Below, pin.Above} {
				if l != nil && l.Code != "" && !contains(out, l.Code) {
					out = append(out, l.Code)
				}
			}
		}
	}
	return out
}

func (p *jobParser) meter(m cursor) {
	if !m.table("input_ohms", "volts", "ohms", "amps", "max_ohms") {
		return
	}
	to := &p.j.Meter
	to.InputOhms = m.ohmsOr("input_ohms", to.InputOhms, bounds{100, 1e13, false})
	to.MaxOhms = m.ohmsOr("max_ohms", to.MaxOhms, positive)
	for _, q := range Quantities()[:3] {
		a, ok := m.key(q)
		if !ok || !a.table("pct", "plus") {
			continue
		}
		accuracy := &to.Volts
		switch Quantity(q) {
		case Ohms:
			accuracy = &to.Ohms
		case Amps:
			accuracy = &to.Amps
		}
		accuracy.Pct = a.numberOr("pct", accuracy.Pct, percent)
		accuracy.Plus = a.numberOr("plus", accuracy.Plus, notNegative)
	}
}

// stimuli reads a table DEVICE = stimulus, in file order.
func (p *jobParser) stimuli(c cursor) []SetDevice {
	var out []SetDevice
	c.each(func(name string, entry cursor) {
		d := p.c.Device(name)
		if d == nil {
			entry.fail(fmt.Sprintf("no device is called %s", name), didYouMean(name, p.c.deviceNames()))
			return
		}
		if !d.Kind.HasStimulus() {
			entry.fail(fmt.Sprintf("%s is a %s: nothing outside the circuit sets it", name, d.Kind), "remove it")
			return
		}
		if v, ok := d.readSet(entry); ok {
			out = append(out, SetDevice{name, v})
		}
	})
	return out
}

// readingKeys are the keys of a [[reading]], in the order in which a job file writes them.
var readingKeys = []string{"at", "to", "volts", "ohms", "amps", "scan_volts", "quantity", "key", "unplugged", "jumper", "load", "set", "wiggle", "symptom", "note"}

// reading reads one [[reading]]; ok is false where it is at fault.
func (p *jobParser) reading(c cursor, needAt bool) (Reading, bool) {
	before := len(p.d.problems.Errors())
	if !c.table(readingKeys...) {
		return Reading{}, false
	}
	r := Reading{Line: c.at(), To: BNegative, Quantity: Volts, Note: c.textOr("note", ""), Symptom: Symptom(c.textOr("symptom", ""))}
	p.quantity(c, &r)
	p.state(c, &r)
	p.leads(c, &r, needAt)
	if s, ok := c.key("symptom"); ok && r.Symptom != SymptomThere && r.Symptom != SymptomAway {
		s.fail(fmt.Sprintf("a symptom cannot be %q", r.Symptom), `write "there" or "away"`)
	}
	if w, ok := c.key("wiggle"); ok {
		if r.Wiggle, ok = w.text(); ok {
			p.wigglePlace(w, &r)
		}
	}
	p.manners(c, r)
	return r, len(p.d.problems.Errors()) == before
}

// quantity reads what was measured and the value, if there is one.
func (p *jobParser) quantity(c cursor, r *Reading) {
	var given []string
	for _, q := range Quantities() {
		if _, ok := c.key(q); ok {
			given = append(given, q)
		}
	}
	if q, ok := c.key("quantity"); ok {
		text, isText := q.text()
		switch {
		case !isText:
		case !contains(Quantities(), text):
			q.fail(fmt.Sprintf("no quantity is called %q", text), didYouMean(text, Quantities()))
		case len(given) == 1 && given[0] != text:
			q.fail(fmt.Sprintf("the reading has a value in %s", given[0]), "leave quantity away, or make them agree")
		default:
			r.Quantity = Quantity(text)
		}
	}
	if len(given) > 1 {
		c.fail("a reading has one value, not "+strings.Join(given, " and "), "make two readings of it")
		return
	}
	if len(given) == 0 {
		return
	}
	r.Quantity, r.Taken = Quantity(given[0]), true
	v, _ := c.key(given[0])
	values := v.list()
	if v.isList() && len(values) != 2 {
		v.fail("must be one value, or [low, high] of a reading that moved", "")
		return
	}
	low, okLow := p.value(values[0], r)
	r.Value, r.High = low, low
	if !v.isList() || !okLow {
		return
	}
	r.Pair = true
	if r.OL {
		v.fail("OL is the higher of two values", "write [low, \"OL\"]")
		return
	}
	high, okHigh := p.value(values[1], r)
	r.High = high
	if okHigh && !r.OL && low > high {
		v.fail(fmt.Sprintf("[%g, %g] is in falling order", low, high), "write the lower value first")
	}
}

func (p *jobParser) value(c cursor, r *Reading) (float64, bool) {
	if s, isText := c.value.(string); isText && r.Quantity == Ohms {
		if strings.EqualFold(s, "OL") {
			r.OL = true
			return p.j.Meter.MaxOhms, true
		}
		return c.ohms()
	}
	v, ok := c.number()
	if ok && r.Quantity == Ohms && v < 0 {
		c.fail(fmt.Sprintf("%g Ω is no resistance", v), `write ohms of 0 or more, or "OL"`)
		return 0, false
	}
	return v, ok
}

func (p *jobParser) state(c cursor, r *Reading) {
	s := &r.State
	s.Key = Key(c.textOr("key", string(KeyOn)))
	if k, ok := c.key("key"); ok && s.Key != KeyOff && s.Key != KeyOn && s.Key != KeyRun {
		k.fail(fmt.Sprintf("the key cannot be %q", s.Key), `write "off", "on" or "run"`)
	}
	if u, ok := c.key("unplugged"); ok {
		names, _ := u.texts()
		for i, n := range names {
			plugs := p.c.PlugsNamed(n)
			if plugs == nil {
				u.list()[i].fail(fmt.Sprintf("nothing called %q can be unplugged", n), didYouMean(n, p.c.Plugs()))
			}
			for _, plug := range plugs {
				if !contains(s.Unplugged, plug) {
					s.Unplugged = append(s.Unplugged, plug)
				}
			}
		}
	}
	if jumpers, ok := c.key("jumper"); ok {
		for _, e := range jumpers.list() {
			if ends, ok := e.texts(); ok && len(ends) == 2 {
				from, okFrom := p.lead(e.list()[0], ends[0], s)
				to, okTo := p.lead(e.list()[1], ends[1], s)
				if okFrom && okTo {
					s.Jumpers = append(s.Jumpers, [2]Point{from, to})
				}
			} else if ok {
				e.fail("a jumper has two ends", `write jumper = [["MHS:1", "MHS:2"]]`)
			}
		}
	}
	if loads, ok := c.key("load"); ok {
		for _, e := range loads.list() {
			p.load(e, s)
		}
	}
	if set, ok := c.key("set"); ok {
		s.Set = p.stimuli(set)
	}
}

func (p *jobParser) load(e cursor, s *State) {
	if !e.table("from", "to", "ohms") {
		return
	}
	for _, k := range []string{"from", "to", "ohms"} {
		if _, ok := e.key(k); !ok {
			e.fail("the load has no "+k, `write load = [{ from = "B+", to = "MHS:3", ohms = 50 }]`)
			return
		}
	}
	fromKey, _ := e.key("from")
	toKey, _ := e.key("to")
	from, okFrom := p.lead(fromKey, e.textOr("from", ""), s)
	to, okTo := p.lead(toKey, e.textOr("to", ""), s)
	ohms := e.ohmsOr("ohms", 1, positive)
	if okFrom && okTo {
		s.Loads = append(s.Loads, LoadLead{from, to, ohms})
	}
}

// lead resolves a point that a meter, jumper or load lead touches in a state.
func (p *jobParser) lead(c cursor, text string, s *State) (Point, bool) {
	point, err := ParsePoint(text)
	if err == nil {
		point, err = p.c.Resolve(point)
	}
	if err != nil {
		c.fail(err.Error(), "")
		return point, false
	}
	if point.Side == "device" && !contains(s.Unplugged, p.c.PlugOf(point)) {
		c.fail(fmt.Sprintf("%s: the part's own pin can be touched only when %s is unplugged", point, p.c.PlugOf(point)),
			fmt.Sprintf("add unplugged = [%q], or measure at %s", p.c.PlugOf(point), point.Terminal()))
		return point, false
	}
	return point, true
}

// leads reads where the meter's leads are, or the element that the ammeter stands in for.
func (p *jobParser) leads(c cursor, r *Reading, needAt bool) {
	at, ok := c.key("at")
	if !ok {
		if needAt {
			c.fail("the reading does not say where", `write at = "MHS:2"`)
		}
		return
	}
	text, ok := at.text()
	if !ok {
		return
	}
	if to, given := c.key("to"); given {
		toText, isText := to.text()
		switch {
		case !isText:
		case r.Quantity == Amps || r.Quantity == ScanVolts:
			to.warn(fmt.Sprintf("a reading in %s has no black lead", r.Quantity), "leave it away")
		default:
			r.To, _ = p.lead(to, toText, &r.State)
		}
	}
	if r.Quantity == Amps {
		l, err := ParseLocation(text)
		if err == nil {
			l, err = p.c.faultPlace(l)
		}
		if err != nil {
			at.fail(err.Error(), "amps are read in place of a contact, a wire or a stud's joint")
		}
		r.At = l
		return
	}
	point, ok := p.lead(at, text, &r.State)
	r.At = PointLocation(point)
	if !ok {
		return
	}
	if r.Quantity == ScanVolts {
		if pin := p.c.Pin(point); pin == nil || pin.Kind != PinInput || point.Side != "" {
			at.fail(fmt.Sprintf("%s: a scan value is what a module reports of one of its input pins", point), didYouMean(point.String(), p.c.inputs()))
		}
	} else if point == r.To {
		at.fail(fmt.Sprintf("both leads are on %s", point), "name another point in at or to")
	}
}

func (c *Circuit) inputs() []string {
	var out []string
	for _, m := range c.Modules {
		for _, pin := range m.Pins {
			if pin.Kind == PinInput {
				out = append(out, pin.Point().String())
			}
		}
	}
	return out
}

func (p *jobParser) wigglePlace(c cursor, r *Reading) {
	l, err := ParseLocation(r.Wiggle)
	if err != nil {
		c.fail(err.Error(), "")
		return
	}
	if l.IsWire() {
		_, err = p.c.faultPlace(l)
	} else if _, known := p.c.elements[l.From.Place]; !known {
		err = fmt.Errorf("no place here is called %s%s", l, hintAfter(didYouMean(l.From.Place, p.c.Names())))
	}
	if err != nil {
		c.fail(err.Error(), "name the place that was moved: a connector, terminal, wire, splice or part")
	}
}

// manners refuses what would hurt and warns of what would mislead.
func (p *jobParser) manners(c cursor, r Reading) {
	if p.c.Pyrotechnic && (r.Quantity == Ohms || r.Quantity == Amps || len(r.State.Loads) > 0 || len(r.State.Jumpers) > 0) {
		c.fail("this is a pyrotechnic circuit: no ohms, amps, jumper or load", "follow the maker's procedure with the maker's equipment")
	}
	if r.Quantity == Ohms && r.State.Key != KeyOff {
		c.warn("ohms are measured with the key off on a dead, isolated circuit", `set key = "off" and measure again`)
	}
	if r.Quantity == ScanVolts && r.State.Key == KeyOff {
		c.warn("with the key off the module reports nothing", "")
	}
}

func (p *jobParser) inspection(c cursor) {
	if !c.table("at", "seen") {
		return
	}
	i := Inspection{Line: c.at(), Seen: c.textOr("seen", "")}
	if s, ok := c.key("seen"); !ok || !contains(SeenWords(), i.Seen) {
		if !ok {
			s = c
		}
		s.fail(fmt.Sprintf("an inspection cannot have seen %q", i.Seen), didYouMean(i.Seen, SeenWords()))
	}
	at, ok := c.key("at")
	if !ok {
		c.fail("the inspection does not say where", `write at = "C7:3"`)
		return
	}
	text, ok := at.text()
	if !ok {
		return
	}
	l, err := ParseLocation(text)
	if err == nil {
		if l.IsWire() {
			l, err = p.c.faultPlace(l)
		} else if l.From.Cavity == "" {
			if _, known := p.c.elements[l.From.Place]; !known && p.c.PlugsNamed(l.From.Place) == nil {
				err = fmt.Errorf("no place here is called %s%s", l, hintAfter(didYouMean(l.From.Place, p.c.Names())))
			}
		} else {
			_, err = p.c.Resolve(l.From)
		}
	}
	if err != nil {
		at.fail(err.Error(), "")
		return
	}
	i.At = l
	p.j.Inspections = append(p.j.Inspections, i)
}
