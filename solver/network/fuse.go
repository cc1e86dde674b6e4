package network

import (
	"math"
	"slices"
	"strings"
)

// settling prepares the search for a netlist's states. volt gives a node's voltage at the last look.
func (n *netlist) settling(volt func(int32) float64, first []byte, look func(states, now []byte)) settling {
	return settling{look: look, first: first, modules: n.piecesOf(modulePiece), fuses: n.piecesOf(fusePiece), overload: func(i int32) float64 {
		p := &n.pieces[i]
		return n.overload(int(i), volt(p.a)-volt(p.b))
	}}
}

// overload is the current of a fuse at these volts across it, as a share of what it carries for good. One that is open
// inside carries nothing.
func (n *netlist) overload(i int, across float64) float64 {
	p := &n.pieces[i]
	if slices.Contains(n.dead, p.branch) {
		return 0
	}
	return math.Abs(across) * conductance(p.ohms) / p.amps
}

// blown names the fuses that have blown in these states, "" for none.
func (n *netlist) blown(states []byte) string {
	var names []string
	for i := range n.pieces {
		if states[i] == blown {
			names = append(names, n.pieces[i].module)
		}
	}
	return strings.Join(names, ", ")
}
