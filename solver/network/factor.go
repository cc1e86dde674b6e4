package network

// factors are the numeric half of the elimination for one set of branch values, and the voltages that follow.
//
// Row i of the system says pivot_i·v_i − Σ_j entry(i,j)·v_j = current_i, and pivot_i = Σ_j entry(i,j) + ground_i holds at
// every step of the elimination, so the pivot is never carried along and never loses digits to a subtraction. A table
// keeps the conductance to ground where the pivot would stand, on its diagonal.
type factors struct {
	p        *pattern
	message  []float64 // by front: the table of what stays, row by row, then the currents into it
	up, down []float64 // by front with a pivot: shares of the pivot in its row, and in its column
	ground   []float64 // by place: share of the pivot that goes to B- and to known potentials
	drop     []float64 // by place: current over pivot
	volts    []float64 // by node
	offset   []float64 // by node, nil for none; see offsets
	island   []int32   // by place: -1 for a node with a path to B-, else a number that its floating part shares
}

func newFactors(p *pattern) *factors {
	n := len(p.node)
	return &factors{p: p, message: make([]float64, p.messages), up: make([]float64, p.shares), down: make([]float64, p.shares),
		ground: make([]float64, n), drop: make([]float64, n), volts: make([]float64, n), island: make([]int32, n)}
}

// table is a small system under assembly: conductances row by row with those to ground on the diagonal, and currents.
type table struct {
	size int
	g    []float64
	in   []float64
}

// table gives a cleared one in the room offered.
func tableIn(room []float64, size int) table {
	t := table{size, room[:size*size], room[size*size : size*size+size]}
	clear(room[:size*size+size])
	return t
}

// branch adds a conductance between two seats, and what a branch drives from b to a.
func (t table) branch(a, b int32, siemens, in float64) {
	switch {
	case a < 0:
		t.g[int(b)*t.size+int(b)] += siemens
		t.in[b] -= in
		return
	case b < 0:
		t.g[int(a)*t.size+int(a)] += siemens
	default:
		t.g[int(a)*t.size+int(b)] += siemens
		t.g[int(b)*t.size+int(a)] += siemens
		t.in[b] -= in
	}
	t.in[a] += in
}

// put adds a conductance through which a row feels another seat, or B-.
func (t table) put(row, seat int32, siemens float64) {
	if seat < 0 {
		seat = row
	}
	t.g[int(row)*t.size+int(seat)] += siemens
}

// gain adds an output stage; in is what its offsets drive.
func (t table) gain(s gainSeat, g *gain, in float64) {
	if g.siemens == 0 || s.out == s.ret {
		return
	}
	if s.out >= 0 {
		t.in[s.out] += in
	}
	if s.ret >= 0 {
		t.in[s.ret] -= in
	}
	toReturn, toSupply := g.siemens*(1-g.share), g.siemens*g.share
	if s.out >= 0 {
		t.put(s.out, s.ret, toReturn)
		if s.sup == s.out {
			return
		}
		t.put(s.out, s.sup, toSupply)
	}
	if s.ret >= 0 {
		t.put(s.ret, s.out, g.siemens)
		if s.sup != s.ret {
			t.put(s.ret, s.sup, -toSupply)
		}
	}
}

// eliminate takes seat k out of a table. message takes what stays, up and down the shares of the pivot; the pivot's
// share of ground and its drop are returned. A pivot of nothing at all leaves the rest as it is.
func (t table) eliminate(k int, message, up, down []float64) (ground, drop float64) {
	m := t.size - 1
	row := t.g[k*t.size : (k+1)*t.size]
	pivot := 0.0
	for _, g := range row {
		pivot += g
	}
	inverse := 0.0
	if pivot != 0 {
		inverse = 1 / pivot
	}
	own, in := row[k], t.in[k]
	copy(up, row[:k])
	copy(up[k:m], row[k+1:])
	up = up[:m]
	currents := message[m*m:]
	i := 0
	for r := range t.size {
		if r == k {
			continue
		}
		from := t.g[r*t.size : (r+1)*t.size]
		to := message[i*m : (i+1)*m]
		share := from[k] * inverse
		down[i] = share
		copy(to, from[:k])
		copy(to[k:], from[k+1:])
		currents[i] = t.in[r]
		if share != 0 {
			diagonal := to[i] + share*own
			for j, g := range up {
				to[j] += share * g
			}
			to[i] = diagonal
			currents[i] += share * in
		}
		i++
	}
	for j := range up {
		up[j] *= inverse
	}
	return own * inverse, in * inverse
}

// factor eliminates front after front and finds the voltages.
//
// A diode's drop behind next to no resistance would inject currents that cancel each other to the last digit. So nodes
// carry offsets: what is solved for is the voltage less its offset, and a conducting diode's anode is offset from its
// cathode by just the drop.
func (f *factors) factor(v values) {
	p := f.p
	f.offset = p.offsets(v)
	work := make([]float64, p.widest*(p.widest+1))
	for i := range p.fronts {
		fr := &p.fronts[i]
		t := tableIn(work, fr.seatCount())
		for side, b := range fr.below {
			if b >= 0 {
				below := &p.fronts[b]
				t.gather(f.message[below.message:], len(below.stays), fr.seats[side])
			}
		}
		for _, k := range fr.branches {
			b, s := &v.branches[k], p.branches[k]
			if in := b.drives(f.offset); b.siemens != 0 || in != 0 {
				t.branch(s.a, s.b, b.siemens, in)
			}
		}
		for _, k := range fr.gains {
			t.gain(p.gains[k], &v.gains[k], v.gains[k].drives(f.offset))
		}
		message := f.message[fr.message:]
		if fr.pivot < 0 {
			copy(message, t.g)
			copy(message[len(t.g):], t.in)
			continue
		}
		f.ground[fr.pivot], f.drop[fr.pivot] = t.eliminate(0, message, f.up[fr.share:], f.down[fr.share:])
	}
	f.voltages()
	f.findIslands()
}

// gather adds a message of m nodes.
func (t table) gather(message []float64, m int, seats []int32) {
	for i, r := range seats {
		row := t.g[int(r)*t.size : (int(r)+1)*t.size]
		for j, g := range message[i*m : (i+1)*m] {
			row[seats[j]] += g
		}
		t.in[r] += message[m*m+i]
	}
}

// drives is the current that a branch's source drives from b to a, and the offsets of its ends.
func (b *branch) drives(offset []float64) float64 {
	emf := b.emf
	if offset != nil {
		emf -= at(offset, b.a) - at(offset, b.b)
	}
	return b.siemens*emf - b.amps
}

func (g *gain) drives(offset []float64) float64 {
	if offset == nil {
		return 0
	}
	return g.siemens * (g.share*at(offset, g.sup) + (1-g.share)*at(offset, g.ret) - at(offset, g.out))
}

// voltages walks the elimination backwards.
func (f *factors) voltages() {
	p := f.p
	x := make([]float64, len(p.node))
	for k := len(p.node) - 1; k >= 0; k-- {
		fr := &p.fronts[p.frontOf[k]]
		v := f.drop[k]
		up := f.up[fr.share:]
		for j, place := range fr.stays {
			v += up[j] * x[place]
		}
		x[k] = v
	}
	for k, node := range p.node {
		f.volts[node] = x[k] + at(f.offset, node)
	}
}

// offsets are the nodes' offsets for the diodes that conduct; nil where none does. Diodes in a loop cannot all have
// their drop: the last one found keeps its source.
func (p *pattern) offsets(v values) []float64 {
	var offset []float64
	for _, d := range p.diodes {
		if v.branches[d].siemens == 0 {
			continue
		}
		if offset == nil {
			offset = make([]float64, len(p.node))
		}
		b := &v.branches[d]
		if b.a >= 0 && offset[b.a] == 0 {
			offset[b.a] = at(offset, b.b) + b.emf
		}
	}
	return offset
}

// findIslands walks the elimination backwards: a node hangs on ground if it had a conductance to ground when it was
// eliminated, else on whatever neighbour it still had.
func (f *factors) findIslands() {
	p := f.p
	for k := len(p.node) - 1; k >= 0; k-- {
		fr := &p.fronts[p.frontOf[k]]
		island := int32(k)
		if f.ground[k] != 0 {
			island = -1
		} else {
			for j, place := range fr.stays {
				if f.up[int(fr.share)+j] != 0 || f.down[int(fr.share)+j] != 0 {
					island = f.island[place]
					break
				}
			}
		}
		f.island[k] = island
	}
}

// at is the island of a node, -1 for one with a path to B-.
func (f *factors) at(node int32) int32 {
	if node < 0 {
		return -1
	}
	return f.island[f.p.place[node]]
}

// joined tells whether two nodes have a path between them.
func (f *factors) joined(a, b int32) bool { return f.at(a) == f.at(b) }

// at is a node's part of some numbers by node; nothing at B-, and nothing where there are none.
func at(x []float64, node int32) float64 {
	if node < 0 || x == nil {
		return 0
	}
	return x[node]
}
