package network

import (
	"slices"
	"sync"
)

// pattern is the symbolic half of the elimination: in which order the nodes go, and what each sees of the others when
// it does. It depends on which branches exist, not on their values, so that one serves every state, setting and fault.
//
// It is a tree of fronts. A front gathers what is known of a few nodes: the branches that are its own and the messages
// of the two fronts below it. It eliminates one node (its pivot) and hands what remains, a message, to the front above.
// Where more than two fronts hang below a node, fronts without a pivot join them two by two. So each message stands by
// itself: whoever changes a branch reckons the fronts from there to the root anew, and adds the messages that come in
// from the sides as they are. Nothing is ever subtracted.
//
// Nodes are numbered anew, by their place in the elimination.
type pattern struct {
	place    []int32 // by node: its number in the elimination
	node     []int32 // and back
	fronts   []front // those below first
	frontOf  []int32 // by place: the front that eliminates it
	branches []seat  // by branch of the netlist
	gains    []gainSeat
	diodes   []int // branches that are diodes

	messages, shares, widest int // numbers that a set of factors takes
	desks                    deskPool

	listed    sync.Once
	incidents [][]int32 // by node
}

// front is one node of the tree. Its own nodes are the pivot, if it has one, then those that stay.
type front struct {
	pivot    int32      // −1 for a front that only joins two others
	stays    []int32    // ascending
	below    [2]int32   // −1 for none
	seats    [2][]int32 // of what stays of each front below: its seat here
	above    int32      // −1 for a root
	branches []int32    // the netlist's
	gains    []int32
	pieces   []int32
	message  int32 // where its message stands in factors.message
	share    int32 // where its pivot's shares stand in factors.up and down
}

// seat is where a branch's ends sit in its front, ground for an end at B-. front is −1 for a branch from a node to
// itself.
type seat struct{ front, a, b int32 }

type gainSeat struct{ front, out, ret, sup int32 }

// seats is how many nodes a front has.
func (f *front) seatCount() int {
	if f.pivot < 0 {
		return len(f.stays)
	}
	return len(f.stays) + 1
}

// seatOf is where a node sits in a front that it belongs to.
func (f *front) seatOf(place int32) int32 {
	if place < 0 {
		return ground
	}
	first := int32(0)
	if f.pivot >= 0 {
		if place == f.pivot {
			return 0
		}
		first = 1
	}
	at, ok := slices.BinarySearch(f.stays, place)
	if !ok {
		panic("network: a node is not in its front")
	}
	return first + int32(at)
}

// newPattern lays out the elimination of a netlist.
func newPattern(n *netlist) *pattern {
	steps := order(len(n.points), n.pairs())
	p := &pattern{place: make([]int32, len(steps)), node: make([]int32, len(steps)), frontOf: make([]int32, len(steps)), fronts: make([]front, 0, 2*len(steps))}
	for at, s := range steps {
		p.place[s.node], p.node[at] = int32(at), s.node
	}
	waiting := make([][]int32, len(steps)) // by place: the fronts that hang below its front
	for at, s := range steps {
		stays := s.stays
		for i, node := range stays {
			stays[i] = p.place[node]
		}
		slices.Sort(stays)
		below := p.joinFronts(waiting[at])
		p.frontOf[at] = p.addFront(int32(at), stays, below)
		if len(stays) > 0 {
			waiting[stays[0]] = append(waiting[stays[0]], p.frontOf[at])
		}
	}
	p.seatBranches(n)
	return p
}

// joinFronts joins fronts two by two until at most two are left. Those that share what stays are joined first, so that
// the joint ones are narrow.
func (p *pattern) joinFronts(list []int32) []int32 {
	if len(list) > 2 {
		slices.SortStableFunc(list, func(a, b int32) int { return slices.Compare(p.fronts[a].stays, p.fronts[b].stays) })
	}
	for len(list) > 2 {
		next := list[:0:0]
		for len(list) > 1 {
			next = append(next, p.addFront(-1, union(p.fronts[list[0]].stays, p.fronts[list[1]].stays), list[:2]))
			list = list[2:]
		}
		list = append(next, list...)
	}
	return list
}

func union(a, b []int32) []int32 {
	out := make([]int32, 0, len(a)+len(b))
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0] < b[0]:
			out, a = append(out, a[0]), a[1:]
		case a[0] > b[0]:
			out, b = append(out, b[0]), b[1:]
		default:
			out, a, b = append(out, a[0]), a[1:], b[1:]
		}
	}
	return append(append(out, a...), b...)
}

func (p *pattern) addFront(pivot int32, stays, below []int32) int32 {
	number := int32(len(p.fronts))
	p.fronts = append(p.fronts, front{pivot: pivot, stays: stays, below: [2]int32{-1, -1}, above: -1, message: int32(p.messages), share: int32(p.shares)})
	f := &p.fronts[number]
	for side, b := range below {
		f.below[side] = b
		p.fronts[b].above = number
		f.seats[side] = make([]int32, len(p.fronts[b].stays))
		for i, place := range p.fronts[b].stays {
			f.seats[side][i] = f.seatOf(place)
		}
	}
	p.messages += len(stays) * (len(stays) + 1)
	if pivot >= 0 {
		p.shares += len(stays)
	}
	p.widest = max(p.widest, f.seatCount())
	return number
}

// seatBranches gives every branch, gain and piece to the front of its node that goes first.
func (p *pattern) seatBranches(n *netlist) {
	for i, b := range n.values.branches {
		at := p.first(b.a, b.b)
		if at < 0 || b.a == b.b {
			p.branches = append(p.branches, seat{front: -1})
			continue
		}
		f := &p.fronts[at]
		f.branches = append(f.branches, int32(i))
		p.branches = append(p.branches, seat{at, f.seatOf(p.placeOf(b.a)), f.seatOf(p.placeOf(b.b))})
	}
	for i, g := range n.values.gains {
		at := p.first(g.out, g.ret, g.sup)
		if at < 0 {
			p.gains = append(p.gains, gainSeat{front: -1})
			continue
		}
		f := &p.fronts[at]
		f.gains = append(f.gains, int32(i))
		p.gains = append(p.gains, gainSeat{at, f.seatOf(p.placeOf(g.out)), f.seatOf(p.placeOf(g.ret)), f.seatOf(p.placeOf(g.sup))})
	}
	for i := range n.pieces {
		for _, pair := range n.decides(i) {
			if at := p.first(pair[0], pair[1]); at >= 0 {
				p.fronts[at].pieces = append(p.fronts[at].pieces, int32(i))
			}
		}
		if n.pieces[i].kind == diodePiece {
			p.diodes = append(p.diodes, n.pieces[i].branch)
		}
	}
}

// placeOf is a node's number in the elimination; B- stays B-.
func (p *pattern) placeOf(node int32) int32 {
	if node < 0 {
		return ground
	}
	return p.place[node]
}

// first is the front that eliminates the first of some nodes to go, −1 where all are B-.
func (p *pattern) first(nodes ...int32) int32 {
	best := int32(-1)
	for _, i := range nodes {
		if i >= 0 && (best < 0 || p.place[i] < best) {
			best = p.place[i]
		}
	}
	if best < 0 {
		return -1
	}
	return p.frontOf[best]
}

// incident are the fronts that hold the branches and gains at a node; they are listed for all nodes when one is first asked for.
func (p *pattern) incident(n *netlist, node int32) []int32 {
	p.listed.Do(func() {
		p.incidents = make([][]int32, len(p.place))
		put := func(front int32, nodes ...int32) {
			for i, at := range nodes {
				if front >= 0 && at >= 0 && !slices.Contains(nodes[:i], at) {
					p.incidents[at] = append(p.incidents[at], front)
				}
			}
		}
		for i, b := range n.values.branches {
			put(p.branches[i].front, b.a, b.b)
		}
		for i, g := range n.values.gains {
			put(p.gains[i].front, g.out, g.ret, g.sup)
		}
	})
	return p.incidents[node]
}
