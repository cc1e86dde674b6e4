package draw

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

const (
	sweeps           = 16
	swapPasses       = 12
	shuffles         = 8
	slotsForSearches = 600 // beyond this one search is made; the drawing stays valid, with more crossings
)

// arrange chooses the order in every column so that few wires cross: sweeps that put each block at the mean place of
// its neighbours in the column before, then swaps of neighbours for as long as they pay.
func (g *grid) arrange() {
	pos := make([]float64, len(g.slots))
	g.orderAsRead(pos)
	start := g.snapshot()
	best, cost := start, g.cost(pos)
	keep := func() {
		if k := g.cost(pos); k < cost-1e-9 {
			best, cost = g.snapshot(), k
		}
	}
	searches := []search{{}}
	if len(g.slots) <= slotsForSearches {
		searches = append(searches, search{upwards: true}, search{fromRight: true}, search{fromRight: true, upwards: true})
		for i := range shuffles {
			searches = append(searches, search{shuffle: uint64(i + 1), upwards: i%2 == 1})
		}
	}
	for _, s := range searches {
		g.restore(start, pos)
		start = g.snapshot()
		if s.shuffle != 0 {
			random := rand.New(rand.NewPCG(s.shuffle, 0)) // a fixed seed: the same circuit, the same drawing
			for k, b := range g.columns {
				random.Shuffle(len(b.kids), func(i, j int) { b.kids[i], b.kids[j] = b.kids[j], b.kids[i] })
				g.renumber(k, pos)
			}
		}
		for i := range 2 * sweeps {
			if (i%2 == 0) != s.fromRight {
				for k := 1; k < len(g.columns); k++ {
					g.sortColumn(k, west, s.upwards, pos)
				}
			} else {
				for k := len(g.columns) - 2; k >= 0; k-- {
					g.sortColumn(k, east, s.upwards, pos)
				}
			}
			keep()
		}
		for pass, improved := 0, true; improved && pass < swapPasses; pass++ {
			improved = false
			for k := range g.columns {
				improved = g.swap(k, 0, g.columns[k], pos) || improved
			}
		}
		keep()
	}
	g.restore(best, pos)
	if g.readsUpwards(pos) {
		for _, b := range g.columns {
			b.mirror()
		}
	}
}

// readsUpwards tells whether the runs that the file names first stand lower than the last ones. A mirrored drawing has
// as many crossings, so the one that begins where the file begins is the better one.
func (g *grid) readsUpwards(pos []float64) bool {
	sum := 0.0
	for s := range g.slots {
		for _, l := range g.legAt[s] {
			if l != none {
				sum += (pos[s] - 0.5) * (float64(g.legs[l].strand) - float64(len(g.strands)-1)/2)
			}
		}
	}
	return sum < 0
}

func (b *block) mirror() {
	slices.Reverse(b.kids)
	for _, k := range b.kids {
		k.mirror()
	}
}

// search says how one of the searches for an order goes about it: which way it sweeps first, and whether of two blocks
// that want the same place the one that stood lower comes first.
type search struct {
	fromRight, upwards bool
	shuffle            uint64 // begins from this shuffle of the order as read; 0 for none
}

// orderAsRead starts from the order in which the runs name things.
func (g *grid) orderAsRead(pos []float64) {
	first := make([]float64, len(g.slots))
	for s := range g.slots {
		first[s] = float64(len(g.strands))
		for _, l := range g.legAt[s] {
			if l != none {
				first[s] = min(first[s], float64(g.legs[l].strand))
			}
		}
	}
	for k, b := range g.columns {
		b.sortBy(first, false)
		g.renumber(k, pos)
	}
}

// renumber sets the positions of a column's slots, spread over 0 to 1 so that columns of different length compare.
func (g *grid) renumber(column int, pos []float64) { g.number(column, 0, g.order(column), pos) }

// number sets the positions of slots that follow each other in a column from a place on.
func (g *grid) number(column, first int, slots []int, pos []float64) {
	for i, s := range slots {
		pos[s] = (float64(first+i) + 0.5) / float64(g.size[column])
	}
}

// sortColumn puts each block of a column at the mean position of what its slots are joined to on one face.
func (g *grid) sortColumn(column int, f face, upwards bool, pos []float64) {
	want := make([]float64, len(g.slots))
	for _, s := range g.order(column) {
		want[s] = pos[s]
		if l := g.legAt[s][f]; l != none {
			want[s] = pos[g.farSlot(l, s)]
		}
	}
	g.columns[column].sortBy(want, upwards)
	g.renumber(column, pos)
}

// sortBy sorts the kids of a block, and theirs, by the mean of their slots' values.
func (b *block) sortBy(value []float64, upwards bool) {
	if upwards {
		slices.Reverse(b.kids) // the sort is stable, so this decides ties
	}
	means := map[*block]float64{}
	for _, k := range b.kids {
		k.sortBy(value, upwards)
		slots := k.appendSlots(nil)
		for _, s := range slots {
			means[k] += value[s] / float64(len(slots))
		}
	}
	slices.SortStableFunc(b.kids, func(p, q *block) int { return cmp.Compare(math.Round(means[p]*1e9), math.Round(means[q]*1e9)) })
}

// swap tries each pair of neighbours within a block and its kids and keeps what lowers the cost; first is the block's
// first place in its column.
func (g *grid) swap(column, first int, b *block, pos []float64) (improved bool) {
	lots := make([][]int, len(b.kids))
	for i, k := range b.kids {
		lots[i] = k.appendSlots(nil)
	}
	at := first
	for i := 0; i+1 < len(b.kids); i++ {
		upper, lower := lots[i], lots[i+1]
		before := g.costOf(column, upper, lower, pos)
		g.number(column, at, lower, pos)
		g.number(column, at+len(lower), upper, pos)
		if g.costOf(column, lower, upper, pos) < before-1e-9 {
			b.kids[i], b.kids[i+1] = b.kids[i+1], b.kids[i]
			lots[i], lots[i+1] = lower, upper
			improved = true
		} else {
			g.number(column, at, upper, pos)
			g.number(column, at+len(upper), lower, pos)
		}
		at += len(lots[i])
	}
	at = first
	for i, k := range b.kids {
		improved = g.swap(column, at, k, pos) || improved
		at += len(lots[i])
	}
	return improved
}

// farSlot is where a leg at a slot leads.
func (g *grid) farSlot(l, s int) int {
	if far := g.legs[l].from.slot; far != s {
		return far
	}
	return g.legs[l].to.slot
}

// snapshot copies the order of all columns.
func (g *grid) snapshot() []*block {
	out := make([]*block, len(g.columns))
	for k, b := range g.columns {
		out[k] = b.clone()
	}
	return out
}

func (b *block) clone() *block {
	c := &block{slot: b.slot}
	for _, k := range b.kids {
		c.kids = append(c.kids, k.clone())
	}
	return c
}

func (g *grid) restore(columns []*block, pos []float64) {
	g.columns = columns
	for k := range columns {
		g.renumber(k, pos)
	}
}
