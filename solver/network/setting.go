package network

import (
	"slices"
	"sync"

	"ohmtrail/circuits"
)

// setting is a circuit in one state with every stimulus known, sound and without a meter: solved once, for all faults
// and all readings taken there.
type setting struct {
	net        *netlist // with every piece in its first state
	p          *pattern
	stimuli    func(*circuits.Device) float64
	parameters []Parameter
	byPlace    map[string][]int32 // by part, module or pin: its parameters
	pieceAt    []string           // by piece: the part, module or pin that it belongs to
	ammeter    circuits.Location  // the place that it stands in for, zero for none
	hasSinks   bool               // a current loop is among the parts

	once    sync.Once
	sound   []*sound  // the last is the consistent one
	steady  bool      // the pieces agree with each other; else every one is looked at with every fault
	owned   [][]int32 // by piece: the pieces that it powers
	modules []int32   // pieces
	fuses   []int32   // pieces

	leaners sync.Pool
}

// leanings lists them for the values in some states of the pieces; see leaner.list.
func (s *setting) leanings(v values, states []byte, which []int32, silenced bool, e edit) []leaning {
	l, ok := s.leaners.Get().(*leaner)
	if !ok {
		l = newLeaner(s.net, s.parameters, s.stimuli)
	}
	defer s.leaners.Put(l)
	l.stimuli = func(d *circuits.Device) float64 {
		for _, m := range e.moved {
			if m.d.Name == d.Name {
				return m.to
			}
		}
		return s.stimuli(d)
	}
	l.to.built.fault = s.net.built.fault
	if e.inside.low != (circuits.Single{}) {
		l.to.built.fault = append(slices.Clip(l.to.built.fault), e.inside.low)
	}
	return l.list(v, states, which, silenced)
}

// sound is the circuit of a setting with its pieces in some states, solved.
type sound struct {
	net     *netlist
	owned   [][]int32
	states  []byte
	values  values
	f       *factors
	margins []float64 // by front

	mu     sync.Mutex
	spares []values // copies of values to write in
	leans  [2]leans // with the sources, and silenced
}

// solve finds the states of the sound circuit and factors it, once.
//
// A fault's search for consistent states starts from those of the sound circuit. Only a module without power has two
// answers to choose from, as one that works can feed itself through its own outputs, and a blown fuse stays so: where there
// is one, the search starts with every piece in its first state, as it does for the sound circuit, and what was solved on the way is kept.
func (s *setting) solve() {
	s.once.Do(func() {
		n := s.net
		s.owned = make([][]int32, len(n.pieces))
		for i, p := range n.pieces {
			s.hasSinks = s.hasSinks || p.kind == loopPiece
			if p.owner >= 0 {
				s.owned[p.owner] = append(s.owned[p.owner], int32(i))
			}
		}
		states := make([]byte, len(n.pieces))
		look := func(states, now []byte) {
			x := &sound{net: n, owned: s.owned, states: append([]byte(nil), states...), values: n.values.clone(), f: newFactors(s.p)}
			n.apply(states, x.values)
			n.bury(x.values)
			x.f.factor(x.values)
			for i := range n.pieces {
				now[i] = n.next(i, states, x.volt, x.f.joined)
			}
			s.sound = append(s.sound, x)
		}
		s.modules, s.fuses = n.piecesOf(modulePiece), n.piecesOf(fusePiece)
		volt := func(node int32) float64 { return s.sound[len(s.sound)-1].volt(node) }
		if s.steady = n.settling(volt, make([]byte, len(n.pieces)), look).settle(states, make([]byte, len(n.pieces))); !s.steady {
			s.sound = s.sound[:1]
		}
		last := s.sound[len(s.sound)-1]
		unpowered := false
		for i, p := range n.pieces {
			unpowered = unpowered || (p.kind == modulePiece || p.kind == fusePiece) && last.states[i] != working
		}
		if !unpowered {
			s.sound = []*sound{last}
		}
		for _, x := range s.sound {
			ofPiece := make([]float64, len(n.pieces))
			for i := range n.pieces {
				ofPiece[i] = n.margin(i, x.states, x.volt, x.f.joined)
			}
			x.margins = s.p.margins(ofPiece)
		}
	})
}

func (s *sound) volt(node int32) float64 { return at(s.f.volts, node) }

// spare is a copy of the values to write in.
func (s *sound) spare() values {
	s.mu.Lock()
	defer s.mu.Unlock()
	if last := len(s.spares) - 1; last >= 0 {
		v := s.spares[last]
		s.spares = s.spares[:last]
		return v
	}
	return s.values.clone()
}

func (s *sound) giveBack(v values) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.spares = append(s.spares, v)
}

// restore undoes what edited has written.
func (s *sound) restore(v values, branches, gains []int) {
	for _, i := range branches {
		v.branches[i] = s.values.branches[i]
	}
	for _, i := range gains {
		v.gains[i] = s.values.gains[i]
	}
}

// nearest is the number of the sound circuit of which the fewest pieces are in other states.
func (s *setting) nearest(states []byte) int {
	best, least := 0, len(states)+1
	for k, x := range s.sound {
		count := 0
		if string(states) != string(x.states) {
			for i := range states {
				if states[i] != x.states[i] {
					count++
				}
			}
		}
		if count < least {
			best, least = k, count
		}
	}
	return best
}

// edit is what a fault changes in the branch values for good, beside the ties that it makes.
type edit struct {
	removed []int32 // branches taken away
	inside  insideFault
	moved   []moved
	net     *netlist // with the pieces of what was moved
}

// inner tells whether the edit writes to branches beside those removed.
func (e *edit) inner() bool { return e.inside != (insideFault{}) || len(e.moved) > 0 }

// list adds a part's branches and output stage to lists.
func (s deviceSlots) list(branches, gains []int) ([]int, []int) {
	for i := s.from.branch; i <= s.short; i++ {
		branches = append(branches, i)
	}
	if s.gain >= 0 {
		gains = append(gains, s.gain)
	}
	return branches, gains
}

// withMoved is the netlist with the pieces of parts moved.
func (n *netlist) withMoved(parts []moved, v values) *netlist {
	for _, m := range parts {
		if n.devices[m.d.Name].piece >= 0 {
			out := *n
			out.pieces = append([]piece(nil), n.pieces...)
			for _, m := range parts {
				out.stimulate(m.d, m.to, v, out.pieces)
			}
			return &out
		}
	}
	return n
}

// lowered is the netlist with a reference's piece as it is when the reference is low.
func (n *netlist) lowered(i int, f circuits.Single) *netlist {
	out := *n
	out.pieces = append([]piece(nil), n.pieces...)
	p := &out.pieces[i]
	p.volts, p.ohms = f.Lowered(p.volts, p.ohms)
	return &out
}

// insideFault is a fault inside a part or a pin, as edits of branches.
type insideFault struct {
	device, words string
	pin           circuits.Location
	low           circuits.Single // a low reference, with how low it is
}

// changed lists the pieces whose state is not that of the sound circuit.
func (s *sound) changed(states []byte, out []int32) []int32 {
	if string(states) == string(s.states) {
		return out
	}
	for i := range states {
		if states[i] != s.states[i] {
			out = append(out, int32(i))
		}
	}
	return out
}

// difference notes what states and a fault's edits make of the branch values.
func (s *sound) difference(states []byte, flips []int32, e edit, out *patch) {
	out.clear()
	if len(flips) > 0 || e.inner() {
		v := s.spare()
		touched, gains := s.edited(states, flips, e, v)
		for _, i := range touched {
			out.set(int32(i), v.branches[i])
		}
		for _, i := range gains {
			out.setGain(int32(i), v.gains[i])
		}
		s.offsetDiodes(flips, v, out)
		s.restore(v, touched, gains)
		s.giveBack(v)
	}
	for _, i := range e.removed {
		out.set(i, branch{a: s.values.branches[i].a, b: s.values.branches[i].b})
	}
}

// edited writes states and a fault inside a part into v, and lists what it has written to.
func (s *sound) edited(states []byte, flips []int32, e edit, v values) (branches, gains []int) {
	n := e.net.forceDrivers(e.inside)
	for _, m := range e.moved {
		slots := n.devices[m.d.Name]
		n.stimulate(m.d, m.to, v, n.pieces)
		branches, gains = slots.list(branches, gains)
		if slots.piece >= 0 {
			n.applyPiece(slots.piece, states, v)
		}
	}
	for _, i := range flips {
		n.applyPiece(int(i), states, v)
		b, g := n.switched(int(i))
		branches, gains = append(branches, b...), append(gains, g...)
		for _, k := range s.owned[i] {
			n.applyPiece(int(k), states, v)
			b, _ := n.switched(int(k))
			branches = append(branches, b...)
		}
	}
	if e.inside.words == circuits.ReferenceLow {
		i := n.pin[e.inside.pin].piece
		n.applyPiece(i, states, v)
		branches = append(branches, n.pieces[i].branch)
	}
	if n != e.net {
		m := &n.modules[s.net.pin[e.inside.pin].module]
		m.apply(n.powered(m, states), v)
		d := &m.drivers[s.net.pin[e.inside.pin].driver]
		branches = append(branches, d.onBranch, d.rest)
	}
	n.bury(v)
	b, g := e.inside.apply(n, v)
	return append(branches, b...), append(gains, g...)
}

// offsetDiodes notes where diodes that have changed their state move the nodes' offsets.
func (s *sound) offsetDiodes(flips []int32, v values, out *patch) {
	for _, i := range flips {
		if s.net.pieces[i].kind != diodePiece {
			continue
		}
		if out.offset = s.f.p.offsets(v); out.offset == nil {
			out.offset = make([]float64, len(s.f.p.node))
		}
		for _, d := range s.f.p.diodes {
			if node := s.values.branches[d].a; out.offset[max(node, 0)] != at(s.f.offset, max(node, 0)) {
				out.lifted = append(out.lifted, node)
			}
		}
		return
	}
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

// apply takes away or adds the branches of a fault inside a part or a pin, and lists them.
func (f insideFault) apply(n *netlist, v values) (branches, gains []int) {
	remove := func(i int) {
		if i >= 0 {
			v.branches[i].siemens, v.branches[i].amps = 0, 0
			branches = append(branches, i)
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
			gains = append(gains, d.gain)
		}
	case f.device != "" && f.words == circuits.ShortedInside:
		short := n.devices[f.device].short
		v.branches[short].siemens = conductance(shortedInsideOhms)
		branches = append(branches, short)
	case f.words == circuits.ReferenceDead:
		remove(n.pin[f.pin].source)
	case f.words == circuits.PullUpLost:
		remove(n.pin[f.pin].pullUp)
	}
	return branches, gains
}
