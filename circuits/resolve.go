package circuits

import (
	"fmt"
	"sort"
	"strings"
)

// Cavities are the cavities of a module, device or in-line connector, in file order; nil for anything else.
func (c *Circuit) Cavities(name string) []string {
	var out []string
	switch e := c.elements[name]; e.kind {
	case isModule:
		for _, p := range c.Modules[e.index].Pins {
			out = append(out, p.Cavity)
		}
	case isDevice:
		for _, t := range c.Devices[e.index].Terminals {
			out = append(out, t.Cavity)
		}
	case isConnector:
		for _, r := range c.Runs {
			for _, p := range r.Path {
				if p.Place == name && !contains(out, p.Cavity) {
					out = append(out, p.Cavity)
				}
			}
		}
	}
	return out
}

// Names are all names of places, in alphabetical order.
func (c *Circuit) Names() []string {
	var out []string
	for n := range c.elements {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}

// Resolve checks that a point exists and gives it its full side: an in-line connector without a side means its first
// one; a module or device without one means the harness side.
func (c *Circuit) Resolve(p Point) (Point, error) {
	e, ok := c.elements[p.Place]
	if !ok {
		return p, fmt.Errorf("%s: no place here is called %s%s", p, p.Place, hintAfter(didYouMean(p.Place, c.Names())))
	}
	word := elementWords[e.kind]
	if e.kind == isSplice || e.kind == isStud || e.kind == isPost {
		if p.Cavity != "" {
			return p, fmt.Errorf("%s: the %s %s has no cavities; write %s", p, word, p.Place, p.Place)
		}
		return p, nil
	}
	known := c.Cavities(p.Place)
	if p.Cavity == "" {
		return p, fmt.Errorf("%s: which cavity of the %s? It has %s", p, word, strings.Join(known, ", "))
	}
	if !contains(known, p.Cavity) {
		return p, fmt.Errorf("%s: the %s %s has no cavity %s%s", p, word, p.Place, p.Cavity, hintAfter(didYouMean(p.Cavity, known)))
	}
	if e.kind != isConnector {
		if p.Side != "" && p.Side != "device" {
			return p, fmt.Errorf("%s: a %s has the sides %s (harness) and %s/device", p, word, p.Terminal(), p.Terminal())
		}
		return p, nil
	}
	k := c.Connectors[e.index]
	switch p.Side {
	case "":
		p.Side = k.Sides[0]
	case k.Sides[0], k.Sides[1]:
	default:
		return p, fmt.Errorf("%s: %s has the sides %s and %s%s", p, k.Name, k.Sides[0], k.Sides[1], hintAfter(didYouMean(p.Side, k.Sides[:])))
	}
	return p, nil
}

func hintAfter(hint string) string {
	if hint == "" {
		return ""
	}
	return "; " + hint
}

// Plugs are the names by which a job may unplug something here, in file order: in-line connectors, devices, and
// module connectors.
func (c *Circuit) Plugs() []string {
	var out []string
	for _, m := range c.Modules {
		out = append(out, c.modulePlugs(m)...)
	}
	for _, d := range c.Devices {
		out = append(out, d.Name)
	}
	for _, k := range c.Connectors {
		out = append(out, k.Name)
	}
	return out
}

func (c *Circuit) modulePlugs(m Module) []string {
	var out []string
	for _, p := range m.Pins {
		if n := p.Connector(); !contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// PlugsNamed are the connectors that a name in a job's `unplugged` takes apart: itself, or for a module with lettered
// connectors all of them; nil for an unknown name.
func (c *Circuit) PlugsNamed(name string) []string {
	if contains(c.Plugs(), name) {
		return []string{name}
	}
	if m := c.Module(name); m != nil {
		return c.modulePlugs(*m)
	}
	return nil
}

// PlugOf is the connector that a terminal belongs to, as a job unplugs it; "" for a splice, stud or post.
func (c *Circuit) PlugOf(p Point) string {
	switch c.elements[p.Place].kind {
	case isModule:
		return moduleConnector(p.Place, p.Cavity)
	case isDevice, isConnector:
		return p.Place
	}
	return ""
}

// ResolveFault checks that the places of a fault exist and can have it, and puts two faults into file order.
func (c *Circuit) ResolveFault(f Fault) (Fault, error) {
	first, err := c.resolveSingle(f.First)
	if err != nil || !f.IsDouble() {
		return Fault{First: first}, err
	}
	second, err := c.resolveSingle(f.Second)
	if err != nil {
		return f, err
	}
	if c.order[orderKey(second)] < c.order[orderKey(first)] {
		first, second = second, first
	}
	return Fault{first, second}, nil
}

func orderKey(s Single) Location { return s.At }

func (c *Circuit) resolveSingle(s Single) (Single, error) {
	wrong := func(err error) (Single, error) { return s, fmt.Errorf("fault %q: %w", s, err) }
	switch s.Kind {
	case Healthy, Unlisted:
		return s, nil
	case DeviceInside:
		d := c.Device(s.At.From.Place)
		if d == nil {
			return wrong(fmt.Errorf("no device is called %s%s", s.At, hintAfter(didYouMean(s.At.String(), c.deviceNames()))))
		}
		if !contains(d.InsideFaults(), s.Words) {
			return wrong(fmt.Errorf("a %s cannot be %q; %s", d.Kind, s.Words, didYouMean(s.Words, d.InsideFaults())))
		}
		return s, nil
	case ModuleInside:
		pin := c.Pin(s.At.From)
		if pin == nil {
			_, err := c.Resolve(s.At.From.Terminal())
			if err == nil {
				err = fmt.Errorf("%s is no module pin", s.At.From.Terminal())
			}
			return wrong(err)
		}
		if !contains(pin.InsideFaults(), s.Words) {
			return wrong(fmt.Errorf("a %s pin cannot be %q; %s", pin.Kind, s.Words, didYouMean(s.Words, pin.InsideFaults())))
		}
		return s, nil
	}
	var err error
	if s.At, err = c.faultPlace(s.At); err != nil {
		return wrong(err)
	}
	if s.Kind == ShortBetween || s.Kind == Swapped {
		if s.To, err = c.faultPlace(s.To); err != nil {
			return wrong(err)
		}
		if s.To == s.At {
			return wrong(fmt.Errorf("the two places are one"))
		}
	}
	isStud := !s.At.IsWire() && c.Stud(s.At.From.Place) != nil
	if isStud && (s.Kind != Open && s.Kind != HighResistance) {
		return wrong(fmt.Errorf("a stud's joint can be open or of high resistance, nothing else"))
	}
	if s.Kind == Swapped && (s.At.IsWire() || s.To.IsWire() || c.PlugOf(s.At.From) != c.PlugOf(s.To.From)) {
		return wrong(fmt.Errorf("only two terminals of one connector can be swapped"))
	}
	return s, nil
}

// faultPlace checks that a location is a wire, a mated contact or a stud of this circuit.
func (c *Circuit) faultPlace(l Location) (Location, error) {
	if l.IsWire() {
		if c.Wire(l) != nil {
			return l, nil
		}
		if turned := WireLocation(l.To, l.From); c.Wire(turned) != nil {
			return turned, nil
		}
		var near []string
		for _, w := range c.Wires {
			near = append(near, w.Location.String())
		}
		return l, fmt.Errorf("there is no wire %s%s", l, hintAfter(nearest(l.String(), near)))
	}
	if l.From.Side != "" {
		return l, fmt.Errorf("%s: a contact is named without a side; write %s", l, l.From.Terminal())
	}
	if c.Contact(l) != nil || l.From.Cavity == "" && c.Stud(l.From.Place) != nil {
		return l, nil
	}
	if _, err := c.Resolve(l.From); err != nil {
		return l, err
	}
	if c.Splice(l.From.Place) != nil {
		return l, fmt.Errorf("a splice's legs are its wires; name one, such as %s", c.wireAt(l.From))
	}
	return l, fmt.Errorf("nothing is mated at %s", l)
}

func (c *Circuit) wireAt(p Point) string {
	for _, w := range c.Wires {
		if w.From == p || w.To == p {
			return w.Location.String()
		}
	}
	return p.String() + ">…"
}

func (c *Circuit) deviceNames() []string {
	var out []string
	for _, d := range c.Devices {
		out = append(out, d.Name)
	}
	return out
}

// nearest is a "did you mean" for long names, where two or three letters of difference are little.
func nearest(word string, known []string) string {
	if hint := didYouMean(word, known); strings.HasPrefix(hint, "did you mean") {
		return hint
	}
	from, _, _ := strings.Cut(word, ">")
	var same []string
	for _, k := range known {
		if strings.HasPrefix(k, from+">") || strings.HasSuffix(k, ">"+from) {
			same = append(same, k)
		}
	}
	if len(same) > 0 {
		return "wires there: " + strings.Join(same, ", ")
	}
	return ""
}
