package network

import (
	"ohmtrail/circuits"
)

// moduleSlots are the branches of a module that its power switches, and the nodes that power it.
type moduleSlots struct {
	name    string
	ground  int32
	power   []int32
	piece   int // -1 where nothing can switch it
	pullUps []powered
	drivers []driver
}

// powered is a branch whose source is there only while the module is powered.
type powered struct {
	branch int
	emf    float64
}

// driver is an output stage: one branch conducts while it is on and the module powered, the other otherwise.
type driver struct {
	location circuits.Location
	on       bool
	onBranch int
	onOhms   float64
	rest     int
	restOhms float64
	restEMF  float64
}

// apply writes a module's branches for power or none.
func (m *moduleSlots) apply(on bool, v values) {
	for _, p := range m.pullUps {
		v.branches[p.branch].emf = 0
		if on {
			v.branches[p.branch].emf = p.emf
		}
	}
	for _, d := range m.drivers {
		d.apply(on, v)
	}
}

func (d driver) apply(powered bool, v values) {
	on, rest := &v.branches[d.onBranch], &v.branches[d.rest]
	on.siemens, rest.siemens, rest.emf = 0, 0, 0
	switch {
	case d.on && powered:
		on.siemens = conductance(d.onOhms)
	default:
		rest.siemens = conductance(d.restOhms)
		if powered {
			rest.emf = d.restEMF
		}
	}
}

// pinSlots are the branches behind one pin, for the faults inside it.
type pinSlots struct {
	joint    int // -1 without joints
	inner    int32
	source   int // reference: the regulator's branch
	pullUp   int // input
	driver   int // index into moduleSlots.drivers
	module   int
	piece    int // reference: its piece
	branches []int
}

// internalGround is the node of a module's internal ground.
func (n *netlist) internalGround(m *circuits.Module) int32 {
	for _, p := range m.Pins {
		if p.Kind == circuits.PinGround {
			return n.node(circuits.Point{Place: m.Name, Side: "internal ground"})
		}
	}
	return ground
}

const groundPinOhms = 0.001

// module adds a module's pins. openPin is the pin with an open inside, zero where there is none; drivers maps pins to
// a driver state that a fault forces.
func (n *netlist) module(m *circuits.Module, b building) {
	slots := moduleSlots{name: m.Name, ground: n.internalGround(m), piece: -1}
	index := len(n.modules)
	inner := make([]int32, len(m.Pins))
	joint := make([]int, len(m.Pins))
	firstPower := n.node(circuits.BPositive)
	seenPower := false
	for i, p := range m.Pins {
		inner[i], joint[i] = n.inner(p, b)
		if p.Kind == circuits.PinPower {
			slots.power = append(slots.power, inner[i])
			if !seenPower {
				firstPower, seenPower = inner[i], true
			}
		}
	}
	canWork := n.key != circuits.KeyOff
	owner := -1
	if len(slots.power) > 0 && canWork {
		owner = len(n.pieces)
		slots.piece = owner
		n.pieces = append(n.pieces, piece{kind: modulePiece, index: index, a: slots.power[0], b: slots.ground, owner: -1, module: m.Name})
	}
	for i := range m.Pins {
		p := &m.Pins[i]
		s := pinSlots{joint: joint[i], inner: inner[i], source: -1, pullUp: -1, driver: -1, module: index, piece: -1}
		from := len(n.values.branches)
		n.pinBranches(p, &slots, &s, b, pinSite{pin: inner[i], ground: slots.ground, power: firstPower, owner: owner, canWork: canWork, supplyOhms: m.SupplyOhms})
		for k := from; k < len(n.values.branches); k++ {
			s.branches = append(s.branches, k)
		}
		n.pin[p.Inside()] = s
	}
	n.modules = append(n.modules, slots)
	if !canWork {
		n.modules[index].apply(false, n.values)
	} else {
		n.modules[index].apply(true, n.values)
	}
}

// inner is the node behind a pin, where everything of the module is joined. It is the pin itself unless the pin has an
// open inside or the netlist keeps a joint for one.
func (n *netlist) inner(p circuits.Pin, b building) (int32, int) {
	pin := n.node(p.Inside().From)
	open := b.fault.is(circuits.ModuleInside, p.Inside(), circuits.OpenInside)
	if !open && !n.joints {
		return pin, -1
	}
	at := p.Inside().From
	at.Side = "behind the pin"
	inner := n.node(at)
	if open {
		return inner, -1
	}
	j := n.add(branch{a: pin, b: inner, siemens: jointSiemens})
	n.series[p.Inside()] = j
	return inner, j
}

// jointSiemens joins a pin to what is behind it where a netlist keeps them apart: a nano-ohm, which even a dead short
// across the battery does not show.
const jointSiemens = 1e9

type pinSite struct {
	pin, ground, power int32
	owner              int
	canWork            bool
	supplyOhms         float64
}

// pinBranches adds what the contract's table says of the pin's kind.
func (n *netlist) pinBranches(p *circuits.Pin, m *moduleSlots, s *pinSlots, b building, at pinSite) {
	fault := func(words string) bool { return b.fault.is(circuits.ModuleInside, p.Inside(), words) }
	switch p.Kind {
	case circuits.PinGround:
		n.resistor(at.pin, at.ground, groundPinOhms)
	case circuits.PinPower:
		if at.canWork {
			n.resistor(at.pin, at.ground, at.supplyOhms)
		}
	case circuits.PinReference:
		n.resistor(at.pin, at.ground, p.LeakOhms)
		s.source = n.slot(at.pin, at.ground)
		s.piece = len(n.pieces)
		n.pieces = append(n.pieces, piece{kind: referencePiece, a: at.pin, b: at.ground, branch: s.source, volts: p.Volts, ohms: max(p.SourceOhms, 1e-6),
			amps: p.LimitMA / 1000, owner: at.owner, rests: !at.canWork || fault(circuits.ReferenceDead), module: p.Module})
	case circuits.PinInput:
		if p.PullUpOhms > 0 && !fault(circuits.PullUpLost) {
			s.pullUp = n.add(branch{a: at.pin, b: at.ground, siemens: conductance(p.PullUpOhms)})
			m.pullUps = append(m.pullUps, powered{s.pullUp, p.PullUpVolts})
		}
		if p.PullDownOhms > 0 {
			n.resistor(at.pin, at.ground, p.PullDownOhms)
		}
		n.resistor(at.pin, at.ground, p.InputOhms)
	case circuits.PinReturn:
		m.pullUps = append(m.pullUps, powered{n.resistor(at.pin, at.ground, p.Ohms), p.OffsetVolts})
	case circuits.PinCANHigh, circuits.PinCANLow:
		m.pullUps = append(m.pullUps, powered{n.resistor(at.pin, at.ground, p.BiasOhms), p.BiasVolts})
	case circuits.PinLIN:
		n.resistor(at.pin, at.power, p.LINOhms)
	case circuits.PinLowSide, circuits.PinHighSide:
		d := driver{location: p.Inside(), on: p.On, onOhms: p.OnOhms}
		if p.Kind == circuits.PinLowSide {
			d.onBranch, d.rest = n.slot(at.pin, at.ground), n.slot(at.pin, at.ground)
			d.restOhms, d.restEMF = p.SenseOhms, p.SenseVolts
		} else {
			d.onBranch, d.rest = n.slot(at.pin, at.power), n.slot(at.pin, at.ground)
			d.restOhms = highSideOffOhms
		}
		d.on = (d.on || fault(circuits.StuckOn)) && !fault(circuits.StuckOff)
		s.driver = len(m.drivers)
		m.drivers = append(m.drivers, d)
	}
}

// highSideOffOhms is what an open high-side driver still shows to ground.
const highSideOffOhms = 100e3
