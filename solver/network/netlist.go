package network

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// ground is the node number of B-, the zero of every voltage.
const ground = -1

// branch carries the current siemens·(v_a − v_b − emf) + amps from node a to node b.
type branch struct {
	a, b    int32
	siemens float64
	emf     float64 // volts, positive where it lifts a above b
	amps    float64
}

// gain is the output stage of a ratiometric sensor: it carries siemens·(v_out − v_ret − share·(v_sup − v_ret)) from out
// to ret, and draws nothing from the supply.
type gain struct {
	out, ret, sup int32
	siemens       float64
	share         float64
}

// values are the branch values of one assumed state; the structure they belong to is the netlist's.
type values struct {
	branches []branch
	gains    []gain
}

func (v values) clone() values {
	return values{append([]branch(nil), v.branches...), append([]gain(nil), v.gains...)}
}

// netlist is the network of one reading: nodes, branches for everything that can ever conduct there, and the pieces
// that change their law.
type netlist struct {
	c         *circuits.Circuit
	nodes     map[circuits.Point]int32
	points    []circuits.Point // by node
	values    values           // with every piece in its first state
	pieces    []piece
	series    map[circuits.Location]int // branch of each wire, contact, stud joint and pin joint
	devices   map[string]deviceSlots
	pin       map[circuits.Location]pinSlots
	modules   []moduleSlots
	key       circuits.Key
	dead      []int // branches that a fault inside a part took away for good
	deadGains []int
	joints    bool // module pins get a joint of their own, so that an open inside is an open branch
}

// node gives the number of a point, making it where it is new.
func (n *netlist) node(p circuits.Point) int32 {
	if p == circuits.BNegative {
		return ground
	}
	if i, ok := n.nodes[p]; ok {
		return i
	}
	i := int32(len(n.points))
	n.nodes[p] = i
	n.points = append(n.points, p)
	return i
}

// nodeOf is the number of a point that the netlist has already.
func (n *netlist) nodeOf(p circuits.Point) int32 {
	if p == circuits.BNegative {
		return ground
	}
	i, ok := n.nodes[p]
	if !ok {
		panic("no node " + p.String() + ": a reading must be resolved against its circuit")
	}
	return i
}

// conductance is 1/ohms with a floor for joints of no resistance at all.
func conductance(ohms float64) float64 {
	return 1 / math.Max(ohms, models.LeastOhms)
}

// add appends a branch and gives its number.
func (n *netlist) add(b branch) int {
	n.values.branches = append(n.values.branches, b)
	return len(n.values.branches) - 1
}

// resistor appends a plain resistance; +Inf ohms leaves a slot that conducts nothing.
func (n *netlist) resistor(a, b int32, ohms float64) int {
	g := 0.0
	if !math.IsInf(ohms, 1) {
		g = conductance(ohms)
	}
	return n.add(branch{a: a, b: b, siemens: g})
}

// slot appends a branch that conducts nothing until a piece or a fault gives it a value.
func (n *netlist) slot(a, b int32) int { return n.add(branch{a: a, b: b}) }

// pairs are the node pairs that the pattern has to hold.
func (n *netlist) pairs() [][2]int32 {
	var out [][2]int32
	for _, b := range n.values.branches {
		out = append(out, [2]int32{b.a, b.b})
	}
	for _, g := range n.values.gains {
		out = append(out, [2]int32{g.out, g.ret}, [2]int32{g.out, g.sup}, [2]int32{g.ret, g.sup})
	}
	return out
}

// assembly places branch values into the entries of a pattern without looking them up again.
type assembly struct {
	p       *pattern
	entries []int32 // two for each branch, (a,b) and (b,a), -1 where an end is B-
	gains   []int32 // four for each gain: (out,ret) (out,sup) (ret,out) (ret,sup)
	diodes  []int   // branches that are diodes
}

func newAssembly(n *netlist) *assembly {
	p := newPattern(len(n.points), n.pairs())
	a := &assembly{p: p}
	entry := func(i, j int32) int32 {
		if i < 0 || j < 0 || i == j {
			return -1
		}
		return p.entry(i, j)
	}
	for _, b := range n.values.branches {
		a.entries = append(a.entries, entry(b.a, b.b), entry(b.b, b.a))
	}
	for _, g := range n.values.gains {
		a.gains = append(a.gains, entry(g.out, g.ret), entry(g.out, g.sup), entry(g.ret, g.out), entry(g.ret, g.sup))
	}
	for _, p := range n.pieces {
		if p.kind == diodePiece {
			a.diodes = append(a.diodes, p.branch)
		}
	}
	return a
}

// fill writes the values into f and the currents they inject into rhs, both cleared first.
//
// A diode's drop behind next to no resistance would inject currents that cancel each other to the last digit. So nodes
// carry offsets: the solution is the voltage less its offset, and a conducting diode's anode is offset from its cathode
// by just the drop. lift adds the offsets to a solution.
func (a *assembly) fill(v values, f *factors, rhs []float64) {
	clear(f.entry)
	clear(f.ground)
	clear(rhs)
	offset := a.offsets(v)
	for i := range v.branches {
		b := &v.branches[i]
		if b.a == b.b {
			continue
		}
		if g := b.siemens; g != 0 {
			ab, ba := a.entries[2*i], a.entries[2*i+1]
			if ab >= 0 {
				f.entry[ab] += g
				f.entry[ba] += g
			} else if b.a >= 0 {
				f.ground[b.a] += g
			} else {
				f.ground[b.b] += g
			}
		}
		emf := b.emf
		if offset != nil {
			emf -= at(offset, b.a) - at(offset, b.b)
		}
		if in := b.siemens*emf - b.amps; in != 0 {
			inject(rhs, b.a, in)
			inject(rhs, b.b, -in)
		}
	}
	for i := range v.gains {
		g := v.gains[i]
		a.fillGain(g, a.gains[4*i:4*i+4], f)
		if offset != nil {
			in := g.siemens * (g.share*at(offset, g.sup) + (1-g.share)*at(offset, g.ret) - at(offset, g.out))
			inject(rhs, g.out, in)
			inject(rhs, g.ret, -in)
		}
	}
}

// offsets are the nodes' offsets for the diodes that conduct; nil where none does. Diodes in a loop cannot all have
// their drop: the last one found keeps its source.
func (a *assembly) offsets(v values) []float64 {
	var offset []float64
	for _, d := range a.diodes {
		if v.branches[d].siemens == 0 {
			continue
		}
		if offset == nil {
			offset = make([]float64, a.p.n)
		}
		b := &v.branches[d]
		if b.a >= 0 && offset[b.a] == 0 {
			offset[b.a] = at(offset, b.b) + b.emf
		}
	}
	return offset
}

// lift adds the offsets of fill to its solution.
func (a *assembly) lift(v values, volts []float64) {
	for i, o := range a.offsets(v) {
		volts[i] += o
	}
}

func (a *assembly) fillGain(g gain, e []int32, f *factors) {
	if g.siemens == 0 || g.out == g.ret {
		return
	}
	toReturn, toSupply := g.siemens*(1-g.share), g.siemens*g.share
	if g.out >= 0 {
		put(f, g.out, e[0], toReturn)
		if g.sup == g.out {
			return
		}
		put(f, g.out, e[1], toSupply)
	}
	if g.ret >= 0 {
		put(f, g.ret, e[2], g.siemens)
		if g.sup != g.ret {
			put(f, g.ret, e[3], -toSupply)
		}
	}
}

// put adds a conductance of a row towards another node, or towards B- where there is no entry.
func put(f *factors, row, entry int32, g float64) {
	if entry >= 0 {
		f.entry[entry] += g
	} else {
		f.ground[row] += g
	}
}
