package network

import "math"

// decides are the node pairs whose voltages decide a piece's state.
func (n *netlist) decides(i int) [][2]int32 {
	p := &n.pieces[i]
	if p.kind != modulePiece {
		return [][2]int32{{p.a, p.b}}
	}
	m := &n.modules[p.index]
	out := make([][2]int32, len(m.power))
	for k, pin := range m.power {
		out[k] = [2]int32{pin, m.ground}
	}
	return out
}

// margin is how far the voltages of a piece's nodes can move, each by itself, before it changes its state; nothing
// where it does not agree with its state as it is.
func (n *netlist) margin(i int, states []byte, volt func(int32) float64, joined func(a, b int32) bool) float64 {
	p := &n.pieces[i]
	if n.next(i, states, volt, joined) != states[i] {
		return -1
	}
	across, least := volt(p.a)-volt(p.b), p.volts-slack
	switch {
	case p.rests:
		return math.Inf(1)
	case p.kind == fusePiece:
		if states[i] == blown {
			return math.Inf(1)
		}
		return (p.amps*p.ohms - math.Abs(across)) / 2
	case p.kind == modulePiece:
		across, least = math.Inf(-1), leastSupplyVolts-slack
		for _, d := range n.decides(i) {
			across = max(across, volt(d[0])-volt(d[1]))
		}
	case p.kind == referencePiece:
		if p.owner >= 0 && states[p.owner] != working {
			return math.Inf(1)
		}
		top, bottom := p.volts+slack, p.volts-p.amps*p.ohms-slack
		return min(math.Abs(across-top), math.Abs(across-bottom)) / 2
	case p.kind == diodePiece:
		least = p.volts + slack
		if states[i] == working {
			least = p.volts - leastReverseAmps/diodeSiemens
		}
	}
	return math.Abs(across-least) / 2
}

// outputStageMargin is what the margins below an output stage are cut to: a part without one moves nowhere more than at
// its edge, but a ratiometric output of 90 % can move its return by nine times, and of 95 % by nineteen times, what
// moves its supply.
const outputStageMargin = 1.0 / 32

// margins are by front: how far the nodes at its edge can move before a piece below might change its state.
func (p *pattern) margins(ofPiece []float64) []float64 {
	out := make([]float64, len(p.fronts))
	stages := make([]bool, len(p.fronts))
	for i := range p.fronts {
		f := &p.fronts[i]
		least := math.Inf(1)
		for _, k := range f.pieces {
			least = min(least, ofPiece[k])
		}
		stages[i] = len(f.gains) > 0
		if stages[i] && least > 0 {
			least *= outputStageMargin
		}
		for _, b := range f.below {
			if b < 0 {
				continue
			}
			below := out[b]
			if stages[i] && !stages[b] && below > 0 {
				below *= outputStageMargin
			}
			least = min(least, below)
			stages[i] = stages[i] || stages[b]
		}
		out[i] = least
	}
	return out
}
