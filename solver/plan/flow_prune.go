package plan

// reached are the nodes to which a way leads from the first, in the order in which they were worked out.
func (f *flow) reached() []int {
	met := make([]bool, len(f.nodes))
	var visit func(int)
	visit = func(i int) {
		if !met[i] {
			met[i] = true
			for _, b := range f.nodes[i].Branches {
				visit(b.Node)
			}
		}
	}
	visit(0)
	var out []int
	for i, is := range met {
		if is {
			out = append(out, i)
		}
	}
	return out
}

// prune leaves about that many nodes: readings behind which no end stands go first, then those by which the fewest machines come to
// an end for each node that they take.
func (f *flow) prune(most int) {
	if len(f.nodes) == 0 {
		return
	}
	for {
		nodes := f.reached()
		worst, least := -1, 0.0
		for _, i := range nodes {
			if i == 0 || f.nodes[i].Kind != FlowReading || !f.last(i) {
				continue
			}
			ends := f.endShare(i)
			if worst < 0 || ends < least {
				worst, least = i, ends
			}
		}
		if worst < 0 || least > 0 && len(nodes) <= most {
			return
		}
		f.leaveOff(worst)
	}
}

// last tells whether no reading follows a node's own.
func (f *flow) last(i int) bool {
	for _, b := range f.nodes[i].Branches {
		if f.nodes[b.Node].Kind == FlowReading {
			return false
		}
	}
	return true
}

// endShare is the share of machines that come to an end by a node's reading.
func (f *flow) endShare(i int) float64 {
	sum := 0.0
	for _, b := range f.nodes[i].Branches {
		if f.nodes[b.Node].Kind == FlowRepair {
			sum += f.nodes[i].Share * b.Share
		}
	}
	return sum
}

// leaveOff ends the chart where a node stood.
func (f *flow) leaveOff(i int) {
	rest := f.oneByOne()
	for _, n := range f.nodes {
		for k := range n.Branches {
			if n.Branches[k].Node == i {
				n.Branches[k].Node = rest
			}
		}
	}
}
