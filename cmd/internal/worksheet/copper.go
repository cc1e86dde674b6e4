package worksheet

import (
	"ohmtrail/circuits"
)

// copper is which points are one piece of metal with a fault in the circuit.
type copper struct {
	up map[circuits.Point]circuits.Point
}

// pieces joins what wires, splices and closed contacts join, but for the place where a fault stands in series; a short
// joins what touches.
func pieces(c *circuits.Circuit, f circuits.Single) copper {
	k := copper{map[circuits.Point]circuits.Point{}}
	series := f.Kind == circuits.Open || f.Kind == circuits.HighResistance
	for _, w := range c.Wires {
		if !(series && w.Location == f.At) {
			k.join(w.From, w.To)
		}
	}
	for _, contact := range c.Contacts {
		if !(series && contact.Location == f.At) {
			k.join(contact.First, contact.Second)
		}
	}
	for _, s := range c.Studs {
		if at := circuits.PointLocation(circuits.Point{Place: s.Name}); !(series && at == f.At) {
			k.join(at.From, circuits.BNegative)
		}
	}
	switch f.Kind {
	case circuits.ShortToGround:
		k.join(firstOf(c, f.At), circuits.BNegative)
	case circuits.ShortToVoltage:
		k.join(firstOf(c, f.At), circuits.BPositive)
	case circuits.ShortBetween:
		k.join(firstOf(c, f.At), firstOf(c, f.To))
	}
	return k
}

// firstOf is the point at which a short joins a place: a wire's middle is on the copper of its beginning, a contact's on
// its first side.
func firstOf(c *circuits.Circuit, l circuits.Location) circuits.Point {
	if w := c.Wire(l); w != nil {
		return w.From
	}
	if contact := c.Contact(l); contact != nil {
		return contact.First
	}
	return l.From
}

// endsOf are the two points between which a place in series lies.
func endsOf(c *circuits.Circuit, l circuits.Location) (a, b circuits.Point) {
	if w := c.Wire(l); w != nil {
		return w.From, w.To
	}
	if contact := c.Contact(l); contact != nil {
		return contact.First, contact.Second
	}
	return l.From, circuits.BNegative
}

func (k copper) root(p circuits.Point) circuits.Point {
	for {
		q, ok := k.up[p]
		if !ok || q == p {
			return p
		}
		p = q
	}
}

func (k copper) join(a, b circuits.Point) { k.up[k.root(a)] = k.root(b) }

func (k copper) joined(a, b circuits.Point) bool { return k.root(a) == k.root(b) }
