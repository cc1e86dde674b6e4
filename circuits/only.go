package circuits

// Only is the part of a circuit that some of its wires make: those wires, the parts they end at, and the pins and ways that
// they use. Names, lines and halves of connectors stay those of the whole, so what is shown of the part is true of the whole;
// a run of which only pieces are kept becomes a run for each piece.
func (c *Circuit) Only(keep func(wire int) bool) *Circuit {
	out := New(c.File)
	out.Title, out.Notes, out.Pyrotechnic, out.Battery = c.Title, c.Notes, c.Pyrotechnic, c.Battery
	for l, rank := range c.order {
		out.order[l] = rank
	}
	ends, places, legs := map[Point]bool{}, map[string]bool{}, map[string]int{}
	for _, r := range c.Runs {
		for from := 0; from < len(r.Wires); from++ {
			piece := Run{Name: r.Name, Role: r.Role, Line: r.Line, Path: []Point{r.Path[from]}}
			for ; from < len(r.Wires) && keep(r.Wires[from]); from++ {
				wire := c.Wires[r.Wires[from]]
				wire.Run = len(out.Runs)
				piece.Path = append(piece.Path, r.Path[from+1])
				piece.Wires = append(piece.Wires, len(out.Wires))
				out.AddWire(wire)
				for _, end := range [2]Point{wire.From, wire.To} {
					ends[end], places[end.Place] = true, true
					legs[end.Place]++
				}
			}
			if len(piece.Wires) > 0 {
				out.AddRun(piece)
			}
		}
	}
	for _, m := range c.Contacts {
		if ends[m.First] && (c.elements[m.Place].Kind != ElementConnector || ends[m.Second]) {
			out.AddContact(m)
		}
	}
	for _, m := range c.Modules {
		if places[m.Name] {
			pins := m.Pins
			m.Pins = nil
			for _, p := range pins {
				if ends[p.Point()] {
					m.Pins = append(m.Pins, p)
				}
			}
			out.Register(m.Name, Element{ElementModule, len(out.Modules), m.Line})
			out.Modules = append(out.Modules, m)
		}
	}
	for _, d := range c.Devices {
		if places[d.Name] {
			out.Register(d.Name, Element{ElementDevice, len(out.Devices), d.Line})
			out.Devices = append(out.Devices, d)
		}
	}
	for _, k := range c.Connectors {
		if places[k.Name] {
			out.Register(k.Name, Element{ElementConnector, len(out.Connectors), k.Line})
			out.Connectors = append(out.Connectors, k)
		}
	}
	for _, s := range c.Splices {
		if places[s.Name] {
			s.Legs = legs[s.Name]
			out.Register(s.Name, Element{ElementSplice, len(out.Splices), s.Line})
			out.Splices = append(out.Splices, s)
		}
	}
	for _, s := range c.Studs {
		if places[s.Name] {
			out.Register(s.Name, Element{ElementStud, len(out.Studs), s.Line})
			out.Studs = append(out.Studs, s)
		}
	}
	return out
}
