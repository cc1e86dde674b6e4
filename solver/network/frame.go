package network

import (
	"ohmtrail/circuits"
)

// Frame is one reading of a circuit made ready for many faults: its network with the meter in it, the order of
// elimination, and which places are one chain to this reading.
type Frame struct {
	reading    circuits.Reading
	meter      circuits.Meter
	net        *netlist
	assembly   *assembly
	probe      probe
	meterAt    int // branch of the meter's own conductance, -1 where it has none
	parameters []Parameter
	chain      []int32 // by branch: the branch that stands for its chain; -1 for a branch that no series fault can be on
}

// findChains joins the wires, contacts and joints that follow each other with nothing else between: whatever a series
// fault does on one of them it does on all, so one is solved and the tie reported. The meter, a jumper or a load that
// touches a point between them parts the chain there.
func (f *Frame) findChains(ammeter circuits.Location) {
	n := f.net
	degree := make([]int, len(n.points))
	count := func(i int32) {
		if i >= 0 {
			degree[i]++
		}
	}
	series := make([]bool, len(n.values.branches))
	apart := make([]bool, len(n.values.branches)) // contacts that the state has taken apart
	for at, i := range n.series {
		series[i] = n.values.branches[i].siemens > 0 && at != ammeter
		apart[i] = n.values.branches[i].siemens == 0
	}
	for i, b := range n.values.branches {
		if !apart[i] {
			count(b.a)
			count(b.b)
		}
	}
	for _, g := range n.values.gains {
		count(g.out)
		count(g.ret)
		count(g.sup)
	}
	f.chain = make([]int32, len(n.values.branches))
	first := make([]int32, len(n.points)) // first series branch met at a node, +1
	parent := func(i int32) int32 {
		for f.chain[i] != i {
			i = f.chain[i]
		}
		return i
	}
	for i := range f.chain {
		f.chain[i] = -1
		if !series[i] {
			continue
		}
		f.chain[i] = int32(i)
		for _, end := range []int32{n.values.branches[i].a, n.values.branches[i].b} {
			if end < 0 || degree[end] != 2 {
				continue
			}
			if first[end] == 0 {
				first[end] = int32(i) + 1
				continue
			}
			a, b := parent(first[end]-1), parent(int32(i))
			f.chain[max(a, b)] = min(a, b)
		}
	}
	for i := range f.chain {
		if f.chain[i] >= 0 {
			f.chain[i] = parent(int32(i))
		}
	}
}
