package hypothesis

import "ohmtrail/circuits"

// Place is what would be repaired if a fault is there, or the two faults of a pair. The zero value is a machine with nothing
// to repair; places may be compared.
type Place struct{ First, Second Spot }

// Spot is what one fault is put right at: a terminal with its joint, a wire with its crimps, a part, a module. Two ways
// changed over are one repair at their connector, and a bridge between two ways or wires is cleared at both at once: To is
// then the other one. Unlisted is wherever no hypothesis looks.
type Spot struct {
	At, To   circuits.Location
	Unlisted bool
}

// PlaceOf is what would be repaired if a fault is there.
func PlaceOf(f circuits.Fault) Place {
	p := Place{First: spotOf(f.First)}
	if f.IsDouble() {
		p.Second = spotOf(f.Second)
	}
	return p
}

func spotOf(f circuits.Single) Spot {
	switch f.Kind {
	case circuits.Healthy:
		return Spot{}
	case circuits.Unlisted:
		return Spot{Unlisted: true}
	case circuits.ModuleInside:
		return Spot{At: circuits.PointLocation(circuits.Point{Place: f.At.From.Place})}
	case circuits.ShortBetween, circuits.Swapped:
		return Spot{At: f.At, To: f.To}
	}
	return Spot{At: f.At}
}

// Known tells whether there is a place to repair: neither nothing nor unlisted.
func (p Place) Known() bool { return !p.First.At.IsZero() }

// Mends tells whether a repair of the place puts a fault right: it is the fault's own place, or one of the two.
func (p Place) Mends(f circuits.Single) bool {
	spot := spotOf(f)
	return p.Known() && (p.First == spot || p.Second == spot)
}

// Locations are the places of the circuit that are worked on.
func (p Place) Locations() []circuits.Location {
	var out []circuits.Location
	for _, l := range []circuits.Location{p.First.At, p.First.To, p.Second.At, p.Second.To} {
		if !l.IsZero() {
			out = append(out, l)
		}
	}
	return out
}

func (p Place) String() string {
	if p.Second != (Spot{}) {
		return p.First.String() + " and " + p.Second.String()
	}
	return p.First.String()
}

func (s Spot) String() string {
	switch {
	case s.Unlisted:
		return "unlisted"
	case s.At.IsZero():
		return "nothing to repair"
	case !s.To.IsZero():
		return s.At.String() + " with " + s.To.String()
	}
	return s.At.String()
}
