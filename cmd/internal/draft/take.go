package draft

import (
	"fmt"
	"slices"
	"strings"
)

// usualPins are the next free pins of the module, B+ and a ground stud, as the lines start as a rule; a reference or
// return that an earlier part has brought to a splice is shared.
func usualPins(d *drafting, p *part) string {
	var out []string
	n := 1
	for i, l := range p.lines {
		switch l.starts[0] {
		case atBattery:
			out = append(out, "B+")
		case atGround:
			out = append(out, d.stud())
		default:
			if shared := d.spliced(p, i); shared != "" {
				out = append(out, shared)
				continue
			}
			for d.pin(fmt.Sprintf("A%d", n)) != nil {
				n++
			}
			out = append(out, fmt.Sprintf("A%d", n))
			n++
		}
	}
	return strings.Join(out, ",")
}

// spliced is the pin of an earlier supply or return of the same kind that goes to a splice; "" for none.
func (d *drafting) spliced(p *part, i int) string {
	word := p.lines[i].word
	if word != "supply" && word != "return" {
		return ""
	}
	kind, _ := d.pinOf(p, i)
	for _, u := range d.pins {
		for _, name := range d.order {
			if u.kind == kind && d.splices[name] == d.module+":"+u.cavity {
				return u.cavity
			}
		}
	}
	return ""
}

// usualWay is the way of the part before: its in-line connectors, and the splices of the lines that are shared with
// it. With cavities of its own the next free ones are taken.
func usualWay(d *drafting, p *part) string {
	if len(d.parts) == 0 {
		return "none"
	}
	var out []string
	for _, s := range d.parts[len(d.parts)-1].steps {
		if !s.splice {
			out = append(out, s.name)
			continue
		}
		i := lineIndex(p.lines, s.line)
		if i >= 0 && p.starts[i].at == atPin && d.splices[s.name] == d.point(p, p.starts[i]) {
			out = append(out, s.name+"="+s.line)
		}
	}
	if len(out) == 0 {
		return "none"
	}
	return strings.Join(out, ",")
}

// takePins reads where the lines start. G1 is a stud where the line may start at one; ECU:G1 is the module's pin.
func takePins(d *drafting, p *part, answer string) error {
	answers := splitList(answer)
	if err := oneEach(p, answers, "pin"); err != nil {
		return err
	}
	p.starts = nil
	var starts []start
	for i, a := range answers {
		l := p.lines[i]
		s := start{at: atPin, name: strings.TrimPrefix(a, d.module+":")}
		switch {
		case isPost(a):
			s = start{at: atBattery}
		case a == s.name && slices.Contains(l.starts, atGround) && looksLikeStud(a):
			s = start{at: atGround, name: a}
		}
		if !slices.Contains(l.starts, s.at) {
			return fmt.Errorf("the %s of a %s cannot start at %s", l.word, p.kind.word, a)
		}
		if s.at != atBattery {
			check := cavityName
			if s.at == atGround {
				check = plainName
			}
			if err := check(s.name); err != nil {
				return err
			}
		}
		if old := d.names[s.name]; s.at == atGround && (old != "" && old != "ground stud" || p.uses(s.name)) {
			return fmt.Errorf("%s is the name of something else", s.name)
		}
		for _, other := range starts {
			if other == s && s.at == atPin {
				return fmt.Errorf("pin %s stands twice", s.name)
			}
		}
		starts = append(starts, s)
	}
	p.starts = starts
	if p.kind.word == "can" {
		for _, s := range p.starts {
			if d.pin(s.name) != nil {
				return fmt.Errorf("pin %s is taken already", s.name)
			}
		}
	}
	return nil
}

// looksLikeStud tells a ground stud by its name: G1, GND, GND3.
func looksLikeStud(name string) bool {
	n := strings.ToUpper(name)
	return strings.HasPrefix(n, "GND") || len(n) > 1 && n[0] == 'G' && strings.Trim(n[1:], "0123456789") == ""
}

// takeLengths reads one length for every leg, or one for all.
func takeLengths(_ *drafting, p *part, answer string) error {
	texts := splitList(answer)
	legs := len(p.steps) + 1
	if len(texts) != 1 && len(texts) != legs {
		return fmt.Errorf("%d lengths are needed, or one for each leg; here are %d", legs, len(texts))
	}
	lengths := make([]float64, legs)
	for i := range lengths {
		v, err := positiveNumber(texts[min(i, len(texts)-1)])
		if err != nil {
			return err
		}
		if v > 50 {
			return fmt.Errorf("%g m of wire is more than a machine's harness has; lengths are in metres", v)
		}
		lengths[i] = v
	}
	p.measure(lengths)
	return nil
}

// measure gives each wire of each route the sum of the legs it spans.
func (p *part) measure(legs []float64) {
	p.lengths = make([][]float64, len(p.routes))
	for i, r := range p.routes {
		at := r.from
		for _, leg := range r.legs {
			sum := 0.0
			for k := at + 1; k <= leg; k++ {
				sum += legs[k]
			}
			p.lengths[i] = append(p.lengths[i], roundTo(sum, 6))
			at = leg
		}
	}
}

// takeFar reads the module at the far end of a bus.
func takeFar(d *drafting, p *part, answer string) error {
	p.far = far{}
	if answer == "none" {
		return nil
	}
	name, pins, ok := strings.Cut(answer, ":")
	if !ok {
		return fmt.Errorf("%q: write the module and its pins for high and low, such as DSP:5+6, or none", answer)
	}
	if err := plainName(name); err != nil {
		return err
	}
	p.far = far{name: name, pins: strings.Split(pins, "+")}
	if n := len(p.far.pins); n != 2 && n != 4 {
		return fmt.Errorf("%q: two pins are needed, for high and low, or four, with power and ground", answer)
	}
	for i, pin := range p.far.pins {
		if err := cavityName(pin); err != nil {
			return err
		}
		if slices.Contains(p.far.pins[:i], pin) {
			return fmt.Errorf("pin %s stands twice", pin)
		}
	}
	taken := p.far.name
	p.far.name = " " // its own name is no reason against it
	if d.names[taken] != "" || p.uses(taken) {
		return fmt.Errorf("%s is the name of something else", taken)
	}
	p.far.name = taken
	return nil
}

// farAlike checks that the modules at the far ends of buses list their power and ground pins where this one does: a
// module without them counts as perfectly fed beside one that is not.
func (d *drafting) farAlike(listed bool) error {
	for _, p := range d.parts {
		if p.far.name != "" && listed != (len(p.far.pins) == 4) {
			if listed {
				return fmt.Errorf("%s at the far end needs its power and ground pins too: write it as %s:%s+POWER+GROUND", p.far.name, p.far.name, strings.Join(p.far.pins, "+"))
			}
			return fmt.Errorf("%s at the far end has its power and ground pins: give those of %s too", p.far.name, d.module)
		}
	}
	return nil
}

// pullFits refuses a pull resistor with which the part could never be read.
func (p *part) pullFits() error {
	needs := ""
	switch p.kind.word {
	case "thermistor", "rtd", "resistor", "switching":
		needs = "up"
	case "switch":
		needs = "up"
		if p.fed() {
			needs = "down"
		}
	}
	if needs != "" && !strings.HasPrefix(p.values["pull"], needs+" ") {
		return fmt.Errorf("a %s wired so needs a pull-%s: nothing else gives its input a voltage", p.kind.word, needs)
	}
	return nil
}

// fuseOf reads F1:10, or none.
func (d *drafting) fuseOf(p *part, answer string) (fuse, error) {
	if answer == "none" {
		return fuse{}, nil
	}
	name, amps, ok := strings.Cut(answer, ":")
	if !ok {
		amps = "10"
	}
	v, err := positiveNumber(amps)
	if err != nil {
		return fuse{}, err
	}
	if v > 600 {
		return fuse{}, fmt.Errorf("no harness has a fuse of %g A", v)
	}
	if err := plainName(name); err != nil {
		return fuse{}, err
	}
	if d.names[name] != "" || p != nil && p.uses(name) {
		return fuse{}, fmt.Errorf("%s is the name of something else", name)
	}
	return fuse{name, v}, nil
}

// modulePin keeps a free pin of the module, or none.
func (d *drafting) modulePin(to *string, answer string) error {
	if answer == "none" {
		return nil
	}
	if err := cavityName(answer); err != nil {
		return err
	}
	if d.pin(answer) != nil {
		return fmt.Errorf("%s is the %s of %s", answer, d.pin(answer).word, d.pin(answer).part)
	}
	*to = answer
	return nil
}
