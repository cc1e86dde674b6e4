package circuits

import (
	"fmt"
	"math"
)

// MaxVolts is the highest battery voltage accepted: the boundary of voltage class A of ISO 6469-3 (from memory) and of
// extra-low voltage in IEC 60950-1.
const MaxVolts = 60

// ParseCircuit reads a circuit file. file is its name for messages. The circuit is nil where any problem is an error;
// the problems, in line order, hold the warnings too.
func ParseCircuit(file string, text []byte) (*Circuit, Problems) {
	d, root := decode(file, text)
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	c := &Circuit{File: file, elements: map[string]element{}, order: map[Location]int{}}
	p := circuitParser{c: c, d: d}
	p.circuit(root)
	problems := d.problems.sorted()
	if len(problems.Errors()) > 0 {
		return nil, problems
	}
	d.problems = nil
	p.remarks()
	return c, append(problems, d.problems...).sorted()
}

// circuitParser carries the circuit under construction and the problems met.
type circuitParser struct {
	c *Circuit
	d *decoder
}

func (p *circuitParser) circuit(root cursor) {
	c := p.c
	root.table("format", "title", "notes", "pyrotechnic", "battery", "module", "device", "connector", "splice", "ground", "run", "note")
	format(root)
	c.Title = root.textOr("title", "")
	c.Notes = root.textOr("notes", "")
	c.Pyrotechnic = root.boolOr("pyrotechnic", false)
	p.battery(root)
	c.elements["B+"], c.elements["B-"] = element{kind: isPost}, element{kind: isPost}
	p.section(root, "module", p.module)
	p.section(root, "device", p.device)
	p.section(root, "connector", p.connector)
	p.section(root, "splice", p.splice)
	p.section(root, "ground", p.stud)
	runs, ok := root.key("run")
	if !ok {
		root.problem(false, "", "the circuit has no [[run]]", "add the wires, one [[run]] with a path for each chain of the diagram")
		return
	}
	for _, r := range runs.list() {
		p.run(r)
	}
	p.finishRuns()
	if notes, ok := root.key("note"); ok && len(p.d.problems.Errors()) == 0 {
		for _, n := range notes.list() {
			p.faultNote(n)
		}
	}
}

func format(root cursor) {
	f, ok := root.key("format")
	if !ok {
		root.problem(false, "", "the file does not say its format", "write format = 1 on top")
	} else if v, isInt := f.value.(int64); !isInt || v != 1 {
		f.fail(fmt.Sprintf("format %v is unknown to this version", f.value), "write format = 1")
	}
}

func (p *circuitParser) battery(root cursor) {
	p.c.Battery = Battery{Volts: 12.6, RunningVolts: 14.2, SourceOhms: 0.01}
	b, ok := root.key("battery")
	if !ok || !b.table("volts", "running_volts", "source_ohms") {
		return
	}
	battery := &p.c.Battery
	for _, v := range []struct {
		key string
		to  *float64
	}{{"volts", &battery.Volts}, {"running_volts", &battery.RunningVolts}} {
		*v.to = b.numberOr(v.key, *v.to, positive)
		if sub, ok := b.key(v.key); ok && *v.to > MaxVolts {
			sub.fail(fmt.Sprintf("%g V is above %d V: such a circuit can kill and is refused", *v.to, MaxVolts),
				"leave it to people licensed for it, by the maker's procedure")
		}
	}
	if _, given := b.key("running_volts"); !given && battery.Volts != 12.6 {
		battery.RunningVolts = battery.Volts * 14.2 / 12.6
	}
	battery.SourceOhms = b.ohmsOr("source_ohms", battery.SourceOhms, notNegative)
}

// section walks [kind.NAME] tables and registers the names.
func (p *circuitParser) section(root cursor, kind string, read func(name string, c cursor)) {
	s, ok := root.key(kind)
	if !ok {
		return
	}
	s.each(func(name string, entry cursor) {
		if !validName(name) || containsDot(name) {
			entry.fail(fmt.Sprintf("%q cannot be a name", name), "use letters, digits, '_', '-' or '#'")
			return
		}
		if old, taken := p.c.elements[name]; taken {
			entry.fail(fmt.Sprintf("the name %s is taken by the %s of line %d", name, elementWords[old.kind], old.line), "give one of them another name")
			return
		}
		read(name, entry)
	})
}

func containsDot(s string) bool {
	for _, r := range s {
		if r == '.' {
			return true
		}
	}
	return false
}

func (p *circuitParser) register(name string, kind elementKind, index int, c cursor) {
	p.c.elements[name] = element{kind: kind, index: index, line: c.at()}
	p.name(PointLocation(Point{Place: name}))
}

// name notes where the file first names a place.
func (p *circuitParser) name(l Location) {
	if _, ok := p.c.order[l]; !ok {
		p.c.order[l] = len(p.c.order)
	}
}

func (p *circuitParser) module(name string, c cursor) {
	if !c.table("label", "access_min", "supply_ohms", "pins") {
		return
	}
	m := Module{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 6, notNegative),
		SupplyOhms: c.ohmsOr("supply_ohms", 30, positive)}
	p.register(name, isModule, len(p.c.Modules), c)
	if pins, ok := c.key("pins"); ok {
		pins.each(func(cavity string, pin cursor) {
			if !validName(cavity) {
				pin.fail(fmt.Sprintf("%q cannot be a cavity", cavity), "use letters and digits, such as A1")
				return
			}
			if parsed, ok := parsePin(name, cavity, pin); ok {
				m.Pins = append(m.Pins, parsed)
				p.name(parsed.Inside())
			}
		})
	}
	if len(m.Pins) == 0 {
		c.fail("the module has no pins", "add them: pins.A1 = { kind = \"reference\" }")
	}
	p.c.Modules = append(p.c.Modules, m)
}

func (p *circuitParser) connector(name string, c cursor) {
	if !c.table("label", "access_min", "sides") {
		return
	}
	k := Connector{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 3, notNegative), Sides: [2]string{"a", "b"}}
	if s, ok := c.key("sides"); ok {
		sides, fine := s.texts()
		switch {
		case !fine:
		case len(sides) != 2 || sides[0] == sides[1] || !validName(sides[0]) || !validName(sides[1]):
			s.fail("must be two different names, one for each half", `write sides = ["chassis", "mast"]`)
		default:
			k.Sides = [2]string{sides[0], sides[1]}
		}
	}
	p.register(name, isConnector, len(p.c.Connectors), c)
	p.c.Connectors = append(p.c.Connectors, k)
}

// texts reads a list of strings.
func (c cursor) texts() ([]string, bool) {
	if !c.isList() {
		c.fail("must be a list of texts, not "+describe(c.value), "")
		return nil, false
	}
	var out []string
	ok := true
	for _, e := range c.list() {
		s, fine := e.text()
		ok = ok && fine
		out = append(out, s)
	}
	return out, ok
}

func (p *circuitParser) splice(name string, c cursor) {
	if !c.table("label", "access_min") {
		return
	}
	p.register(name, isSplice, len(p.c.Splices), c)
	p.c.Splices = append(p.c.Splices, Splice{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 15, notNegative)})
}

func (p *circuitParser) stud(name string, c cursor) {
	if !c.table("label", "access_min") {
		return
	}
	p.register(name, isStud, len(p.c.Studs), c)
	p.c.Studs = append(p.c.Studs, Stud{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 3, notNegative)})
}

// parsePin reads one pin; the keys allowed are those of its kind.
func parsePin(module, cavity string, c cursor) (Pin, bool) {
	p := Pin{Module: module, Cavity: cavity, Line: c.at()}
	if _, isTable := c.value.(map[string]any); !isTable {
		c.fail("must be a table such as { kind = \"input\" }, not "+describe(c.value), "")
		return p, false
	}
	k, ok := c.key("kind")
	if !ok {
		c.fail("the pin has no kind", didYouMean("", PinKinds()))
		return p, false
	}
	kind, ok := k.text()
	if !ok {
		return p, false
	}
	if !contains(PinKinds(), kind) {
		k.fail(fmt.Sprintf("no pin is a %q", kind), didYouMean(kind, PinKinds()))
		return p, false
	}
	p.Kind = PinKind(kind)
	keys := []string{"kind", "label"}
	number := func(to *float64, key string, def float64, b bounds) {
		keys = append(keys, key)
		*to = c.numberOr(key, def, b)
	}
	ohms := func(to *float64, key string, def float64, b bounds) {
		keys = append(keys, key)
		*to = c.ohmsOr(key, def, b)
	}
	railVolts := bounds{0, MaxVolts, false}
	p.Label = c.textOr("label", "")
	switch p.Kind {
	case PinReference:
		number(&p.Volts, "volts", 5, bounds{0, MaxVolts, true})
		number(&p.TolerancePct, "tolerance_pct", 1, percent)
		ohms(&p.SourceOhms, "source_ohms", 0.2, notNegative)
		number(&p.LimitMA, "limit_ma", 80, positive)
		ohms(&p.LeakOhms, "leak_ohms", 50e3, positive)
	case PinInput:
		ohms(&p.PullUpOhms, "pull_up_ohms", 0, positive)
		number(&p.PullUpVolts, "pull_up_volts", 5, railVolts)
		ohms(&p.PullDownOhms, "pull_down_ohms", 0, positive)
		number(&p.TolerancePct, "tolerance_pct", 5, percent)
		ohms(&p.InputOhms, "input_ohms", 1e6, positive)
		keys = append(keys, "range_volts", "bits", "below", "above")
		p.RangeVolts = c.pairOr("range_volts", [2]float64{0, 5})
		p.Bits = bitsOr(c, 10)
		p.Below, p.Above = limit(c, "below"), limit(c, "above")
	case PinReturn:
		ohms(&p.Ohms, "ohms", 0.02, notNegative)
		number(&p.OffsetVolts, "offset_volts", 0, bounds{-MaxVolts, MaxVolts, false})
	case PinLowSide:
		ohms(&p.OnOhms, "on_ohms", 0.2, notNegative)
		ohms(&p.SenseOhms, "sense_ohms", 10e3, positive)
		number(&p.SenseVolts, "sense_volts", 5, railVolts)
		p.On, keys = c.boolOr("on", false), append(keys, "on")
	case PinHighSide:
		ohms(&p.OnOhms, "on_ohms", 0.05, notNegative)
		p.On, keys = c.boolOr("on", true), append(keys, "on")
	case PinCANHigh, PinCANLow:
		number(&p.BiasVolts, "bias_volts", 2.5, railVolts)
		ohms(&p.BiasOhms, "bias_ohms", 15e3, positive)
	case PinLIN:
		p.Commander, keys = c.boolOr("commander", false), append(keys, "commander")
		def := 30e3
		if p.Commander {
			def = 1e3
		}
		ohms(&p.LINOhms, "pull_up_ohms", def, positive)
	}
	return p, c.table(keys...)
}

func bitsOr(c cursor, def int) int {
	v := c.numberOr("bits", float64(def), bounds{1, 24, false})
	if v != math.Trunc(v) {
		sub, _ := c.key("bits")
		sub.fail(fmt.Sprintf("%g bits are impossible", v), "give a whole number")
		return def
	}
	return int(v)
}

func limit(c cursor, key string) *Limit {
	l, ok := c.key(key)
	if !ok || !l.table("volts", "code") {
		return nil
	}
	if _, ok := l.key("volts"); !ok {
		l.fail("the limit has no volts", `write { volts = 4.75, code = "…" }`)
		return nil
	}
	return &Limit{Volts: l.numberOr("volts", 0, anyNumber), Code: l.textOr("code", "")}
}
