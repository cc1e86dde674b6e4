package circuits

import (
	"fmt"
	"slices"
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
				if p.Place == name && !slices.Contains(out, p.Cavity) {
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
		hint := didYouMean(p.Place, c.Names())
		if module, _, ok := strings.Cut(p.Place, "."); ok && c.Module(module) != nil {
			hint = fmt.Sprintf("a pin is named by its module and cavity, such as %s", c.Module(module).Pins[0].Point())
		}
		return p, fmt.Errorf("no place here is called %s%s", p.Place, hintAfter(hint))
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
		return p, fmt.Errorf("%s is %s, and its cavity is missing; %s", p, an(word), itHas(known))
	}
	if !slices.Contains(known, p.Cavity) {
		return p, fmt.Errorf("the %s %s has no cavity %s; %s", word, p.Place, p.Cavity, itHas(known))
	}
	if e.kind != isConnector {
		if p.Side != "" && p.Side != "device" {
			return p, fmt.Errorf("%s: the sides of %s are %s (harness) and %s/device (the part's own pin)", p, an(word), p.Terminal(), p.Terminal())
		}
		return p, nil
	}
	k := c.Connectors[e.index]
	switch p.Side {
	case "":
		p.Side = k.Sides[0]
	case k.Sides[0], k.Sides[1]:
	default:
		return p, fmt.Errorf("%s: the halves of %s are %s and %s", p, k.Name, k.Sides[0], k.Sides[1])
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
		if n := p.Connector(); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// PlugsNamed are the connectors that a name in a job's `unplugged` takes apart: itself, or for a module with lettered
// connectors all of them; nil for an unknown name.
func (c *Circuit) PlugsNamed(name string) []string {
	if slices.Contains(c.Plugs(), name) {
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
	if first.WithoutOhms() == second.WithoutOhms() {
		return f, fmt.Errorf("fault %q: the same fault twice", f)
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
		if !slices.Contains(d.InsideFaults(), s.Words) {
			return wrong(fmt.Errorf("%s cannot be %q; %s", an(string(d.Kind)), s.Words, didYouMean(s.Words, d.InsideFaults())))
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
		if !slices.Contains(pin.InsideFaults(), s.Words) {
			return wrong(fmt.Errorf("%s pin cannot be %q; %s", an(string(pin.Kind)), s.Words, didYouMean(s.Words, pin.InsideFaults())))
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
			return wrong(fmt.Errorf("both places are %s; name two", s.At))
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
		return l, fmt.Errorf("there is no wire %s%s", l, hintAfter(c.wiresThere(l)))
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
		return l, fmt.Errorf("%s is a splice, and its legs are its wires; name one, such as %s", l, c.someWireAt(l.From))
	}
	return l, fmt.Errorf("nothing is mated at %s%s", l, hintAfter(c.unmated(l.From)))
}

// unmated says why a point that exists is no contact.
func (c *Circuit) unmated(p Point) string {
	switch c.elements[p.Place].kind {
	case isConnector:
		return "a wire ends there, and nothing is plugged in"
	case isPost:
		return "a battery post is no contact; name the wire at it, such as " + c.someWireAt(p)
	}
	return "no run leads there"
}

// wireAt is the first wire that ends at a point, as an example.
func (c *Circuit) someWireAt(p Point) string {
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

// wiresThere are the wires at the first end of a wire that does not exist, else at its other end; else the nearest name.
func (c *Circuit) wiresThere(l Location) string {
	for _, end := range []Point{l.From, l.To} {
		var there []string
		for _, w := range c.Wires {
			if w.Location.From == end || w.Location.To == end {
				there = append(there, w.Location.String())
			}
		}
		switch {
		case len(there) == 1:
			return fmt.Sprintf("the wire at %s is %s", end, there[0])
		case len(there) > 8:
			return fmt.Sprintf("the wires at %s are %s and %d more", end, strings.Join(there[:8], ", "), len(there)-8)
		case len(there) > 0:
			return fmt.Sprintf("the wires at %s are %s", end, strings.Join(there, ", "))
		}
	}
	var all []string
	for _, w := range c.Wires {
		all = append(all, w.Location.String())
	}
	return didYouMean(l.String(), all)
}
