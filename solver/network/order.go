package network

// step is one node leaving the elimination, with the nodes that it is joined to then.
type step struct {
	node  int32
	stays []int32
}

// slackDegree is how much above the least degree a node may be to leave in the same pass. The wider a pass, the
// shallower the elimination tree and the shorter the walks on it; two costs next to no fill.
const slackDegree = 2

// order eliminates the nodes in passes: each takes nodes of about least degree of which no two are joined. pairs are
// the node pairs that any branch or gain joins; a pair with a negative node (B-) counts for nothing.
func order(n int, pairs [][2]int32) []step {
	g := joinedNodes(n, pairs)
	steps := make([]step, 0, n)
	left := make([]int32, n)
	for i := range left {
		left[i] = int32(i)
	}
	blocked := make([]int32, n) // the pass in which a neighbour left
	gone := make([]bool, n)
	for pass := int32(1); len(left) > 0; pass++ {
		least := len(g[left[0]])
		for _, i := range left {
			least = min(least, len(g[i]))
		}
		for degree := least; degree <= least+slackDegree; degree++ {
			for _, i := range left {
				if gone[i] || blocked[i] == pass || len(g[i]) != degree {
					continue
				}
				steps = append(steps, step{i, g.eliminate(i)})
				gone[i] = true
				for _, j := range steps[len(steps)-1].stays {
					blocked[j] = pass
				}
			}
		}
		stay := left[:0]
		for _, i := range left {
			if !gone[i] {
				stay = append(stay, i)
			}
		}
		left = stay
	}
	return steps
}

// neighbours are the nodes that each node is joined to.
type neighbours [][]int32

func joinedNodes(n int, pairs [][2]int32) neighbours {
	g := make(neighbours, n)
	room := make([]int32, 4*n)
	for i := range g {
		g[i] = room[4*i : 4*i : 4*i+4]
	}
	for _, p := range pairs {
		if p[0] >= 0 && p[1] >= 0 && p[0] != p[1] {
			g.join(p[0], p[1])
		}
	}
	return g
}

// join looks the pair up in the shorter list: a hub's list is long, and hubs are few.
func (g neighbours) join(i, j int32) {
	short, other := g[i], j
	if len(g[j]) < len(short) {
		short, other = g[j], i
	}
	for _, k := range short {
		if k == other {
			return
		}
	}
	g[i] = append(g[i], j)
	g[j] = append(g[j], i)
}

// eliminate takes a node out and joins the nodes around it to each other.
func (g neighbours) eliminate(i int32) []int32 {
	around := g[i]
	for _, j := range around {
		list := g[j]
		for at, k := range list {
			if k == i {
				list[at] = list[len(list)-1]
				g[j] = list[:len(list)-1]
				break
			}
		}
	}
	for at, j := range around {
		for _, k := range around[at+1:] {
			g.join(j, k)
		}
	}
	g[i] = nil
	return around
}
