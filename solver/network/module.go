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
	from   mark
	joint  int // -1 without joints
	inner  int32
	source int // reference: the regulator's branch
	pullUp int // input
	driver int // index into moduleSlots.drivers
	module int
	piece  int // reference: its piece
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

// module adds a module's pins.
func (n *netlist) module(m *circuits.Module, b building) {
	slots := moduleSlots{name: m.Name, ground: n.internalGround(m), piece: -1}
	index := n.here().module
	site := pinSite{ground: slots.ground, power: n.node(circuits.BPositive), owner: -1, canWork: n.key != circuits.KeyOff, supplyOhms: m.SupplyOhms}
	inner := make([]int32, len(m.Pins))
	joint := make([]int, len(m.Pins))
	seenPower := false
	for i := range m.Pins {
		inner[i], joint[i] = n.inner(&m.Pins[i], b)
		if m.Pins[i].Kind == circuits.PinPower {
			slots.power = append(slots.power, inner[i])
			if !seenPower {
				site.power, seenPower = inner[i], true
			}
		}
	}
	if len(slots.power) > 0 && site.canWork {
		slots.piece = n.addPiece(piece{kind: modulePiece, index: index, a: slots.power[0], b: slots.ground, owner: -1, module: m.Name})
		site.owner = slots.piece
	}
	if !n.rewriting {
		n.begins.pins = append(n.begins.pins, nil)
	}
	for i := range m.Pins {
		if !n.rewriting {
			n.begin(&n.begins.pins[index])
		}
		p := &m.Pins[i]
		s := pinSlots{joint: joint[i], inner: inner[i], source: -1, pullUp: -1, driver: -1, module: index, piece: -1}
		site.pin = inner[i]
		n.pinBranches(p, &slots, &s, b, site)
		if !n.rewriting {
			n.pin[p.Inside()] = s
		}
	}
	if !n.rewriting {
		n.modules = append(n.modules, slots)
	} else {
		slots.ground, slots.power = n.modules[index].ground, n.modules[index].power
		n.modules[index] = slots
		n.cursor.module++
	}
	n.modules[index].apply(site.canWork, n.values)
}

// pinAlone writes one pin of a module anew, and gives the slots of that pin alone.
func (n *netlist) pinAlone(m *circuits.Module, index, pin int) *moduleSlots {
	slots := &moduleSlots{piece: n.modules[index].piece}
	site := pinSite{owner: slots.piece, canWork: n.key != circuits.KeyOff, supplyOhms: m.SupplyOhms}
	var s pinSlots
	n.pinBranches(&m.Pins[pin], slots, &s, n.built, site)
	return slots
}

// inner is the node behind a pin, where everything of the module is joined. It is the pin itself unless the pin has an
// open inside or the netlist keeps a joint for one.
func (n *netlist) inner(p *circuits.Pin, b building) (int32, int) {
	open := len(b.fault) > 0 && b.fault.is(circuits.ModuleInside, p.Inside(), circuits.OpenInside)
	if n.rewriting {
		if n.joints && !open {
			return ground, n.add(branch{siemens: jointSiemens})
		}
		return ground, -1
	}
	pin := n.node(p.Inside().From)
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

// pinBranches lays out what stands behind a pin by the law of its kind.
func (n *netlist) pinBranches(p *circuits.Pin, m *moduleSlots, s *pinSlots, b building, at pinSite) {
	fault := func(words string) bool {
		return len(b.fault) > 0 && b.fault.is(circuits.ModuleInside, p.Inside(), words)
	}
	pinLaws[p.Kind](n, b.fault.lowered(p), m, s, fault, at)
}

// pinLaw is what stands behind a kind of pin. fault tells whether a fault of these words is inside it. As a device's law
// it lays out the same in the same order whatever the numbers.
type pinLaw func(n *netlist, p *circuits.Pin, m *moduleSlots, s *pinSlots, fault func(words string) bool, at pinSite)

// pinLaws is the table of laws, one for each kind of circuits' table of pins.
var pinLaws = map[circuits.PinKind]pinLaw{
	circuits.PinGround: func(n *netlist, _ *circuits.Pin, _ *moduleSlots, _ *pinSlots, _ func(string) bool, at pinSite) {
		n.resistor(at.pin, at.ground, groundPinOhms)
	},
	circuits.PinPower: func(n *netlist, _ *circuits.Pin, _ *moduleSlots, _ *pinSlots, _ func(string) bool, at pinSite) {
		if at.canWork {
			n.resistor(at.pin, at.ground, at.supplyOhms)
		}
	},
	circuits.PinReference: func(n *netlist, p *circuits.Pin, _ *moduleSlots, s *pinSlots, fault func(string) bool, at pinSite) {
		n.resistor(at.pin, at.ground, p.LeakOhms)
		s.source = n.slot(at.pin, at.ground)
		s.piece = n.addPiece(piece{kind: referencePiece, a: at.pin, b: at.ground, branch: s.source, volts: p.Volts, ohms: max(p.SourceOhms, 1e-6),
			amps: p.LimitMA / 1000, owner: at.owner, rests: !at.canWork || fault(circuits.ReferenceDead), module: p.Module})
	},
	circuits.PinInput: func(n *netlist, p *circuits.Pin, m *moduleSlots, s *pinSlots, fault func(string) bool, at pinSite) {
		if p.PullUpOhms > 0 && !fault(circuits.PullUpLost) {
			s.pullUp = n.source(m, at, p.PullUpOhms, p.PullUpVolts)
		}
		if p.PullDownOhms > 0 {
			n.resistor(at.pin, at.ground, p.PullDownOhms)
		}
		n.resistor(at.pin, at.ground, p.InputOhms)
	},
	circuits.PinReturn: func(n *netlist, p *circuits.Pin, m *moduleSlots, _ *pinSlots, _ func(string) bool, at pinSite) {
		n.source(m, at, p.Ohms, p.OffsetVolts)
	},
	circuits.PinCANHigh: busBias,
	circuits.PinCANLow:  busBias,
	circuits.PinLIN: func(n *netlist, p *circuits.Pin, _ *moduleSlots, _ *pinSlots, _ func(string) bool, at pinSite) {
		n.resistor(at.pin, at.power, p.LINOhms)
	},
	circuits.PinLowSide: func(n *netlist, p *circuits.Pin, m *moduleSlots, s *pinSlots, fault func(string) bool, at pinSite) {
		n.driver(m, s, driver{location: p.Inside(), on: p.On, onOhms: p.OnOhms, onBranch: n.slot(at.pin, at.ground), rest: n.slot(at.pin, at.ground),
			restOhms: p.SenseOhms, restEMF: p.SenseVolts}, fault)
	},
	circuits.PinHighSide: func(n *netlist, p *circuits.Pin, m *moduleSlots, s *pinSlots, fault func(string) bool, at pinSite) {
		n.driver(m, s, driver{location: p.Inside(), on: p.On, onOhms: p.OnOhms, onBranch: n.slot(at.pin, at.power), rest: n.slot(at.pin, at.ground),
			restOhms: highSideOffOhms}, fault)
	},
}

func busBias(n *netlist, p *circuits.Pin, m *moduleSlots, _ *pinSlots, _ func(string) bool, at pinSite) {
	n.source(m, at, p.BiasOhms, p.BiasVolts)
}

// source adds a source behind its ohms that is there while the module is powered.
func (n *netlist) source(m *moduleSlots, at pinSite, ohms, volts float64) int {
	i := n.resistor(at.pin, at.ground, ohms)
	m.pullUps = append(m.pullUps, powered{i, volts})
	return i
}

// driver adds an output stage.
func (n *netlist) driver(m *moduleSlots, s *pinSlots, d driver, fault func(string) bool) {
	d.on = (d.on || fault(circuits.StuckOn)) && !fault(circuits.StuckOff)
	s.driver = len(m.drivers)
	m.drivers = append(m.drivers, d)
}

// highSideOffOhms is what an open high-side driver still shows to ground.
const highSideOffOhms = 100e3
