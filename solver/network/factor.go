package network

// factors are the numeric half of the elimination for one set of branch values.
//
// Row i of the system says pivot_i·v_i − Σ_j entry(i,j)·v_j = rhs_i, and pivot_i = Σ_j entry(i,j) + ground_i holds at
// every step of the elimination, so the pivot is never carried along and never loses digits to a subtraction.
type factors struct {
	p      *pattern
	entry  []float64 // before factor: conductances; after: shares of the pivots
	ground []float64 // conductance to B- and to known potentials
	pivot  []float64
	island []int32 // after factor: -1 for a node with a path to B-, else a number that its floating part shares
}

func newFactors(p *pattern) *factors {
	return &factors{p: p, entry: make([]float64, p.count), ground: make([]float64, p.n), pivot: make([]float64, p.n), island: make([]int32, p.n)}
}

// factor eliminates node after node in place.
func (f *factors) factor() {
	t := 0
	targets := f.p.targets
	for si := range f.p.steps {
		s := &f.p.steps[si]
		k := s.node
		pivot := f.ground[k]
		for _, e := range s.up {
			pivot += f.entry[e]
		}
		f.pivot[k] = pivot
		if pivot == 0 {
			t += len(s.up) * (len(s.up) - 1)
			continue
		}
		inverse := 1 / pivot
		for a, down := range s.down {
			share := f.entry[down] * inverse
			f.entry[down] = share
			if share == 0 {
				t += len(s.up) - 1
				continue
			}
			for b, up := range s.up {
				if a == b {
					continue
				}
				f.entry[targets[t]] += share * f.entry[up]
				t++
			}
			f.ground[s.neighbours[a]] += share * f.ground[k]
		}
		for _, up := range s.up {
			f.entry[up] *= inverse
		}
	}
	f.findIslands()
}

// findIslands walks the elimination backwards: a node hangs on ground if it had a conductance to ground when it was
// eliminated, else on whatever neighbour it still had.
func (f *factors) findIslands() {
	for si := len(f.p.steps) - 1; si >= 0; si-- {
		s := &f.p.steps[si]
		island := s.node
		if f.ground[s.node] != 0 {
			island = -1
		} else {
			for m, j := range s.neighbours {
				if f.entry[s.up[m]] != 0 || f.entry[s.down[m]] != 0 {
					island = f.island[j]
					break
				}
			}
		}
		f.island[s.node] = island
	}
}

// at is the island of a node, -1 for one with a path to B-.
func (f *factors) at(i int32) int32 {
	if i < 0 {
		return -1
	}
	return f.island[i]
}

// joined tells whether two nodes have a path between them.
func (f *factors) joined(a, b int32) bool { return f.at(a) == f.at(b) }

// solve turns the injected currents x (amperes into each node) into voltages against B-. A floating part is given with
// its last node at zero; currents into it must sum to zero for the answer to mean anything.
func (f *factors) solve(x []float64) {
	for si := range f.p.steps {
		s := &f.p.steps[si]
		if v := x[s.node]; v != 0 {
			for m, down := range s.down {
				x[s.neighbours[m]] += f.entry[down] * v
			}
		}
	}
	for si := len(f.p.steps) - 1; si >= 0; si-- {
		s := &f.p.steps[si]
		if f.pivot[s.node] == 0 {
			x[s.node] = 0
			continue
		}
		v := x[s.node] / f.pivot[s.node]
		for m, up := range s.up {
			v += f.entry[up] * x[s.neighbours[m]]
		}
		x[s.node] = v
	}
}

// solveTransposed solves the transposed system: x is a functional of the voltages on entry, and on return the weight
// that each injected current has in it.
func (f *factors) solveTransposed(x []float64) {
	for si := range f.p.steps {
		s := &f.p.steps[si]
		if f.pivot[s.node] == 0 {
			x[s.node] = 0
			continue
		}
		if v := x[s.node]; v != 0 {
			for m, up := range s.up {
				x[s.neighbours[m]] += f.entry[up] * v
			}
			x[s.node] = v / f.pivot[s.node]
		}
	}
	for si := len(f.p.steps) - 1; si >= 0; si-- {
		s := &f.p.steps[si]
		if f.pivot[s.node] == 0 {
			continue
		}
		v := x[s.node]
		for m, down := range s.down {
			v += f.entry[down] * x[s.neighbours[m]]
		}
		x[s.node] = v
	}
}
