package hypothesis

import (
	"ohmtrail/circuits"
)

// SlipKind says what went wrong with a repair.
type SlipKind uint8

// The ways in which a repair goes wrong.
const (
	SlipStays     SlipKind = iota // the fault that was found is still there
	SlipPlace                     // the repaired place has another fault: a poor joint, a short
	SlipSwapped                   // two ways of a connector that was worked on have changed places
	SlipNeighbour                 // another way or wire beside it was disturbed
	SlipPart                      // the new part, or the part at the place, is at fault
)

// Slip is a way in which a repair may have gone wrong. Its fault has ohms only where the fault that was found has.
type Slip struct {
	Kind  SlipKind
	Fault circuits.Single
}

// mostWays is how many ways of a plug are looked at beside the one that was repaired.
const mostWays = 8

// Slips are the ways in which a repair may have gone wrong: what was found is still there; the joint that was made is
// open, of high resistance or shorted; ways of a connector that was worked on are changed over, pushed back or touch;
// the part that was replaced is bad. repaired are the places; found is the fault, healthy where nobody knows it.
func Slips(c *circuits.Circuit, repaired []circuits.Location, found circuits.Fault) []Slip {
	s := slipList{c: c, seen: map[circuits.Single]bool{}}
	for _, f := range []circuits.Single{found.First, found.Second} {
		if f.Kind != circuits.Healthy && f.Kind != circuits.Unlisted {
			s.add(SlipStays, f)
		}
	}
	for _, at := range repaired {
		s.place(at)
	}
	return s.out
}

type slipList struct {
	c    *circuits.Circuit
	seen map[circuits.Single]bool
	out  []Slip
}

func (s *slipList) add(kind SlipKind, f circuits.Single) {
	if !s.seen[f] {
		s.seen[f] = true
		s.out = append(s.out, Slip{kind, f})
	}
}

// place adds what can be wrong at and around one repaired place.
func (s *slipList) place(at circuits.Location) {
	plugs := map[string]bool{}
	worked := map[circuits.Location]bool{} // contacts that were worked on
	mark := func(p circuits.Point) {
		if k := s.c.Contact(circuits.PointLocation(p.Terminal())); k != nil {
			plugs[s.c.PlugOf(p)] = true
			worked[k.Location] = true
		}
	}
	switch w, k := s.c.Wire(at), s.c.Contact(at); {
	case w != nil:
		s.series(at)
		for _, kind := range []circuits.FaultKind{circuits.ShortToGround, circuits.ShortToVoltage} {
			s.add(SlipPlace, circuits.Single{Kind: kind, At: at})
		}
		mark(w.From)
		mark(w.To)
	case k != nil:
		s.series(at)
		mark(at.From)
	case s.c.Stud(at.From.Place) != nil && at.From.Cavity == "":
		s.series(at)
	default: // a part, a module, a whole connector, a splice
		for _, w := range s.c.Wires {
			if s.c.Splice(at.From.Place) != nil && (w.From.Place == at.From.Place || w.To.Place == at.From.Place) {
				s.series(w.Location)
			}
		}
		for _, k := range s.c.Contacts {
			if k.Place == at.From.Place && (at.From.Cavity == "" || k.Location.From == at.From.Terminal()) {
				mark(k.First)
			}
		}
	}
	s.inside(at)
	s.neighbours(plugs, worked)
}

func (s *slipList) series(at circuits.Location) {
	s.add(SlipPlace, circuits.Single{Kind: circuits.Open, At: at})
	s.add(SlipPlace, circuits.Single{Kind: circuits.HighResistance, At: at})
}

// inside adds what can be wrong with a part that was replaced.
func (s *slipList) inside(at circuits.Location) {
	if d := s.c.Device(at.From.Place); d != nil && at.From.Cavity == "" {
		for _, words := range d.InsideFaults() {
			s.add(SlipPart, circuits.Single{Kind: circuits.DeviceInside, At: circuits.PointLocation(circuits.Point{Place: d.Name}), Words: words})
		}
	}
	if m := s.c.Module(at.From.Place); m != nil && !at.IsWire() && (at.From.Cavity == "" || at.From.Side == "device") {
		for _, p := range m.Pins {
			if s.c.Contact(circuits.PointLocation(p.Point())) == nil || at.From.Cavity != "" && p.Cavity != at.From.Cavity {
				continue
			}
			for _, words := range p.InsideFaults() {
				s.add(SlipPart, circuits.Single{Kind: circuits.ModuleInside, At: p.Inside(), Words: words})
			}
		}
	}
}

// neighbours adds what work on a connector does to the ways beside the one that was worked on.
func (s *slipList) neighbours(plugs map[string]bool, worked map[circuits.Location]bool) {
	for _, plug := range s.c.Plugs() {
		if !plugs[plug] {
			continue
		}
		var ways []circuits.Location
		for _, k := range s.c.Contacts {
			if s.c.PlugOf(k.First) == plug && (worked[k.Location] || len(ways) < mostWays) {
				ways = append(ways, k.Location)
			}
		}
		for _, w := range ways {
			s.way(w, worked[w])
		}
		for i, a := range ways {
			for _, b := range ways[i+1:] {
				if !worked[a] && !worked[b] {
					continue
				}
				s.add(SlipSwapped, circuits.Single{Kind: circuits.Swapped, At: a, To: b})
				s.add(SlipNeighbour, circuits.Single{Kind: circuits.ShortBetween, At: a, To: b})
			}
		}
	}
}

// way adds the series faults of a way, as one of the repair or of a neighbour.
func (s *slipList) way(at circuits.Location, worked bool) {
	kind := SlipNeighbour
	if worked {
		kind = SlipPlace
	}
	s.add(kind, circuits.Single{Kind: circuits.Open, At: at})
	if worked {
		s.add(kind, circuits.Single{Kind: circuits.HighResistance, At: at})
	}
}
