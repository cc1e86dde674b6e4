package network

import (
	"sync"

	"ohmtrail/circuits"
)

// Scene is a frame with every stimulus known. It keeps what it has solved; it is safe for concurrent use.
type Scene struct {
	frame   *Frame
	stimuli func(*circuits.Device) float64
	net     *netlist // the frame's structure with this scene's values and pieces

	hasSinks bool // a current loop is among the parts

	mu    sync.Mutex
	bases map[baseKey]*base
	spare *factors
}

// Scene sets the stimuli of a frame; a device that is not in the map has its nominal one.
func (f *Frame) Scene(stimuli map[string]float64) *Scene {
	s := &Scene{frame: f, stimuli: nominal(stimuli), bases: map[baseKey]*base{}}
	copied := *f.net
	copied.values = f.net.values.clone()
	copied.pieces = append([]piece(nil), f.net.pieces...)
	s.net = &copied
	for i := range f.net.c.Devices {
		d := &f.net.c.Devices[i]
		copied.stimulate(d, s.stimuli(d), copied.values, copied.pieces)
	}
	for _, p := range copied.pieces {
		s.hasSinks = s.hasSinks || p.kind == loopPiece
	}
	return s
}

// set is the stimulus of a device.
func (s *Scene) set(d *circuits.Device) float64 { return s.stimuli(d) }

// mode says which sources count.
type mode uint8

const (
	asMeasured mode = iota // sources on, the meter in place
	atRest                 // an ohms reading's operating point: sources on, a voltmeter in the ohmmeter's place
	byOhmmeter             // sources silenced, the ohmmeter's source on
)

// edit is what a fault changes in the branch values for good.
type edit struct {
	removed int32   // a chain's branch taken away, +1; 0 for none
	ohms    float64 // put in its place at once, where not 0
	inside  insideFault
}

// insideFault is a fault inside a part or a pin, as edits of branches.
type insideFault struct {
	device, words string
	pin           circuits.Location
}

type baseKey struct {
	edit   edit
	states string
	mode   mode
}

// base is one linear network solved: for the sources, and for the reading as a functional.
type base struct {
	f        *factors
	volts    []float64 // by the sources
	weights  []float64 // of an injected current in the raw reading
	raw      float64   // v_plus − v_minus
	leanings []leaning
	chain    *portSolution // across the chain that was taken away; nil where none was
	joined   bool          // something beside the meter joins the leads
	torn     bool          // a current source has its ends on parts that nothing joins: only the fault's ohms can close its way
	skewed   bool          // the system is not symmetric: an output stage is at work
}

// port is where a fault puts a conductance: between the weighted means of up to two nodes on either side.
type port struct {
	a, b   [2]int32 // a short joins the middle of a wire: half of either end. One node is given twice.
	series float64  // ohms between the means and the port itself
}

// portSolution is a base's answer to one ampere through a port.
type portSolution struct {
	volts   []float64 // by one ampere into a and out of b
	weights []float64 // of the port's own voltage, transposed
	ohms    float64   // seen at the port
	across  float64   // volts at the open port
	raw     float64   // change of the raw reading by that ampere
	carries bool      // false where the port's ends share no island: no current can flow
	own     []float64 // room for weights where the system is not symmetric; else weights are volts
}

// base solves, or finds, the linear network of an edit, states and mode.
func (s *Scene) base(key baseKey) *base {
	s.mu.Lock()
	defer s.mu.Unlock()
	if b, ok := s.bases[key]; ok {
		return b
	}
	b := s.newBase(key)
	s.bases[key] = b
	return b
}

func (s *Scene) newBase(key baseKey) *base {
	n, a := s.net, s.frame.assembly
	v := n.values.clone()
	states := []byte(key.states)
	n.applyEdited(states, v, key.edit)
	if key.mode == atRest {
		v.branches[s.frame.meterAt].siemens = 1 / s.frame.meter.InputOhms
	}
	if key.mode == byOhmmeter {
		silence(v)
		v.branches[s.frame.meterAt].siemens, v.branches[s.frame.meterAt].emf = ohmmeterSiemens, 1
	}
	b := &base{f: s.room(), volts: make([]float64, a.p.n), weights: make([]float64, a.p.n)}
	a.fill(v, b.f, b.volts)
	b.f.factor()
	b.f.solve(b.volts)
	a.lift(v, b.volts)
	plus, minus := s.frame.probe.plus, s.frame.probe.minus
	inject(b.weights, plus, 1)
	inject(b.weights, minus, -1)
	b.f.solveTransposed(b.weights)
	b.raw = at(b.volts, plus) - at(b.volts, minus)
	for i := range v.branches {
		if x := &v.branches[i]; x.amps != 0 && !b.f.joined(x.a, x.b) {
			b.torn = true
		}
	}
	for i := range v.gains {
		b.skewed = b.skewed || v.gains[i].siemens != 0
	}
	b.joined = true
	if m := s.frame.meterAt; m >= 0 && v.branches[m].siemens > 0 {
		seen := (at(b.weights, plus) - at(b.weights, minus)) * v.branches[m].siemens
		b.joined = seen < 1-1e-12
	}
	if key.mode != atRest {
		b.leanings = s.leanings(v, states, key.mode == byOhmmeter)
	}
	if key.edit != (edit{}) {
		// One chain at the most can be closed in an edited network: it is solved now, and the elimination's room used
		// again.
		if key.edit.removed > 0 && key.edit.ohms == 0 {
			x := n.values.branches[key.edit.removed-1]
			b.chain = &portSolution{}
			s.solvePort(b, port{a: [2]int32{x.a, x.a}, b: [2]int32{x.b, x.b}}, b.chain)
		}
		s.spare, b.f = b.f, &factors{island: append([]int32(nil), b.f.island...)}
	}
	return b
}

// room gives factors to work in: those of an edited network solved before, or new ones.
func (s *Scene) room() *factors {
	if f := s.spare; f != nil {
		s.spare = nil
		return f
	}
	return newFactors(s.frame.assembly.p)
}

func inject(x []float64, i int32, amps float64) {
	if i >= 0 {
		x[i] += amps
	}
}

func at(x []float64, i int32) float64 {
	if i < 0 {
		return 0
	}
	return x[i]
}

// solvePort fills in a base's answer to a port.
func (s *Scene) solvePort(b *base, p port, ps *portSolution) {
	*ps = portSolution{volts: ps.volts, own: ps.own}
	if b.f.at(p.a[0]) != b.f.at(p.b[0]) {
		return
	}
	ps.carries = true
	n := len(b.volts)
	if cap(ps.volts) < n {
		ps.volts, ps.own = make([]float64, n), make([]float64, n)
	}
	ps.volts = ps.volts[:n]
	clear(ps.volts)
	for i := range 2 {
		inject(ps.volts, p.a[i], 0.5)
		inject(ps.volts, p.b[i], -0.5)
	}
	ps.weights = ps.volts
	if b.skewed {
		ps.weights = ps.own[:n]
		copy(ps.weights, ps.volts)
		b.f.solveTransposed(ps.weights)
	}
	b.f.solve(ps.volts)
	ps.across = p.of(b.volts)
	ps.ohms = p.of(ps.volts) + p.series
	ps.raw = at(ps.volts, s.frame.probe.plus) - at(ps.volts, s.frame.probe.minus)
}

// of is the voltage at the port.
func (p port) of(x []float64) float64 {
	return (at(x, p.a[0])+at(x, p.a[1]))/2 - (at(x, p.b[0])+at(x, p.b[1]))/2
}

// applyEdited writes states and the edits of a fault into branch values.
func (n *netlist) applyEdited(states []byte, v values, e edit) {
	forced := n.forceDrivers(e.inside)
	forced.apply(states, v)
	n.bury(v)
	if e.removed > 0 {
		v.branches[e.removed-1].siemens = 0
		if e.ohms > 0 {
			v.branches[e.removed-1].siemens = 1 / e.ohms
		}
	}
	e.inside.apply(n, v)
}

// forceDrivers is the netlist with the driver that a fault holds on or off.
func (n *netlist) forceDrivers(f insideFault) *netlist {
	if f.words != circuits.StuckOn && f.words != circuits.StuckOff {
		return n
	}
	slots := n.pin[f.pin]
	out := *n
	out.modules = append([]moduleSlots(nil), n.modules...)
	m := &out.modules[slots.module]
	m.drivers = append([]driver(nil), m.drivers...)
	m.drivers[slots.driver].on = f.words == circuits.StuckOn
	return &out
}

// apply takes away or adds the branches of a fault inside a part or a pin.
func (f insideFault) apply(n *netlist, v values) {
	remove := func(i int) {
		if i >= 0 {
			v.branches[i].siemens, v.branches[i].amps = 0, 0
		}
	}
	switch {
	case f.device != "" && f.words == circuits.OpenInside:
		d := n.devices[f.device]
		for _, i := range d.output {
			remove(i)
		}
		if d.gain >= 0 {
			v.gains[d.gain].siemens = 0
		}
	case f.device != "" && f.words == circuits.ShortedInside:
		v.branches[n.devices[f.device].short].siemens = conductance(shortedInsideOhms)
	case f.words == circuits.ReferenceDead:
		remove(n.pin[f.pin].source)
	case f.words == circuits.PullUpLost:
		remove(n.pin[f.pin].pullUp)
	}
}
