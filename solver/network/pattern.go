package network

// pattern is the symbolic half of the elimination: in which order nodes go, which entries each step touches. It
// depends on which branches exist, not on their values, so that it serves every fault and state of pieces.
//
// Entries are directed: entry (i,j) is the conductance through which node j acts on the balance of node i.
type pattern struct {
	n       int
	links   [][]link // by node: every node it is or comes to be joined to, with the entries both ways
	steps   []step
	targets []int32 // of all steps, in the order in which factor visits them
	count   int     // number of entries
}

// link is one neighbour of a node: entry `to` stands in the node's own row, entry `from` in the neighbour's.
type link struct{ node, to, from int32 }

// step eliminates one node towards its neighbours that are still there.
type step struct {
	node       int32
	neighbours []int32
	up         []int32 // entry (node, neighbour)
	down       []int32 // entry (neighbour, node)
}

// entry is the number of entry (i,j); -1 where the two are never joined.
func (p *pattern) entry(i, j int32) int32 {
	for _, l := range p.links[i] {
		if l.node == j {
			return l.to
		}
	}
	return -1
}

func (p *pattern) join(i, j int32) {
	if p.entry(i, j) >= 0 {
		return
	}
	a, b := int32(p.count), int32(p.count+1)
	p.count += 2
	p.links[i] = append(p.links[i], link{j, a, b})
	p.links[j] = append(p.links[j], link{i, b, a})
}

// newPattern orders the nodes by least degree and notes the fill. pairs are the node pairs that any branch or gain
// joins; a pair with a negative node (B-) counts for nothing.
func newPattern(n int, pairs [][2]int32) *pattern {
	p := &pattern{n: n, links: make([][]link, n), steps: make([]step, 0, n)}
	room := make([]link, 6*n)
	for i := range p.links {
		p.links[i] = room[6*i : 6*i : 6*i+6]
	}
	for _, pair := range pairs {
		if pair[0] >= 0 && pair[1] >= 0 && pair[0] != pair[1] {
			p.join(pair[0], pair[1])
		}
	}
	gone := make([]bool, n)
	degree := make([]int, n)
	for i := range p.links {
		degree[i] = len(p.links[i])
	}
	for range n {
		best := int32(-1)
		for i := range degree {
			if !gone[i] && (best < 0 || degree[i] < degree[best]) {
				best = int32(i)
				if degree[i] <= 1 {
					break
				}
			}
		}
		gone[best] = true
		p.eliminate(best, gone, degree)
	}
	return p
}

// eliminate notes a step and the links that it makes between the neighbours that remain.
func (p *pattern) eliminate(node int32, gone []bool, degree []int) {
	s := step{node: node}
	room := make([]int32, 0, 3*degree[node])
	for _, l := range p.links[node] {
		if !gone[l.node] {
			room = append(room, l.node)
		}
	}
	d := len(room)
	for _, l := range p.links[node] {
		if !gone[l.node] {
			room = append(room, l.to)
		}
	}
	for _, l := range p.links[node] {
		if !gone[l.node] {
			room = append(room, l.from)
		}
	}
	s.neighbours, s.up, s.down = room[:d], room[d:2*d], room[2*d:]
	for a, i := range s.neighbours {
		degree[i]--
		for _, j := range s.neighbours[a+1:] {
			before := p.count
			p.join(i, j)
			if p.count > before {
				degree[i]++
				degree[j]++
			}
		}
	}
	for _, i := range s.neighbours {
		for _, j := range s.neighbours {
			if i != j {
				p.targets = append(p.targets, p.entry(i, j))
			}
		}
	}
	p.steps = append(p.steps, s)
}
