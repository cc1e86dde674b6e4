package read

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// sideUse remembers on which half of an in-line connector an element was met, and in which run.
type sideUse struct {
	side int
	run  int
}

// finishRuns does what needs all runs at once: which half of an in-line connector each wire ends on, the mated
// contacts, the legs of splices, and whether every path crosses a connector the same way round.
func (p *circuitParser) finishRuns() {
	c := p.c
	onlyStarts := map[string]bool{}
	for i := range c.Connectors {
		onlyStarts[c.Connectors[i].Name] = true
	}
	for _, r := range c.Runs {
		for i, point := range r.Path {
			if i > 0 {
				onlyStarts[point.Place] = false
			}
		}
		for i := 1; i < len(r.Path)-1; i++ {
			if k := c.Connector(r.Path[i].Place); k != nil {
				k.Crossed = true
			}
		}
	}
	for i := range c.Connectors {
		c.Connectors[i].StartsOnly = onlyStarts[c.Connectors[i].Name]
	}
	p.crossings()
	for i := range c.Wires {
		w := &c.Wires[i]
		if k := c.Connector(w.From.Place); k != nil {
			w.From.Side = k.Sides[1]
			if k.StartsOnly {
				w.From.Side = k.Sides[0]
			}
		}
		if k := c.Connector(w.To.Place); k != nil {
			w.To.Side = k.Sides[0]
		}
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
	p.matedContacts()
}

// crossings reports paths that cross an in-line connector the other way round than an earlier path does, once a path.
func (p *circuitParser) crossings() {
	used := map[string]map[string]sideUse{} // connector -> element -> side
	for run := range p.c.Runs {
		if use, k, other, turned := p.turned(run, used); turned {
			what := fmt.Sprintf("it crosses %s the other way round than run %q of line %d, which has %s on the %s side",
				k.Name, p.c.Runs[use.run].Title(), p.c.Runs[use.run].Line, other, k.Sides[use.side])
			hint := "write this path in the other direction"
			if use.run == run {
				what = fmt.Sprintf("it crosses %s there and back: %s would be on both of its sides", k.Name, other)
				hint = fmt.Sprintf("end this run at %s and write the way back as a run that crosses %s from %s to %s", other, k.Name, k.Sides[0], k.Sides[1])
			}
			p.paths[run].fail(what, hint)
		}
	}
}

// turned finds the first connector that a run crosses the other way round, and the element that shows it: one that an
// earlier path meets before the connector cannot stand behind it in this one.
func (p *circuitParser) turned(run int, used map[string]map[string]sideUse) (sideUse, *circuits.Connector, string, bool) {
	c := p.c
	path := c.Runs[run].Path
	for i, point := range path {
		k := c.Connector(point.Place)
		if k == nil || k.StartsOnly {
			continue
		}
		if used[k.Name] == nil {
			used[k.Name] = map[string]sideUse{}
		}
		for j, other := range path {
			kind := c.Element(other.Place).Kind
			if j == i || kind == circuits.ElementPost || kind == circuits.ElementStud || other.Place == k.Name {
				continue
			}
			side := 0
			if j > i {
				side = 1
			}
			use, seen := used[k.Name][other.Place]
			if !seen {
				used[k.Name][other.Place] = sideUse{side, run}
			} else if use.side != side {
				return use, k, other.Place, true
			}
		}
	}
	return sideUse{}, nil, "", false
}

// matedContacts lists the mated contacts in the order in which the runs name them.
func (p *circuitParser) matedContacts() {
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
				contact.First.Side, contact.Second.Side = k.Sides[0], k.Sides[1]
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
