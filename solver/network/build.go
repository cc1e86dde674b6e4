package network

import (
	"math"

	"ohmtrail/circuits"
)

// building is what a netlist is built for.
type building struct {
	state   circuits.State
	stimuli func(*circuits.Device) float64
	fault   faults
	joints  bool
	ammeter circuits.Location // the contact, wire or stud joint that an ammeter stands in for; zero for none
}

// faults are the single faults to build in.
type faults []circuits.Single

func faultsOf(f circuits.Fault) faults {
	var out faults
	for _, s := range []circuits.Single{f.First, f.Second} {
		if s.Kind != circuits.Healthy && s.Kind != circuits.Unlisted {
			out = append(out, s)
		}
	}
	return out
}

// is tells whether a fault of that kind and wording is at that place.
func (fs faults) is(kind circuits.FaultKind, at circuits.Location, words string) bool {
	for _, f := range fs {
		if f.Kind == kind && f.At == at && f.Words == words {
			return true
		}
	}
	return false
}

// lowered is a pin with what a low reference gives and has inside.
func (fs faults) lowered(p *circuits.Pin) *circuits.Pin {
	for _, f := range fs {
		if f.IsLowReference() && f.At == p.Inside() {
			low := *p
			low.Volts, low.SourceOhms = f.Lowered(p.Volts, p.SourceOhms)
			return &low
		}
	}
	return p
}

// seriesOhms is what a place's own resistance becomes with the series faults on it; +Inf when it is open.
func (fs faults) seriesOhms(at circuits.Location, ohms float64) float64 {
	for _, f := range fs {
		if f.At != at {
			continue
		}
		switch f.Kind {
		case circuits.Open:
			return math.Inf(1)
		case circuits.HighResistance:
			ohms += f.Ohms
		}
	}
	return ohms
}

// shorts tells whether a short touches the place.
func (fs faults) shorts(at circuits.Location) bool {
	for _, f := range fs {
		switch f.Kind {
		case circuits.ShortToGround, circuits.ShortToVoltage:
			if f.At == at {
				return true
			}
		case circuits.ShortBetween:
			if f.At == at || f.To == at {
				return true
			}
		}
	}
	return false
}

// build lays out the network of one reading's state.
func build(c *circuits.Circuit, b building) *netlist {
	n := &netlist{c: c, nodes: map[circuits.Point]int32{}, series: map[circuits.Location]int{}, devices: map[string]deviceSlots{},
		pin: map[circuits.Location]pinSlots{}, key: b.state.Key, joints: b.joints, built: b}
	n.terminals()
	n.parts(b)
	for _, j := range b.state.Jumpers {
		n.jumpers = append(n.jumpers, n.resistor(n.node(j[0]), n.node(j[1]), circuits.JumperOhms))
	}
	for _, l := range b.state.Loads {
		n.loads = append(n.loads, n.resistor(n.node(l.From), n.node(l.To), l.Ohms))
	}
	for _, f := range b.fault {
		n.short(f, b)
	}
	return n
}

// parts lays out, or writes anew, everything that the circuit is made of.
func (n *netlist) parts(b building) {
	n.battery()
	for i := range n.c.Wires {
		n.begin(&n.begins.wires)
		n.wire(&n.c.Wires[i], b)
	}
	for i := range n.c.Contacts {
		n.begin(&n.begins.contacts)
		n.contact(&n.c.Contacts[i], b)
	}
	for i := range n.c.Studs {
		n.begin(&n.begins.studs)
		n.stud(&n.c.Studs[i], b)
	}
	for i := range n.c.Modules {
		n.begin(&n.begins.modules)
		n.module(&n.c.Modules[i], b)
	}
	for i := range n.c.Devices {
		n.begin(&n.begins.devices)
		n.device(&n.c.Devices[i], b.stimuli(&n.c.Devices[i]), b)
	}
	if !n.rewriting {
		n.begins.end = n.here()
	}
}

// begins are the marks at which the parts of a circuit begin, in the order of its lists.
type begins struct {
	wires, contacts, studs, modules, devices []mark
	pins                                     [][]mark // by module
	end                                      mark     // of them all
}

func (n *netlist) begin(list *[]mark) {
	if !n.rewriting {
		*list = append(*list, n.here())
	}
}

func (n *netlist) stud(s *circuits.Stud, b building) {
	at := circuits.PointLocation(circuits.Point{Place: s.Name})
	n.joint(at, n.node(at.From), ground, s.Ohms, b)
}

// terminals makes the nodes that a lead can touch even where no wire runs to them.
func (n *netlist) terminals() {
	for _, m := range n.c.Modules {
		for _, p := range m.Pins {
			n.node(p.Point())
		}
	}
	for _, d := range n.c.Devices {
		for _, t := range d.Terminals {
			n.node(circuits.Point{Place: d.Name, Cavity: t.Cavity})
		}
	}
	for _, k := range n.c.Connectors {
		for _, cavity := range n.c.Cavities(k.Name) {
			for _, side := range k.Sides {
				n.node(circuits.Point{Place: k.Name, Cavity: cavity, Side: side})
			}
		}
	}
	for _, s := range n.c.Splices {
		n.node(circuits.Point{Place: s.Name})
	}
}

func (n *netlist) battery() {
	volts := n.c.Battery.Volts
	if n.key == circuits.KeyRun {
		volts = n.c.Battery.RunningVolts
	}
	n.add(branch{a: n.node(circuits.BPositive), b: ground, siemens: conductance(n.c.Battery.SourceOhms), emf: volts})
}

// joint adds a wire, contact or stud joint: the place where a series fault or the ammeter can be.
func (n *netlist) joint(at circuits.Location, from, to int32, ohms float64, b building) {
	if at == b.ammeter {
		ohms = circuits.AmmeterOhms
	} else {
		ohms = b.fault.seriesOhms(at, ohms)
	}
	n.inSeries(at, n.resistor(from, to, ohms))
}

// inSeries notes the branch of a place where a series fault or the ammeter can be.
func (n *netlist) inSeries(at circuits.Location, branch int) {
	if !n.rewriting {
		n.series[at] = branch
	}
}

// wire adds a wire; one that a short touches is cut at its middle, where the short joins.
func (n *netlist) wire(w *circuits.Wire, b building) {
	from, to := n.node(w.From), n.node(w.To)
	if !b.fault.shorts(w.Location) || w.Location == b.ammeter {
		n.joint(w.Location, from, to, w.Ohms, b)
		return
	}
	middle := n.node(middleOf(w.Location))
	n.resistor(from, middle, b.fault.seriesOhms(w.Location, w.Ohms/2))
	n.resistor(middle, to, w.Ohms/2)
}

// middleOf is the inner point of a wire that a short joins.
func middleOf(l circuits.Location) circuits.Point {
	return circuits.Point{Place: l.String(), Side: "middle"}
}

// contact adds a mated contact, apart where its connector is unplugged, crossed where it is swapped.
func (n *netlist) contact(k *circuits.Contact, b building) {
	second := k.Second
	for _, f := range b.fault {
		if f.Kind != circuits.Swapped {
			continue
		}
		if f.At == k.Location {
			second = n.c.Contact(f.To).Second
		} else if f.To == k.Location {
			second = n.c.Contact(f.At).Second
		}
	}
	from, to := n.node(k.First), n.node(second)
	if len(b.state.Unplugged) > 0 && n.apart(k.First, b.state) && k.Location != b.ammeter {
		n.inSeries(k.Location, n.slot(from, to))
		return
	}
	n.joint(k.Location, from, to, k.Ohms, b)
}

// apart tells whether the state takes the point's connector apart.
func (n *netlist) apart(p circuits.Point, s circuits.State) bool {
	plug := n.c.PlugOf(p)
	for _, u := range s.Unplugged {
		if u == plug {
			return true
		}
	}
	return false
}

// short adds the branch of a short, from where it joins the harness.
func (n *netlist) short(f circuits.Single, b building) {
	from := func(l circuits.Location) (int32, bool) {
		if l.IsWire() {
			return n.node(middleOf(l)), l != b.ammeter
		}
		return n.node(n.c.Contact(l).First), true
	}
	switch f.Kind {
	case circuits.ShortToGround, circuits.ShortToVoltage:
		if at, there := from(f.At); there {
			to := int32(ground)
			if f.Kind == circuits.ShortToVoltage {
				to = n.node(circuits.BPositive)
			}
			n.resistor(at, to, f.Ohms)
		}
	case circuits.ShortBetween:
		at, there := from(f.At)
		to, thereToo := from(f.To)
		if there && thereToo {
			n.resistor(at, to, f.Ohms)
		}
	}
}
