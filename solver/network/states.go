package network

// maxRounds bounds the search for a consistent set of states.
const maxRounds = 60

// solution is a consistent answer of a netlist.
type solution struct {
	f      *factors
	volts  []float64
	states []byte
	values values
}

// volt is a node's voltage; B- is zero.
func (s *solution) volt(i int32) float64 {
	if i < 0 {
		return 0
	}
	return s.volts[i]
}

// solve finds the consistent state of the pieces and the voltages there. ok is false where none is found: the point
// has no steady value.
func (n *netlist) solve(a *assembly) (*solution, bool) {
	s := &solution{f: newFactors(a.p), volts: make([]float64, a.p.n), states: make([]byte, len(n.pieces)), values: n.values.clone()}
	// All at once, as the contract says; where that goes round in circles, one piece at a time.
	return s, n.settle(a, s, true) || n.settle(a, s, false)
}

func (n *netlist) settle(a *assembly, s *solution, allAtOnce bool) bool {
	clear(s.states)
	seen := map[string]bool{}
	for range maxRounds {
		if seen[string(s.states)] {
			return false
		}
		seen[string(s.states)] = true
		n.linear(a, s)
		changed := false
		old := append([]byte(nil), s.states...)
		for i := range n.pieces {
			if now := n.next(i, old, s.volt, s.f.joined); now != old[i] {
				s.states[i], changed = now, true
				if !allAtOnce {
					break
				}
			}
		}
		if !changed {
			return true
		}
	}
	return false
}

// linear solves with the states as they are assumed.
func (n *netlist) linear(a *assembly, s *solution) {
	n.apply(s.states, s.values)
	n.bury(s.values)
	a.fill(s.values, s.f, s.volts)
	s.f.factor()
	s.f.solve(s.volts)
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
