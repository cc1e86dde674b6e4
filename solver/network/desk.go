package network

import (
	"math/bits"
	"sync"
)

// desk is a worker's room: which fronts a reduction has reckoned anew, and the voltages and weights of nodes as they
// are asked for. What is not asked for is never found.
type desk struct {
	turn uint32 // what is not of this turn is old

	rowAt  []uint32 // by front: the turn
	rows   []int32  // by front: its row, that of the reduction below as −1−row
	ownAt  []uint32
	voltAt []uint32 // by place
	volts  []float64
	weigAt []uint32
	weight []float64

	sumAt []uint32 // by parameter
	sum   []float64
	leans []int32 // parameters with a sum

	work  []float64
	seats []int32

	top      *reduced
	few      few
	silenced bool // no source but the meter's
}

// deskPool keeps the desks of a pattern.
type deskPool struct{ pool sync.Pool }

func (p *pattern) desk() *desk {
	if d, ok := p.desks.pool.Get().(*desk); ok {
		return d
	}
	n, m := len(p.node), len(p.fronts)
	widest := p.widest + mostKept
	return &desk{rowAt: make([]uint32, m), rows: make([]int32, m), ownAt: make([]uint32, m), voltAt: make([]uint32, n), volts: make([]float64, n),
		weigAt: make([]uint32, n), weight: make([]float64, n), work: make([]float64, widest*(widest+1))}
}

func (p *pattern) giveBack(d *desk) {
	d.top = nil
	p.desks.pool.Put(d)
}

// open begins a turn with the rows of a reduction that another is to stand on.
func (d *desk) open(under *reduced) {
	d.turn++
	if under == nil {
		return
	}
	for i, at := range under.fronts {
		d.rowAt[at], d.rows[at] = d.turn, int32(-1-i)
	}
}

func (d *desk) own(front, row int32) {
	d.rowAt[front], d.ownAt[front], d.rows[front] = d.turn, d.turn, row
}

func (d *desk) isOwn(front int32) bool { return d.ownAt[front] == d.turn }

// rowOf finds the row of a front that a reduction, or the one below it, has reckoned anew; nil for none.
func (d *desk) rowOf(r *reduced, front int32) (*reduced, *row) {
	if d.rowAt[front] != d.turn {
		return nil, nil
	}
	if i := d.rows[front]; i >= 0 {
		return r, &r.rows[i]
	} else {
		return r.under, &r.under.rows[-1-i]
	}
}

// show lays a reduction out on the desk with its few nodes solved.
func (d *desk) show(r *reduced, silenced bool) {
	d.open(r.under)
	for i, at := range r.fronts {
		d.own(at, int32(i))
	}
	d.top, d.silenced = r, silenced
	for i, place := range r.kept {
		d.voltAt[place], d.volts[place] = d.turn, d.few.volts[i]
	}
}

// begin clears the sums of leanings.
func (d *desk) begin(parameters int) {
	if len(d.sum) < parameters {
		d.sumAt, d.sum = make([]uint32, parameters), make([]float64, parameters)
	}
	d.leans = d.leans[:0]
}

func (d *desk) add(parameter int32, change float64) {
	if d.sumAt[parameter] != d.turn {
		d.sumAt[parameter], d.sum[parameter] = d.turn, 0
		d.leans = append(d.leans, parameter)
	}
	d.sum[parameter] += change
}

// volt is a node's voltage.
func (d *desk) volt(node int32) float64 {
	if node < 0 {
		return 0
	}
	return d.above(d.top.f.p.place[node]) + at(d.top.offset(), node)
}

// above is a node's voltage less its offset, by place.
func (d *desk) above(place int32) float64 {
	if d.voltAt[place] == d.turn {
		return d.volts[place]
	}
	f := d.top.f
	front := f.p.frontOf[place]
	stays := f.p.fronts[front].stays
	up, v := f.up[f.p.fronts[front].share:], f.drop[place]
	if owner, w := d.rowOf(d.top, front); w != nil {
		up, v = owner.numbers[w.share:], w.drop
		if d.silenced {
			v = 0
		}
		for k := w.kept; k != 0; k &= k - 1 {
			v += up[0] * d.few.volts[bits.TrailingZeros32(k)]
			up = up[1:]
		}
	} else if d.silenced {
		v = 0
	}
	for j, s := range stays {
		if share := up[j]; share != 0 {
			v += share * d.above(s)
		}
	}
	d.voltAt[place], d.volts[place] = d.turn, v
	return v
}

// weightOf is what a current injected into a node weighs in the reading. weigh must have been called.
func (d *desk) weightOf(node int32) float64 {
	if node < 0 {
		return 0
	}
	return d.weightAt(d.top.f.p.place[node])
}

func (d *desk) weightAt(place int32) float64 {
	if d.weigAt[place] == d.turn {
		return d.weight[place]
	}
	f := d.top.f
	front := f.p.frontOf[place]
	stays := f.p.fronts[front].stays
	down, v := f.down[f.p.fronts[front].share:], 0.0
	if owner, w := d.rowOf(d.top, front); w != nil {
		down = owner.numbers[w.share+w.size:]
		for k := w.kept; k != 0; k &= k - 1 {
			v += down[0] * d.few.weights[bits.TrailingZeros32(k)]
			down = down[1:]
		}
	}
	for j, s := range stays {
		if share := down[j]; share != 0 {
			v += share * d.weightAt(s)
		}
	}
	d.weigAt[place], d.weight[place] = d.turn, v
	return v
}

// weigh lays out the weights of the few nodes.
func (d *desk) weigh() {
	for i, place := range d.top.kept {
		d.weigAt[place], d.weight[place] = d.turn, d.few.weights[i]
	}
}

// island is a node's part: −1 for one with a path to B-, else a number that its floating part shares.
func (d *desk) island(node int32) int32 {
	if node < 0 {
		return -1
	}
	f := d.top.f
	place := f.p.place[node]
search:
	for {
		for i, k := range d.top.kept {
			if k == place {
				if part := d.few.island(int8(i)); part >= 0 {
					return -2 - int32(part)
				}
				return -1
			}
		}
		front := f.p.frontOf[place]
		stays := f.p.fronts[front].stays
		at := f.p.fronts[front].share
		up, down, ground := f.up[at:], f.down[at:], f.ground[place]
		if owner, w := d.rowOf(d.top, front); w != nil {
			up, down, ground = owner.numbers[w.share:], owner.numbers[w.share+w.size:], w.ground
			if ground != 0 {
				return -1
			}
			held := 0
			for k := w.kept; k != 0; k &= k - 1 {
				if up[held] != 0 || down[held] != 0 {
					place = d.top.kept[bits.TrailingZeros32(k)]
					continue search
				}
				held++
			}
			up, down = up[held:], down[held:]
		}
		if ground != 0 {
			return -1
		}
		for j, s := range stays {
			if up[j] != 0 || down[j] != 0 {
				place = s
				continue search
			}
		}
		return place
	}
}

func (d *desk) joined(a, b int32) bool { return d.island(a) == d.island(b) }
