package read

import (
	"ohmtrail/circuits"
	"ohmtrail/models"
)

// finishRuns does what needs all runs at once: which half of an in-line connector each wire ends on, the mated
// contacts, the legs of splices.
func (p *circuitParser) finishRuns() {
	c := p.c
	against := p.sides()
	for i := range c.Wires {
		w := &c.Wires[i]
		low, high := circuits.WireSpan(*w)
		for _, end := range []circuits.Point{w.From, w.To} {
			if s := c.Splice(end.Place); s != nil {
				s.Legs++
				leg := s.Width
				w.Ohms, low, high = w.Ohms+s.LegOhms, low+leg.Low, high+leg.High
			}
		}
		w.Width = models.Evenly(low, high, true)
	}
	p.matedContacts(against)
}

// matedContacts lists the mated contacts in the order in which the runs name them.
func (p *circuitParser) matedContacts(against map[circuits.Point]bool) {
	c := p.c
	wired := map[circuits.Point]bool{} // ends of wires, with sides
	for _, w := range c.Wires {
		wired[w.From], wired[w.To] = true, true
	}
	seen := map[circuits.Point]bool{}
	for _, r := range c.Runs {
		for _, point := range r.Path {
			if seen[point] {
				continue
			}
			seen[point] = true
			contact, told := p.contacts[point.Place]
			if !told {
				contact.Width = readNumber(cursor{d: p.d}, &contact, circuits.ContactNumbers)
			}
			contact.Location, contact.First, contact.Second, contact.Place, contact.Line = circuits.PointLocation(point), point, point, point.Place, r.Line
			switch c.Element(point.Place).Kind {
			case circuits.ElementModule, circuits.ElementDevice:
				contact.Second.Side = "device"
			case circuits.ElementConnector:
				k := c.Connector(point.Place)
				contact.First.Side, contact.Second.Side, contact.AgainstPath = k.Sides[0], k.Sides[1], against[point]
				if !wired[contact.First] || !wired[contact.Second] {
					continue // a socket or a spare cavity: nothing is mated
				}
			default:
				continue
			}
			c.AddContact(contact)
		}
	}
}
