package network

// pattern is the symbolic half of the elimination: in which order nodes go, which entries each step touches. It
// depends on which branches exist, not on their values, so that it serves every fault and state of pieces.
//
// Entries are directed: entry (i,j) is the conductance through which node j acts on the balance of node i.
type pattern struct {
	n       int
	order   []int32 // node eliminated at each step
	at      []int32 // step at which a node is eliminated
	entries map[[2]int32]int32
	steps   []step
	targets []int32 // of all steps, in the order in which factor visits them
	count   int     // number of entries
}

// step eliminates one node towards its neighbours that are still there.
type step struct {
	node       int32
	neighbours []int32
	up         []int32 // entry (node, neighbour)
	down       []int32 // entry (neighbour, node)
}

// newPattern orders the nodes by least degree and notes the fill. pairs are the node pairs that any branch or gain
// joins; a pair with a negative node (B-) counts for nothing.
func newPattern(n int, pairs [][2]int32) *pattern {
	p := &pattern{n: n, entries: make(map[[2]int32]int32, 4*len(pairs)), at: make([]int32, n)}
	adjacent := make([][]int32, n)
	link := func(i, j int32) {
		if _, ok := p.entries[[2]int32{i, j}]; ok {
			return
		}
		p.entries[[2]int32{i, j}] = int32(p.count)
		p.entries[[2]int32{j, i}] = int32(p.count + 1)
		p.count += 2
		adjacent[i] = append(adjacent[i], j)
		adjacent[j] = append(adjacent[j], i)
	}
	for _, pair := range pairs {
		if pair[0] >= 0 && pair[1] >= 0 && pair[0] != pair[1] {
			link(pair[0], pair[1])
		}
	}
	gone := make([]bool, n)
	for len(p.order) < n {
		best, degree := int32(-1), n+1
		for i := range adjacent {
			if d := len(adjacent[i]); !gone[i] && d < degree {
				best, degree = int32(i), d
				if d <= 1 {
					break
				}
			}
		}
		neighbours := adjacent[best]
		gone[best] = true
		p.at[best] = int32(len(p.order))
		p.order = append(p.order, best)
		for a, i := range neighbours {
			for _, j := range neighbours[a+1:] {
				link(i, j)
			}
		}
		for _, i := range neighbours {
			adjacent[i] = without(adjacent[i], best)
		}
		p.addStep(best, neighbours)
	}
	return p
}

func (p *pattern) addStep(node int32, neighbours []int32) {
	s := step{node: node, neighbours: neighbours}
	for _, i := range neighbours {
		s.up = append(s.up, p.entries[[2]int32{node, i}])
		s.down = append(s.down, p.entries[[2]int32{i, node}])
		for _, j := range neighbours {
			if i != j {
				p.targets = append(p.targets, p.entries[[2]int32{i, j}])
			}
		}
	}
	p.steps = append(p.steps, s)
}

func without(list []int32, x int32) []int32 {
	out := list[:0]
	for _, v := range list {
		if v != x {
			out = append(out, v)
		}
	}
	return out
}
