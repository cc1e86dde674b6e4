package circuits

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits/wording"
)

// Resolve checks that a point exists and gives it its full side: an in-line connector without a side means its first
// one; a module or device without one means the harness side.
func (c *Circuit) Resolve(p Point) (Point, error) {
	e, ok := c.elements[p.Place]
	if !ok {
		hint := wording.DidYouMean(p.Place, c.Names())
		if module, _, ok := strings.Cut(p.Place, "."); ok && c.Module(module) != nil {
			hint = fmt.Sprintf("a pin is named by its module and cavity, such as %s", c.Module(module).Pins[0].Point())
		}
		return p, fmt.Errorf("no place here is called %s%s", p.Place, wording.After(hint))
	}
	word := e.Kind.String()
	if e.Kind == ElementSplice || e.Kind == ElementStud || e.Kind == ElementPost {
		if p.Cavity != "" {
			return p, fmt.Errorf("%s: the %s %s has no cavities; write %s", p, word, p.Place, p.Place)
		}
		return p, nil
	}
	known := c.Cavities(p.Place)
	if p.Cavity == "" {
		return p, fmt.Errorf("%s is %s, and its cavity is missing; %s", p, wording.An(word), wording.ItHas(known))
	}
	if !slices.Contains(known, p.Cavity) {
		return p, fmt.Errorf("the %s %s has no cavity %s; %s", word, p.Place, p.Cavity, wording.ItHas(known))
	}
	if e.Kind != ElementConnector {
		if p.Side != "" && p.Side != "device" {
			return p, fmt.Errorf("%s: the sides of %s are %s (harness) and %s/device (the part's own pin)", p, wording.An(word), p.Terminal(), p.Terminal())
		}
		return p, nil
	}
	k := c.Connectors[e.Index]
	switch p.Side {
	case "":
		p.Side = k.Sides[0]
	case k.Sides[0], k.Sides[1]:
	default:
		return p, fmt.Errorf("%s: the halves of %s are %s and %s", p, k.Name, k.Sides[0], k.Sides[1])
	}
	return p, nil
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
			return wrong(fmt.Errorf("no device is called %s%s", s.At, wording.After(wording.DidYouMean(s.At.String(), c.DeviceNames()))))
		}
		if !slices.Contains(d.InsideFaults(), s.Words) {
			return wrong(fmt.Errorf("%s cannot be %q; %s", wording.An(string(d.Kind)), s.Words, wording.DidYouMean(s.Words, d.InsideFaults())))
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
			return wrong(fmt.Errorf("%s pin cannot be %q; %s", wording.An(string(pin.Kind)), s.Words, wording.DidYouMean(s.Words, pin.InsideFaults())))
		}
		return s, nil
	}
	var err error
	if s.At, err = c.FaultPlace(s.At); err != nil {
		return wrong(err)
	}
	if s.Kind == ShortBetween || s.Kind == Swapped {
		if s.To, err = c.FaultPlace(s.To); err != nil {
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

// FaultPlace checks that a location is a wire, a mated contact or a stud of this circuit.
func (c *Circuit) FaultPlace(l Location) (Location, error) {
	if l.IsWire() {
		if c.Wire(l) != nil {
			return l, nil
		}
		if turned := WireLocation(l.To, l.From); c.Wire(turned) != nil {
			return turned, nil
		}
		return l, fmt.Errorf("there is no wire %s%s", l, wording.After(c.wiresThere(l)))
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
	return l, fmt.Errorf("nothing is mated at %s%s", l, wording.After(c.unmated(l.From)))
}

// unmated says why a point that exists is no contact.
func (c *Circuit) unmated(p Point) string {
	switch c.elements[p.Place].Kind {
	case ElementConnector:
		return "a wire ends there, and nothing is plugged in"
	case ElementPost:
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
	return wording.DidYouMean(l.String(), all)
}

// Somewhere reads what a hand or an eye can be at: a terminal, a wire, or anything that has a name. The error says which
// name was probably meant.
func (c *Circuit) Somewhere(text string) (Location, error) {
	l, err := ParseLocation(text)
	switch {
	case err != nil:
		return l, err
	case l.IsWire():
		return c.FaultPlace(l)
	case l.From.Cavity != "":
		_, err = c.Resolve(l.From)
		return l, err
	}
	if _, known := c.elements[l.From.Place]; known || c.PlugsNamed(l.From.Place) != nil {
		return l, nil
	}
	return l, fmt.Errorf("no place here is called %s%s", l, wording.After(wording.DidYouMean(l.From.Place, c.Names())))
}
