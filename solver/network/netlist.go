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
	jumpers   []int // branches of the state's jumpers
	loads     []int // and of its loads
	key       circuits.Key
	dead      []int // branches that a fault inside a part took away for good
	deadGains []int
	joints    bool     // module pins get a joint of their own, so that an open inside is an open branch
	built     building // for what
	begins    begins
	rewriting bool // values are written anew from the cursor on
	cursor    mark
}

// node gives the number of a point, making it where it is new.
func (n *netlist) node(p circuits.Point) int32 {
	if n.rewriting || p == circuits.BNegative {
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
	for i := range n.pieces {
		out = append(out, n.decides(i)...)
	}
	return out
}
