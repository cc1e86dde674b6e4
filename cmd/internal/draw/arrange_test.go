package draw

import (
	"math"
	"testing"

	"ohmtrail/circuits/library"
)

// TestSwapCostsWhatItChanges changes every two neighbouring blocks of every library circuit over: what the two cost by
// themselves must change by as much as the cost of the whole drawing, counted anew.
func TestSwapCostsWhatItChanges(t *testing.T) {
	swaps := 0
	for _, name := range library.Names() {
		g := cut(build(fromLibrary(t, name)))
		pos := make([]float64, len(g.slots))
		g.orderAsRead(pos)
		var try func(column, first int, b *block)
		try = func(column, first int, b *block) {
			for i, k := range b.kids {
				if i+1 < len(b.kids) {
					upper, lower := k.appendSlots(nil), b.kids[i+1].appendSlots(nil)
					before, own := g.cost(pos), g.costOf(column, upper, lower, pos)
					g.number(column, first, lower, pos)
					g.number(column, first+len(lower), upper, pos)
					b.kids[i], b.kids[i+1] = b.kids[i+1], b.kids[i]
					after, ownAfter := g.cost(pos), g.costOf(column, lower, upper, pos)
					if d := (after - before) - (ownAfter - own); math.Abs(d) > 1e-9 {
						t.Errorf("%s: column %d: the two change by %g, the whole by %g", name, column, ownAfter-own, after-before)
					}
					b.kids[i], b.kids[i+1] = b.kids[i+1], b.kids[i]
					g.number(column, first, upper, pos)
					g.number(column, first+len(upper), lower, pos)
					swaps++
				}
				try(column, first, k)
				first += len(k.appendSlots(nil))
			}
		}
		for k, b := range g.columns {
			try(k, 0, b)
		}
	}
	if swaps < 500 {
		t.Errorf("only %d changes tried", swaps)
	}
}
