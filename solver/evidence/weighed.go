package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Weighed is a hypothesis with its cells.
type Weighed struct {
	hypothesis.Hypothesis
	extra    float64          // logarithm of what hand-moved places say
	Unfelt   bool             // no reading feels the fault
	faint    bool             // none feels more than little of it
	Beside   *circuits.Single // the fault that is there as well; nil for a single fault
	in       *Scales          // likewise: what it was weighed in
	straight bool             // the machine's numbers do nothing that bends the laws of the readings
	duty     float64          // of an intermittent fault: the share of the time for which it is there
	felt     []float64        // likewise, by observation: the share in which it would move the value; nil where none is felt
	cells    []cell
	LogZ     float64 // logarithm of the evidence, prior and extra included
	why      []network.Reason
	overs    []bool // by observation: predicted beyond the meter's range
}

// total is the logarithm of a hypothesis's likelihood over its strips.
func (x *Weighed) total() float64 {
	sum := math.Inf(-1)
	for _, c := range x.cells {
		sum = logAdd(sum, c.logPrior+c.logL)
	}
	return sum
}

// conclude adds up a hypothesis's cells and what speaks for its place.
func (w *Scales) conclude(x *Weighed) {
	x.extra = w.placeEvidence(x) + w.triedEvidence(append(w.there, x.Fault)...)
	x.LogZ = math.Inf(-1)
	for _, c := range x.cells {
		x.LogZ = logAdd(x.LogZ, c.logPrior+c.logL)
	}
	x.LogZ += math.Log(x.Prior) + x.extra
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// likeliest is the strip under which the readings are likeliest, whatever its width.
func (x *Weighed) likeliest() cell {
	best := x.cells[0]
	for _, c := range x.cells {
		if c.logL > best.logL {
			best = c
		}
	}
	return best
}

// share is the logarithm of how much of a fault's unknown ohms suits the readings: what its integral over all strips is
// less than its best strip. A fault built in with its best ohms owes it, or two faults would beat one by a parameter that
// nobody pays for.
func (x *Weighed) share() float64 { return x.total() - x.likeliest().logL }

// bestCell is the strip of a hypothesis that fits best.
func (x *Weighed) bestCell() cell {
	best := x.cells[0]
	for _, c := range x.cells {
		if c.logPrior+c.logL > best.logPrior+best.logL {
			best = c
		}
	}
	return best
}

// Total is the logarithm of the evidence of all hypotheses together.
func Total(xs []Weighed) float64 {
	total := math.Inf(-1)
	for i := range xs {
		total = logAdd(total, xs[i].LogZ)
	}
	return total
}
