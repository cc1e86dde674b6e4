package network

import "ohmtrail/circuits"

// States of the pieces. The first state of each kind is where the search for a consistent set starts: everything
// regulating, powered and conducting.
const (
	working byte = iota // powered, regulating, supplied, conducting
	resting             // unpowered, back-fed, under-supplied, blocking
	limited             // a reference at its current limit
	blown               // a fuse that has carried too much; it stays so
)

type pieceKind uint8

const (
	modulePiece pieceKind = iota
	referencePiece
	ratiometricPiece
	switchingPiece
	diodePiece
	loopPiece
	fusePiece
)

// piece is a part that changes its law with the voltages on it.
type piece struct {
	kind   pieceKind
	index  int     // into netlist.modules for a module, netlist.values.gains for a ratiometric output
	a, b   int32   // the terminals whose difference decides
	branch int     // the branch that it switches
	second int     // ratiometric: the branch from output to return without supply
	volts  float64 // regulated voltage, least supply, forward drop, least loop voltage
	ohms   float64 // behind the regulated voltage, of the closed output, in the unpowered output
	amps   float64 // limit of a reference, current of a loop, more than which a fuse does not carry
	owner  int     // the module's piece that powers a reference; -1 where nothing can switch it
	rests  bool    // for good: the key is off, the output is off
	module string
}

// A conducting diode is an ideal drop behind next to no resistance. While the states are sought it is 10 µΩ, through
// which a nanoampere still shows in double precision; once they are found it is a nano-ohm, which a dead short across
// the battery does not show.
const (
	diodeSiemens      = 1e5
	sharpDiodeSiemens = 1e9
)

// leastReverseAmps is the reverse current from which on a diode counts as blocking: ten times what rounding makes.
const leastReverseAmps = 1e-8

// leastSupplyVolts is what a power pin must be above internal ground for its module to work.
const leastSupplyVolts = 6

// slack keeps rounding from flipping a piece at its own boundary: amperes and volts far below any reading's step.
const slack = 1e-9

// apply writes the pieces' states into the branch values.
func (n *netlist) apply(states []byte, v values) {
	for i := range n.pieces {
		n.applyPiece(i, states, v)
	}
}

// applyPiece writes the state of one piece, and of nothing that it powers but a module's own branches.
func (n *netlist) applyPiece(i int, states []byte, v values) {
	p := &n.pieces[i]
	on := states[i] == working
	switch p.kind {
	case modulePiece:
		n.modules[p.index].apply(on, v)
	case referencePiece:
		b := &v.branches[p.branch]
		b.siemens, b.emf, b.amps = 0, 0, 0
		if p.rests || p.owner >= 0 && states[p.owner] != working {
			return
		}
		if on {
			b.siemens, b.emf = conductance(p.ohms), p.volts
		} else if states[i] == limited {
			b.amps = -p.amps
		}
	case ratiometricPiece:
		g, un := &v.gains[p.index], &v.branches[p.second]
		g.siemens, un.siemens = 0, 0
		if on {
			g.siemens = conductance(p.ohms)
		} else {
			un.siemens = n.values.branches[p.second].siemens
		}
	case switchingPiece:
		v.branches[p.branch].siemens = 0
		if on && !p.rests {
			v.branches[p.branch].siemens = conductance(p.ohms)
		}
	case diodePiece:
		b := &v.branches[p.branch]
		b.siemens, b.emf = 0, 0
		if on {
			b.siemens, b.emf = diodeSiemens, p.volts
		}
	case loopPiece:
		b := &v.branches[p.branch]
		b.siemens, b.amps = 0, 0
		if on {
			b.amps = p.amps
		} else {
			b.siemens = p.amps / p.volts
		}
	case fusePiece:
		b := &v.branches[p.branch]
		b.siemens = 0
		if on {
			b.siemens = conductance(p.ohms)
		}
	}
}

// switched lists the branches and gains that applyPiece writes.
func (n *netlist) switched(i int) (branches, gains []int) {
	p := &n.pieces[i]
	switch p.kind {
	case modulePiece:
		m := &n.modules[p.index]
		for _, u := range m.pullUps {
			branches = append(branches, u.branch)
		}
		for _, d := range m.drivers {
			branches = append(branches, d.onBranch, d.rest)
		}
	case ratiometricPiece:
		return []int{p.second}, []int{p.index}
	default:
		branches = append(branches, p.branch)
	}
	return branches, nil
}

// powered tells whether a module works.
func (n *netlist) powered(m *moduleSlots, states []byte) bool {
	if n.key == circuits.KeyOff {
		return false
	}
	return m.piece < 0 || states[m.piece] == working
}

// next is the state that a piece has at these voltages. volt gives a node's voltage, joined tells whether two nodes have
// a path between them.
func (n *netlist) next(i int, states []byte, volt func(int32) float64, joined func(a, b int32) bool) byte {
	p := &n.pieces[i]
	if p.rests {
		return states[i]
	}
	across := volt(p.a) - volt(p.b)
	switch p.kind {
	case fusePiece:
		if states[i] == blown || n.overload(i, across) > 1+slack {
			return blown
		}
		return working
	case modulePiece:
		m := &n.modules[p.index]
		for _, pin := range m.power {
			if volt(pin)-volt(m.ground) >= leastSupplyVolts-slack {
				return working
			}
		}
		return resting
	case referencePiece:
		if p.owner >= 0 && states[p.owner] != working {
			return states[i]
		}
		limitVolts := p.volts - p.amps*p.ohms // at the pin when the limit is just reached
		switch {
		case across > p.volts+slack:
			return resting
		case across < limitVolts-slack:
			return limited
		}
		return working
	case diodePiece:
		if states[i] == working && (across-p.volts)*diodeSiemens >= -leastReverseAmps || across-p.volts > slack {
			return working
		}
		return resting
	case loopPiece:
		if states[i] == working && !joined(p.a, p.b) {
			return resting // there is no way round for its current
		}
	}
	if across >= p.volts-slack {
		return working
	}
	return resting
}
