package worksheet

import (
	"slices"

	"ohmtrail/circuits"
)

// pieces is the copper of a circuit with a fault in it: what wires, splices and closed contacts join, but for the place where
// a fault stands in series; a short joins what touches.
func pieces(c *circuits.Circuit, f circuits.Single) *circuits.Copper {
	joints := c.Joints(nil)
	if f.Kind == circuits.Open || f.Kind == circuits.HighResistance {
		joints = slices.DeleteFunc(joints, func(j circuits.Joint) bool { return j.At == f.At })
	}
	switch f.Kind {
	case circuits.ShortToGround:
		joints = append(joints, circuits.Joint{A: firstOf(c, f.At), B: circuits.BNegative})
	case circuits.ShortToVoltage:
		joints = append(joints, circuits.Joint{A: firstOf(c, f.At), B: circuits.BPositive})
	case circuits.ShortBetween:
		joints = append(joints, circuits.Joint{A: firstOf(c, f.At), B: firstOf(c, f.To)})
	}
	return circuits.Join(joints)
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
