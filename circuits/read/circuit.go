// Package read makes circuits and jobs out of the text of their files. All problems of a file are found in one pass, each with
// its line and what to do; a value comes back only where none of them is an error.
package read

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/remarks"
	"ohmtrail/models"
)

// Circuit reads a circuit file. file is its name for messages. The circuit is nil where any problem is an error;
// the problems, in line order, hold the warnings too.
func Circuit(file string, text []byte) (*circuits.Circuit, circuits.Problems) {
	d, root := decode(file, text)
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	c := circuits.New(file)
	p := circuitParser{c: c, d: d, doubtful: map[string]bool{}, wires: map[circuits.Location]int{}, contacts: map[string]circuits.Contact{}}
	p.circuit(root)
	problems := d.problems.Sorted()
	if len(problems.Errors()) > 0 {
		return nil, problems
	}
	return c, append(problems, remarks.On(c, d.positions)...).Sorted()
}

// circuitParser carries the circuit under construction and the problems met.
type circuitParser struct {
	c        *circuits.Circuit
	d        *decoder
	doubtful map[string]bool             // places whose cavities could not all be read: no complaint about unknown ones
	wires    map[circuits.Location]int   // index of each wire, by its location
	paths    []cursor                    // the path of each run
	contacts map[string]circuits.Contact // what the contacts of a place have, where its table was read
}

func (p *circuitParser) circuit(root cursor) {
	c := p.c
	root.table("format", "title", "notes", "pyrotechnic", "battery", "module", "device", "connector", "splice", "ground", "run", "note")
	format(root)
	c.Title = root.textOr("title", "")
	c.Notes = root.textOr("notes", "")
	c.Pyrotechnic = root.boolOr("pyrotechnic", false)
	p.battery(root)
	p.section(root, "module", p.module)
	p.section(root, "device", p.device)
	p.section(root, "connector", p.connector)
	p.section(root, "splice", p.splice)
	p.section(root, "ground", p.stud)
	runs, ok := root.key("run")
	if !ok {
		if !root.lacks("run") {
			return
		}
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
		if root.lacks("format") {
			root.problem(false, "", "the file does not say its format", "write format = 1 on top")
		}
		return
	}
	switch v := f.value.(type) {
	case int64:
		if v != 1 {
			f.fail(fmt.Sprintf("%d is unknown to this version of ohmtrail", v), "write format = 1")
		}
	default:
		f.fail("must be the number 1, not "+describe(v), "write format = 1")
	}
}

func (p *circuitParser) battery(root cursor) {
	b, ok := root.key("battery")
	if !ok {
		b.value = map[string]any{}
	}
	battery := &p.c.Battery
	keys, widths := readNumbers(b, battery, circuits.BatteryNumbers)
	b.table(keys...)
	battery.Widths = [3]models.Width(widths)
	for i, volts := range []float64{battery.Volts, battery.RunningVolts} {
		v, given := b.key(keys[i])
		if v.isList() {
			volts = widths[i].High
		}
		if given && volts > circuits.MaxVolts {
			v.tooHigh(volts)
		}
	}
	if _, given := b.key("running_volts"); !given && battery.Volts != 12.6 {
		battery.RunningVolts = min(battery.Volts*14.2/12.6, circuits.MaxVolts)
		battery.Widths[1] = circuits.BatteryNumbers[1].Width(battery, false)
	}
}

// tooHigh refuses a battery that can kill.
func (c cursor) tooHigh(volts float64) {
	c.fail(fmt.Sprintf("%g V is above %d V: such a circuit can kill and is refused", volts, circuits.MaxVolts),
		"leave it to people licensed for it, by the maker's procedure")
}

// section walks [kind.NAME] tables and registers the names.
func (p *circuitParser) section(root cursor, kind string, read func(name string, c cursor)) {
	s, ok := root.key(kind)
	if !ok {
		return
	}
	if _, isTable := s.value.(map[string]any); !isTable {
		s.fail("must be a table of names, not "+describe(s.value), fmt.Sprintf("write [%s.NAME]", kind))
		return
	}
	s.each(func(name string, entry cursor) {
		switch {
		case name == "B+" || name == "B-":
			entry.fail(fmt.Sprintf("%s is the name of a battery post", name), "give it another name")
			return
		case !validPlace(name):
			entry.fail(fmt.Sprintf("%q cannot be a name", name), "use letters, digits, '_', '-' or '#'")
			return
		}
		if old := p.c.Element(name); old.Kind != 0 {
			entry.fail(fmt.Sprintf("the name %s is taken by the %s of line %d", name, old.Kind.String(), old.Line), "give one of them another name")
			return
		}
		read(name, entry)
	})
}

// validPlace tells whether a part can be called so: a point behind a name would be that of a module connector (MCU.A).
func validPlace(name string) bool { return circuits.ValidName(name) && !strings.Contains(name, ".") }

// register gives a part its name. Ranks are twice the order of what names a place, so that a wire has room between its two
// ends.
func (p *circuitParser) register(name string, kind circuits.ElementKind, index int, c cursor) {
	p.c.Register(name, circuits.Element{Kind: kind, Index: index, Line: c.at()})
	p.c.Named(circuits.PointLocation(circuits.Point{Place: name}), 2*c.order())
}

func (p *circuitParser) module(name string, c cursor) {
	if !c.table("label", "access_min", "supply_ohms", "contact_ohms", "pins") {
		return
	}
	m := circuits.Module{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 6, circuits.NotNegative)}
	m.Width = readNumber(c, &m, circuits.ModuleNumbers)
	p.contactsOf(name, c)
	p.register(name, circuits.ElementModule, len(p.c.Modules), c)
	pins, given := c.key("pins")
	named := 0
	if given {
		pins.each(func(cavity string, pin cursor) {
			named++
			if !circuits.ValidName(cavity) {
				pin.fail(fmt.Sprintf("%q cannot be a cavity", cavity), "use letters and digits, such as A1")
				p.doubtful[name] = true
				return
			}
			parsed := parsePin(name, cavity, pin)
			m.Pins = append(m.Pins, parsed)
			p.c.Named(parsed.Inside(), 2*pin.order())
		})
	}
	if len(m.Pins) == 0 {
		p.doubtful[name] = true
		if _, isTable := pins.value.(map[string]any); named == 0 && (isTable || c.lacks("pins")) {
			c.fail("the module has no pins", "add them: pins.A1 = { kind = \"reference\" }")
		}
	}
	p.c.Modules = append(p.c.Modules, m)
}

func (p *circuitParser) connector(name string, c cursor) {
	if !c.table("label", "access_min", "sides", "contact_ohms") {
		return
	}
	p.contactsOf(name, c)
	k := circuits.Connector{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 3, circuits.NotNegative), Sides: [2]string{"a", "b"}}
	if s, ok := c.key("sides"); ok {
		sides, fine := s.texts()
		switch {
		case !fine:
		case len(sides) != 2 || sides[0] == sides[1] || !circuits.ValidName(sides[0]) || !circuits.ValidName(sides[1]):
			s.fail("must be two different names, one for each half", `write sides = ["chassis", "mast"]`)
		default:
			k.Sides = [2]string{sides[0], sides[1]}
		}
	}
	p.register(name, circuits.ElementConnector, len(p.c.Connectors), c)
	p.c.Connectors = append(p.c.Connectors, k)
}

// texts reads a list of strings.
func (c cursor) texts() ([]string, bool) {
	if !c.isList() {
		hint := ""
		if s, isText := c.value.(string); isText {
			hint = fmt.Sprintf("write [%q]", s)
		}
		c.fail("must be a list of texts, not "+describe(c.value), hint)
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
	if !c.table("label", "access_min", "leg_ohms") {
		return
	}
	s := circuits.Splice{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 15, circuits.NotNegative)}
	s.Width = readNumber(c, &s, circuits.SpliceNumbers)
	p.register(name, circuits.ElementSplice, len(p.c.Splices), c)
	p.c.Splices = append(p.c.Splices, s)
}

func (p *circuitParser) stud(name string, c cursor) {
	if !c.table("label", "access_min", "ohms") {
		return
	}
	s := circuits.Stud{Name: name, Label: c.textOr("label", ""), Line: c.at(), AccessMin: c.numberOr("access_min", 3, circuits.NotNegative)}
	s.Width = readNumber(c, &s, circuits.StudNumbers)
	p.register(name, circuits.ElementStud, len(p.c.Studs), c)
	p.c.Studs = append(p.c.Studs, s)
}

// contactsOf reads what the contacts of a part or connector have, and gives it to all of them.
func (p *circuitParser) contactsOf(name string, c cursor) {
	var k circuits.Contact
	k.Width = readNumber(c, &k, circuits.ContactNumbers)
	p.contacts[name] = k
}
