package evidence

import (
	"math"
	"sort"

	"ohmtrail/circuits"
)

const (
	// refineShare is the share of a hypothesis above which a strip is cut finer, while a prediction changes by more than
	// refineBend of its own standard deviations across it.
	refineShare = 0.03
	refineBend  = 2
	refineParts = 3
	// coarseGap is how far below the evidence of all hypotheses together, in logarithm, a hypothesis's may be before its strips stay
	// coarse.
	coarseGap   = 7
	refineDepth = 6
	// refineAtOnce is the most strips cut at a time: after each round a hypothesis that has fallen behind is left alone.
	refineAtOnce = 4
)

// refine cuts the strips that hold much of the hypothesis and predict too different readings at their ends.
func (b *bench) refine(x *Weighed) bool {
	total := x.total()
	if b.w.off.Position || b.prior+total < b.w.whole-b.w.coarse {
		return false
	}
	worth := b.worthSplitting(x.cells, total)
	if len(worth) == 0 {
		return false
	}
	out := make([]cell, 0, len(x.cells)+(refineParts-1)*len(worth))
	for i, c := range x.cells {
		if !worth[i] {
			out = append(out, c)
			continue
		}
		for _, part := range c.split(refineParts) {
			b.evaluate(x.Fault, &part)
			out = append(out, part)
		}
	}
	x.cells = out
	return true
}

// worthSplitting picks the strips to cut: those that hold most, or lie beside one that does (a peak between two middles
// shows in neither alone), and predict too different readings at their ends.
func (b *bench) worthSplitting(cells []cell, total float64) map[int]bool {
	type share struct {
		at   int
		near float64
	}
	var shares []share
	for i, c := range cells {
		near := c.logPrior + c.logL
		for _, k := range []int{i - 1, i + 1} {
			if k >= 0 && k < len(cells) {
				near = max(near, cells[k].logPrior+cells[k].logL-2)
			}
		}
		if near-total >= math.Log(refineShare) && c.bend >= refineBend && c.width > 0 {
			shares = append(shares, share{i, near})
		}
	}
	sort.SliceStable(shares, func(i, j int) bool { return shares[i].near > shares[j].near })
	worth := map[int]bool{}
	for _, s := range shares[:min(len(shares), refineAtOnce)] {
		worth[s.at] = true
	}
	return worth
}

// followed tells whether a hypothesis is near enough to the best one, by its straight laws, for what is unknown to be followed.
func (w *Scales) followed(x *Weighed, logL float64) bool {
	return !x.faint && !w.j.Intermittent && x.Fault.Kind != circuits.Healthy && x.Fault.Kind != circuits.Unlisted &&
		math.Log(x.Prior)+logL > w.best-followGap*w.coarse
}

// followGap is how far below the best evidence a strip's may be, by its straight laws, to be followed, in coarse gaps.
const followGap = 2

// exact weighs those strips of a hypothesis again that are near the best evidence, with all that is unknown where the readings put it.
func (b *bench) exact(x *Weighed) {
	b.begin(x)
	b.straight = true
	for i := range x.cells {
		if c := &x.cells[i]; b.w.followed(x, c.logL) {
			b.evaluate(x.Fault, c)
		}
	}
	b.straight = false
	best := 0
	for i := range x.cells {
		if x.cells[i].logPrior+x.cells[i].logL > x.cells[best].logPrior+x.cells[best].logL {
			best = i
		}
	}
	before := x.cells[best].logL
	if b.evaluate(x.Fault, &x.cells[best]); math.Abs(x.cells[best].logL-before) < straightLaws {
		x.straight = true // what holds where it fits best holds for the other strips
		return
	}
	for i := range x.cells {
		if c := &x.cells[i]; i != best && b.w.followed(x, c.logL) {
			b.evaluate(x.Fault, c)
		}
	}
}

// straightLaws is how much, in logarithm, the best strip's evidence may change by its laws being looked at, for those of the others to
// be believed.
const straightLaws = 0.3
