package wirelist

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/cmd/internal/draft/circuittext"
)

// module writes a module with its guessed pins, in the order of their cavities.
func (d draft) module(p *place) circuittext.Module {
	m := circuittext.Module{Name: p.name}
	if p.why != "" {
		m.Above = []string{"taken for a module from " + p.why + ", check"}
	}
	cavities := slices.Clone(p.cavities)
	slices.SortStableFunc(cavities, circuittext.CompareCavities)
	for _, c := range cavities {
		e := end{p.name, c, ""}
		kind, why := d.pinKind(e)
		pin := circuittext.Pin{Cavity: c, Fields: append([]circuittext.Field{field("kind", circuittext.Quote(kind))}, d.pinValues(e, kind)...)}
		pin.Comment = "guessed from " + why + ", check"
		if why == "" {
			pin.Comment = "nothing in the list tells what this is, check"
		}
		m.Pins = append(m.Pins, pin)
	}
	return m
}

// pinKind guesses what stands behind a module pin, and from what.
func (d draft) pinKind(e end) (kind, why string) {
	n := d.of[e]
	c, why := unknown, ""
	for _, i := range n.wires {
		w := d.list.wires[i]
		if w.from.terminal() == e || w.to.terminal() == e {
			if own, from := w.carries(); own != unknown && c == unknown {
				c, why = own, from
			}
		}
	}
	if c == unknown {
		c, why = n.class, n.why
	}
	if c == unknown {
		c, why = d.fromParts(n)
	}
	if c == unknown {
		c, why = d.fromColour(n)
	}
	switch c {
	case reference, power, ground:
		return string(c), why
	case returning:
		return "return", why
	case canHigh:
		return "can_high", why
	case canLow:
		return "can_low", why
	case lin:
		return "lin", why
	case control:
		return d.driver(n), why
	}
	return "input", why
}

// fromParts tells what a net carries from the terminals of parts on it.
func (d draft) fromParts(n *net) (class, string) {
	for _, p := range d.parts {
		for i, t := range p.terminals {
			if d.of[p.end(i)] != n || len(p.terminals) != 3 {
				continue
			}
			switch t.role {
			case "supply":
				return reference, "the supply of " + p.name
			case "return":
				return returning, "the return of " + p.name
			case "output", "wiper":
				return signal, "the output of " + p.name
			}
		}
	}
	return unknown, ""
}

// fromColour is the weakest hint: black and brown lead back, red and orange feed (common practice, no source).
func (d draft) fromColour(n *net) (class, string) {
	for _, i := range n.wires {
		switch strings.SplitN(d.list.wires[i].color, "/", 2)[0] {
		case "BK", "BN":
			return returning, "its colour"
		case "RD", "OG":
			return reference, "its colour"
		}
	}
	return unknown, ""
}

// driver tells a high-side driver by a load whose other end is on ground; most drivers are on the low side.
func (d draft) driver(n *net) string {
	for _, p := range d.parts {
		for i := range p.terminals {
			if len(p.terminals) != 2 || d.of[p.end(i)] != n {
				continue
			}
			if other := d.of[p.end(1-i)]; other != nil && (other.class == ground || other.class == returning) {
				return "high_side"
			}
		}
	}
	return "low_side"
}

// pinValues are what a pin of that kind needs to be usable, at usual values.
func (d draft) pinValues(e end, kind string) []circuittext.Field {
	n := d.of[e]
	switch kind {
	case "low_side", "high_side":
		return []circuittext.Field{field("on", "true")}
	case "reference":
		for _, i := range n.wires {
			if name := strings.ReplaceAll(d.list.wires[i].name, " ", ""); strings.Contains(strings.ToUpper(name), "8V") && !strings.Contains(strings.ToUpper(name), "5V") {
				return []circuittext.Field{field("volts", "8.0")}
			}
		}
		return []circuittext.Field{field("volts", "5.0")}
	case "input":
		for _, p := range d.parts {
			for i, t := range p.terminals {
				if d.of[p.end(i)] == n {
					return pull(p.kind, t.role, d.other(p, i))
				}
			}
		}
		return pull("", "", unknown)
	}
	return nil
}

// other is what the other end of a two-terminal part carries.
func (d draft) other(p *device, i int) class {
	if len(p.terminals) == 2 {
		if n := d.of[p.end(1-i)]; n != nil {
			return n.class
		}
	}
	return unknown
}

// pull is the usual resistor of an input by what stands on it (common practice, no source).
func pull(kind, role string, other class) []circuittext.Field {
	switch kind {
	case "ratiometric", "potentiometer":
		return []circuittext.Field{field("pull_down_ohms", `"220k"`)}
	case "switching", "rtd":
		return []circuittext.Field{field("pull_up_ohms", `"1k"`)}
	case "zirconia":
		return []circuittext.Field{field("pull_up_ohms", `"470k"`), field("pull_up_volts", "0.45"), field("input_ohms", `"10M"`)}
	case "current_loop":
		return []circuittext.Field{field("pull_down_ohms", "250")}
	}
	if other == power || other == reference || kind == "load" {
		return []circuittext.Field{field("pull_down_ohms", `"22k"`), field("range_volts", "[0, 40]")}
	}
	return []circuittext.Field{field("pull_up_ohms", `"2k2"`)}
}

// device writes a part with the values that its kind needs.
func (d draft) device(p *device) circuittext.Place {
	out := circuittext.Place{Section: "device", Name: p.name, Fields: []circuittext.Field{
		{Key: "kind", Value: circuittext.Quote(p.kind), Comment: "guessed from " + p.why + ", check"}}}
	roles := make([]string, len(p.terminals))
	for i, t := range p.terminals {
		roles[i] = t.role + " = " + circuittext.Quote(t.cavity)
	}
	terminals := circuittext.Field{Key: "terminals", Value: "{ " + strings.Join(roles, ", ") + " }"}
	switch {
	case len(p.invented) == 1:
		terminals.Comment = fmt.Sprintf("the list has no wire for %s, check", p.invented[0])
	case len(p.invented) > 1:
		terminals.Comment = fmt.Sprintf("the list has no wires for %s, check", strings.Join(p.invented, ", "))
	}
	out.Fields = append(out.Fields, terminals)
	value := func(key, text string) {
		out.Fields = append(out.Fields, circuittext.Field{Key: key, Value: text, Comment: "usual value, check"})
	}
	switch p.kind {
	case "thermistor":
		value("ohms_25", `"2k"`)
		value("beta", "3500")
	case "potentiometer":
		value("ohms", `"5k"`)
	case "load":
		if within(p.place.cavities, coilWays) {
			value("ohms", "85")
		} else {
			value("ohms", "10")
		}
	case "switch":
		if within(p.place.cavities, contactWays) {
			out.Fields = append(out.Fields, circuittext.Field{Key: "set", Value: "1", Comment: "pulled in, check"})
		}
	case "fuse":
		value("amps", "10")
	case "resistor":
		ohms := "1000"
		for i := range p.terminals {
			if n := d.of[p.end(i)]; n != nil && (n.class == canHigh || n.class == canLow) {
				ohms = "120"
			}
		}
		value("ohms", ohms)
	}
	return out
}
