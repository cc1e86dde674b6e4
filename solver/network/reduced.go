package network

import (
	"math/bits"
	"slices"
)

// reduced is a circuit seen from a few nodes that are kept: everything else is eliminated, exactly, and what is left is
// a table of a few rows. A fault, a meter, ways changed over are branches in that table, of any ohms, none or a dead
// short; a part without a path to B- is a row without conductance.
//
// To keep a node, or to change a branch, is to reckon the fronts from there to the root anew, with the kept nodes
// carried along; all other messages are those of the factors below. A reduction can stand on another one: a fault's on
// that of the reading's leads.
type reduced struct {
	f     *factors
	under *reduced // nil for one that stands on the factors alone
	kept  []int32  // places; those of under first
	patch *patch

	fronts       []int32 // that were reckoned anew, those below first
	rows         []row
	numbers      []float64 // messages and shares of the rows
	g, in        []float64 // the table of the kept nodes
	seeds, roots []int32
}

// row is where the numbers of a front stand that was reckoned anew. Its message and the shares of its pivot are over
// the kept nodes that lie below it, in the order of their bits, then what stays.
type row struct {
	kept    uint32 // of reduced.kept, by bit
	size    int32  // of kept nodes and what stays
	message int32
	share   int32 // up, then down; −1 where no node is eliminated
	ground  float64
	drop    float64
}

// mostKept bounds the nodes kept: two leads, and four ends of two wires or ways.
const mostKept = 6

// patch is what differs from the branch values that the factors were made from.
type patch struct {
	branches []int32
	to       []branch
	gains    []int32
	toGains  []gain
	offset   []float64 // the offsets by node, where they differ; else nil
	lifted   []int32   // the nodes whose offset differs
}

func (p *patch) clear() {
	*p = patch{branches: p.branches[:0], to: p.to[:0], gains: p.gains[:0], toGains: p.toGains[:0]}
}

func (p *patch) set(i int32, b branch) {
	if at := slices.Index(p.branches, i); at >= 0 {
		p.to[at] = b
		return
	}
	p.branches, p.to = append(p.branches, i), append(p.to, b)
}

func (p *patch) setGain(i int32, g gain) {
	if at := slices.Index(p.gains, i); at >= 0 {
		p.toGains[at] = g
		return
	}
	p.gains, p.toGains = append(p.gains, i), append(p.toGains, g)
}

// branch is a branch as it is with the patch.
func (p *patch) branch(v *values, i int32) *branch {
	if at := slices.Index(p.branches, i); at >= 0 {
		return &p.to[at]
	}
	return &v.branches[i]
}

func (p *patch) gain(v *values, i int32) *gain {
	if at := slices.Index(p.gains, i); at >= 0 {
		return &p.toGains[at]
	}
	return &v.gains[i]
}

// keep adds a node to those kept and gives its row in the table; B- has none.
func (r *reduced) keep(node int32) int8 {
	if node < 0 {
		return ground
	}
	place := r.f.p.place[node]
	if at := slices.Index(r.kept, place); at >= 0 {
		return int8(at)
	}
	r.kept = append(r.kept, place)
	return int8(len(r.kept) - 1)
}

// begin makes a reduction of the factors, or of under, in the room of an old one.
func (r *reduced) begin(f *factors, under *reduced, p *patch) {
	r.f, r.under, r.patch = f, under, p
	r.kept = r.kept[:0]
	if under != nil {
		r.kept = append(r.kept, under.kept...)
	}
}

// reckon walks from the kept nodes and the patched branches to the roots.
func (r *reduced) reckon(d *desk, net *netlist, v *values) {
	p := r.f.p
	d.open(r.under)
	r.seeds = r.seeds[:0]
	first := 0
	if r.under != nil {
		first = len(r.under.kept)
	}
	for _, place := range r.kept[first:] {
		r.seeds = append(r.seeds, p.frontOf[place])
	}
	for _, i := range r.patch.branches {
		r.seeds = append(r.seeds, p.branches[i].front)
	}
	for _, i := range r.patch.gains {
		r.seeds = append(r.seeds, p.gains[i].front)
	}
	for _, node := range r.patch.lifted {
		r.seeds = append(r.seeds, p.incident(net, node)...)
	}
	r.fronts = r.fronts[:0]
	climbs := 0
	for _, at := range r.seeds {
		if at >= 0 && !d.isOwn(at) {
			climbs++
		}
		for ; at >= 0 && !d.isOwn(at); at = p.fronts[at].above {
			d.own(at, 0)
			r.fronts = append(r.fronts, at)
		}
	}
	if climbs > 1 {
		slices.Sort(r.fronts)
	}
	r.rows, r.numbers = r.rows[:0], r.numbers[:0]
	for i, at := range r.fronts {
		d.own(at, int32(i))
		r.rows = append(r.rows, r.front(d, at, v))
	}
	r.gatherKept(d)
}

// front reckons one front anew.
func (r *reduced) front(d *desk, at int32, v *values) row {
	p := r.f.p
	fr := &p.fronts[at]
	out := row{share: -1}
	for _, b := range fr.below {
		if b >= 0 {
			if _, w := d.rowOf(r, b); w != nil {
				out.kept |= w.kept
			}
		}
	}
	keptPivot := -1
	if fr.pivot >= 0 {
		if keptPivot = slices.Index(r.kept, fr.pivot); keptPivot >= 0 {
			out.kept |= 1 << keptPivot
		}
	}
	held := bits.OnesCount32(out.kept) // seats of kept nodes come first
	own := fr.seatCount()
	shift := int32(held)
	if keptPivot >= 0 {
		own--
		shift--
	}
	pivotSeat := int32(held)
	if keptPivot >= 0 {
		pivotSeat = rank(out.kept, keptPivot)
	}
	seated := func(seat int32) int32 {
		switch {
		case seat == 0 && fr.pivot >= 0:
			return pivotSeat
		case seat < 0:
			return ground
		}
		return seat + shift
	}
	t := tableIn(d.work, held+own)
	for side, b := range fr.below {
		if b < 0 {
			continue
		}
		seats := d.seats[:0]
		owner, w := d.rowOf(r, b)
		message := r.f.message[p.fronts[b].message:]
		if w != nil {
			message = owner.numbers[w.message:]
			for k := w.kept; k != 0; k &= k - 1 {
				seats = append(seats, rank(out.kept, bits.TrailingZeros32(k)))
			}
		}
		for _, seat := range fr.seats[side] {
			seats = append(seats, seated(seat))
		}
		t.gather(message, len(seats), seats)
		d.seats = seats
	}
	offset := r.offset()
	for _, k := range fr.branches {
		b, s := r.patch.branch(v, k), p.branches[k]
		if in := b.drives(offset); b.siemens != 0 || in != 0 {
			t.branch(seated(s.a), seated(s.b), b.siemens, in)
		}
	}
	for _, k := range fr.gains {
		g, s := r.patch.gain(v, k), p.gains[k]
		t.gain(gainSeat{at, seated(s.out), seated(s.ret), seated(s.sup)}, g, g.drives(offset))
	}
	m := t.size
	if fr.pivot >= 0 && keptPivot < 0 {
		m--
	}
	out.size, out.message = int32(m), r.room(m*m+m)
	if m == t.size {
		copy(r.numbers[out.message:], t.g)
		copy(r.numbers[int(out.message)+m*m:], t.in)
		return out
	}
	out.share = r.room(2 * m)
	shares := r.numbers[out.share:]
	out.ground, out.drop = t.eliminate(held, r.numbers[out.message:], shares[:m], shares[m:2*m])
	return out
}

// rank is where a bit stands among those set.
func rank(set uint32, bit int) int32 { return int32(bits.OnesCount32(set & (1<<bit - 1))) }

// room makes room for some numbers and gives where it starts.
func (r *reduced) room(n int) int32 {
	at := len(r.numbers)
	r.numbers = slices.Grow(r.numbers, n)[:at+n]
	return int32(at)
}

// offset is by node, nil for none.
func (r *reduced) offset() []float64 {
	if r.patch.offset != nil {
		return r.patch.offset
	}
	return r.f.offset
}

// gatherKept adds up what the roots leave of the kept nodes.
func (r *reduced) gatherKept(d *desk) {
	n := len(r.kept)
	r.g, r.in = append(r.g[:0], make([]float64, n*n)...), append(r.in[:0], make([]float64, n)...)
	r.roots = r.roots[:0]
	for _, at := range r.fronts {
		if r.f.p.fronts[at].above < 0 {
			r.roots = append(r.roots, at)
		}
	}
	if r.under != nil {
		for _, at := range r.under.roots {
			if !d.isOwn(at) {
				r.roots = append(r.roots, at)
			}
		}
	}
	for _, at := range r.roots {
		owner, w := d.rowOf(r, at)
		message, m := owner.numbers[w.message:], int(w.size)
		var seats [mostKept]int
		for i, k := 0, w.kept; k != 0; i, k = i+1, k&(k-1) {
			seats[i] = bits.TrailingZeros32(k)
		}
		for i := range m {
			for j := range m {
				r.g[seats[i]*n+seats[j]] += message[i*m+j]
			}
			r.in[seats[i]] += message[m*m+i]
		}
	}
}
