package network

import "slices"

const (
	// maxRounds bounds the search that changes all inconsistent pieces at once.
	maxRounds = 40
	// maxLooks bounds the search that changes one at a time.
	maxLooks = 400
	// maxHeld bounds the modules that are held on or off to find out whether the rest settles.
	maxHeld = 3
)

// settling looks for a consistent set of states.
type settling struct {
	// look solves the network with the states given and fills in the states that the pieces have at its voltages.
	look    func(states, now []byte)
	first   []byte  // the states that the search starts with
	modules []int32 // the pieces that are modules
	fuses   []int32 // the pieces that are fuses
	// overload is by how much a fuse is overloaded at the last look: the share of what it carries.
	overload func(fuse int32) float64
}

// settle finds the consistent states with every fuse whole. Where a fuse carries more than it can there, the one that is
// overloaded most blows, and all else settles again from its first state without it; and so on. It leaves the states in
// states and the last look at them; false where there are none.
func (s settling) settle(states, now []byte) bool {
	copy(states, s.first)
	for s.settleRest(states, now) {
		worst, most := int32(-1), 0.0
		for _, i := range s.fuses {
			if now[i] != states[i] && s.overload(i) > most {
				worst, most = i, s.overload(i)
			}
		}
		if worst < 0 {
			return true
		}
		s.again(states)
		states[worst] = blown
	}
	return false
}

// again puts every piece into its first state but the fuses that have blown.
func (s settling) again(states []byte) {
	for i := range states {
		if states[i] != blown {
			states[i] = s.first[i]
		}
	}
}

// settleRest settles everything but the fuses. It starts with the states as they are given and changes all that do not
// agree at once, as the contract has it. Where that goes round in circles and a module is among what changes, as one that
// works is pulled below the voltage that it needs and one that does not is let up again, that module is held on, then
// off: if all else settles and it still disagrees, there is nothing to be found. Otherwise the search spreads out, one
// change at a time, the fewest changes first, from every piece in its first state.
func (s settling) settleRest(states, now []byte) bool {
	circle, found := s.follow(states, now, nil)
	if found {
		return true
	}
	if circle != nil {
		if found, known := s.hold(circle, states, now); known {
			return found
		}
	}
	return s.spread(states, now)
}

// agree tells whether the pieces have the states assumed, fuses aside.
func (s settling) agree(states, now []byte) bool {
	for i := range states {
		if states[i] != now[i] && now[i] != blown {
			return false
		}
	}
	return true
}

// take takes the states that pieces have, of all but the fuses.
func (s settling) take(states, now []byte) {
	for i := range states {
		if now[i] != blown {
			states[i] = now[i]
		}
	}
}

// follow changes all pieces that do not agree, but those held, until they do. Otherwise it gives the states that it
// goes round in, nil where it has found no circle.
func (s settling) follow(states, now []byte, held []int32) (circle []string, found bool) {
	var met []string
	for range maxRounds {
		s.look(states, now)
		for _, i := range held {
			now[i] = states[i]
		}
		if s.agree(states, now) {
			return nil, true
		}
		met = append(met, string(states))
		s.take(states, now)
		if at := slices.Index(met, string(states)); at >= 0 {
			return met[at:], false
		}
	}
	return nil, false
}

// hold tries the modules that change in a circle on and off. known is false where that decides nothing.
func (s settling) hold(circle []string, states, now []byte) (found, known bool) {
	var held []int32
	for _, i := range s.modules {
		for _, other := range circle[1:] {
			if other[i] != circle[0][i] {
				held = append(held, i)
				break
			}
		}
	}
	if len(held) == 0 || len(held) > maxHeld {
		return false, false
	}
	known = true
	for set := range 1 << len(held) {
		copy(states, circle[0])
		for k, i := range held {
			states[i] = working
			if set>>k&1 != 0 {
				states[i] = resting
			}
		}
		if _, settled := s.follow(states, now, held); !settled {
			known = false
			continue
		}
		if s.look(states, now); s.agree(states, now) {
			return true, true
		}
	}
	return false, known
}

// spread changes one piece at a time.
func (s settling) spread(states, now []byte) bool {
	for i := range states {
		if states[i] != blown {
			states[i] = working
		}
	}
	queue := []string{string(states)}
	seen := map[string]bool{queue[0]: true}
	for looks := 0; len(queue) > 0 && looks < maxLooks; looks++ {
		copy(states, queue[0])
		queue = queue[1:]
		s.look(states, now)
		if s.agree(states, now) {
			return true
		}
		for i := range states {
			if states[i] == now[i] || now[i] == blown {
				continue
			}
			was := states[i]
			states[i] = now[i]
			if next := string(states); !seen[next] {
				seen[next] = true
				queue = append(queue, next)
			}
			states[i] = was
		}
	}
	return false
}

// piecesOf lists the pieces of a kind.
func (n *netlist) piecesOf(kind pieceKind) []int32 {
	var out []int32
	for i := range n.pieces {
		if n.pieces[i].kind == kind {
			out = append(out, int32(i))
		}
	}
	return out
}

// solution is a consistent answer of a netlist.
type solution struct {
	f      *factors
	states []byte
	values values
}

// volt is a node's voltage; B- is zero.
func (s *solution) volt(i int32) float64 { return at(s.f.volts, i) }

// solve finds the consistent state of the pieces and the voltages there. ok is false where none is found: the point
// has no steady value.
func (n *netlist) solve(p *pattern) (s *solution, ok bool) {
	s = &solution{f: newFactors(p), states: make([]byte, len(n.pieces)), values: n.values.clone()}
	found := n.settling(s.volt, make([]byte, len(n.pieces)), func(states, now []byte) {
		n.apply(states, s.values)
		n.bury(s.values)
		s.f.factor(s.values)
		for i := range n.pieces {
			now[i] = n.next(i, states, s.volt, s.f.joined)
		}
	}).settle(s.states, make([]byte, len(n.pieces)))
	if found {
		n.sharpen(s)
	}
	return s, found
}

// sharpen solves once more with the diodes that conduct at their final slope.
func (n *netlist) sharpen(s *solution) {
	conducting := false
	for i, p := range n.pieces {
		if p.kind == diodePiece && s.states[i] == working && s.values.branches[p.branch].siemens > 0 {
			s.values.branches[p.branch].siemens, conducting = sharpDiodeSiemens, true
		}
	}
	if conducting {
		s.f.factor(s.values)
	}
}

// bury takes away what a fault inside a part has taken away for good.
func (n *netlist) bury(v values) {
	for _, i := range n.dead {
		v.branches[i].siemens, v.branches[i].amps = 0, 0
	}
	for _, i := range n.deadGains {
		v.gains[i].siemens = 0
	}
}
