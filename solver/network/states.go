package network

const (
	// maxRounds bounds the search that changes all inconsistent pieces at once.
	maxRounds = 40
	// maxLooks bounds the search that changes one at a time.
	maxLooks = 400
)

// settle looks for a consistent set of states. look solves the network with the states given and fills in the states
// that the pieces have at its voltages. The search starts with the states as they are given and changes all that do
// not agree at once, as the contract has it; where that goes round in circles it spreads out, one change at a time, the
// fewest changes first, from every piece in its first state. It leaves the consistent states in states and the last look
// at them; false where there are none.
func settle(states, now []byte, look func(states, now []byte)) bool {
	if len(states) == 0 {
		look(states, now)
		return true
	}
	for range maxRounds {
		look(states, now)
		if string(states) == string(now) {
			return true
		}
		copy(states, now)
	}
	clear(states)
	queue := []string{string(states)}
	seen := map[string]bool{queue[0]: true}
	for looks := 0; len(queue) > 0 && looks < maxLooks; looks++ {
		copy(states, queue[0])
		queue = queue[1:]
		look(states, now)
		if string(states) == string(now) {
			return true
		}
		for i := range states {
			if states[i] == now[i] {
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
	found := settle(s.states, make([]byte, len(n.pieces)), func(states, now []byte) {
		n.apply(states, s.values)
		n.bury(s.values)
		s.f.factor(s.values)
		for i := range n.pieces {
			now[i] = n.next(i, states, s.volt, s.f.joined)
		}
	})
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
