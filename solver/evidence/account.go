package evidence

import (
	"math"

	"ohmtrail/solver/network"
)

// Ohms is what the readings say of a fault's resistance: its likeliest value and the bounds of the middle 90 %.
type Ohms struct{ Best, Low, High float64 }

// Account is what a weighed fault predicts of each taken reading, in the job's order, and what the readings say of the
// fault.
type Account struct {
	Ohms     *Ohms            // nil for a fault without ohms
	Predicts []float64        // by taken reading: the mean predicted; NaN where there is no value
	High     []float64        // likewise: the upper end predicted for a reading that moved; NaN for any other
	Duty     float64          // of an intermittent fault: the share of the time for which it is there; 0 where the job does not say so
	Why      []network.Reason // likewise: why there is no value
	Over     []bool           // likewise: beyond the meter's range
	Misread  []float64        // likewise: the share in which this fault must take the reading for a misreading
	Gap      []float64        // likewise: (read − predicted) in standard deviations; NaN where there is no value

	moved      float64 // what the places moved by hand say, as a logarithm
	likelihood float64 // the logarithm of all evidence, without the prior
}

// Account sums up what a weighed fault predicts.
func (w *Scales) Account(x *Weighed) Account {
	n := len(w.obs)
	c := Account{Predicts: make([]float64, n), High: make([]float64, n), Duty: x.duty, Misread: make([]float64, n), Gap: make([]float64, n),
		Why: x.why, Over: x.overs, moved: x.extra, likelihood: x.total() + x.extra}
	if w.j.Intermittent && c.Duty == 0 { // no reading feels it
		c.Duty = meanDuty()
	}
	if c.Why == nil {
		c.Why, c.Over = make([]network.Reason, n), make([]bool, n)
	}
	total := math.Inf(-1)
	for _, s := range x.cells {
		total = logAdd(total, s.logPrior+s.logL)
	}
	for i := range n {
		for _, s := range x.cells {
			c.Misread[i] += math.Exp(s.logPrior+s.logL-total) * s.miss[i]
		}
		// What the fault predicts is said where the reading is taken at its word, unless it cannot be.
		weight, mean := 0.0, 0.0
		for _, s := range x.cells {
			share := math.Exp(s.logPrior + s.logL - total)
			if c.Misread[i] < 0.5 {
				share *= 1 - s.miss[i]
			}
			if !math.IsNaN(s.mean[i]) {
				weight += share
				mean += share * s.mean[i]
			}
		}
		c.Predicts[i], c.Gap[i], c.High[i] = math.NaN(), math.NaN(), math.NaN()
		if weight > 0.45 {
			c.Predicts[i] = mean / weight
			if o := &w.obs[i]; o.step > 0 { // no converter shows a value beyond its ends
				c.Predicts[i] = min(max(c.Predicts[i], o.reported[0]), o.reported[1])
			}
			if o := &w.obs[i]; o.pair {
				c.Predicts[i], c.High[i] = o.ends(c.Predicts[i], x.cells[0].high, i)
			}
			c.Gap[i] = w.obs[i].gap(c.Predicts[i], c.High[i])
			if (w.obs[i].pair || w.j.Intermittent) && c.Misread[i] < 0.5 {
				// These are weighed one by one, with their tolerances: what was taken at its word lies within them.
				c.Gap[i] = min(max(c.Gap[i], -Apart), Apart)
			}
		}
	}
	if x.Fault.Kind.TakesOhms() {
		c.Ohms = ohmsOf(x.cells, total)
	}
	w.foldEnds(&c)
	return c
}

// ohmsOf sums a fault's strips up: the middle of the likeliest by density, and the bounds of the middle 90 %.
func ohmsOf(cells []cell, total float64) *Ohms {
	o := &Ohms{}
	best, sum := math.Inf(-1), 0.0
	o.Low, o.High = math.NaN(), math.NaN()
	for _, c := range cells {
		density := c.logPrior + c.logL - math.Log(c.width)
		if density > best {
			best, o.Best = density, math.Exp(c.logOhms)
		}
		before := sum
		sum += math.Exp(c.logPrior + c.logL - total)
		if before <= 0.05 && sum > 0.05 {
			o.Low = math.Exp(c.logOhms - c.width/2 + c.width*(0.05-before)/(sum-before))
		}
		if before <= 0.95 && sum > 0.95 {
			o.High = math.Exp(c.logOhms - c.width/2 + c.width*(0.95-before)/(sum-before))
		}
	}
	o.Best = min(max(o.Best, o.Low), o.High) // the likeliest of a skewed curve may lie outside its middle
	return o
}

// groupEvidence is the logarithm of the odds by which all readings together may favour one of two faults that no single
// reading tells apart: tenfold. With the machine's own numbers in play every fault's predictions drift to the readings, and
// what speaks against it is what those numbers would have to be.
const groupEvidence = 2.3

// Alike tells whether no reading tells two faults apart, by their accounts.
func (w *Scales) Alike(a, b *Account) bool {
	if math.Abs(a.moved-b.moved) > apartEvidence {
		return false
	}
	if w.j.Intermittent {
		return math.Abs(a.likelihood-b.likelihood) < Apart*Apart/2 // what each predicts is healthy and faulty by turns
	}
	// Faults that are both out of the question are compared by what they predict: how far out they are was not followed to the end.
	if max(a.likelihood, b.likelihood) > w.best-w.hopeless && math.Abs(a.likelihood-b.likelihood) > groupEvidence {
		return false
	}
	for i := range w.taken {
		x, y := a.Predicts[i], b.Predicts[i]
		if (w.obs[i].pair || w.obs[i].twin >= 0) && math.Abs(a.High[i]-b.High[i]) > Apart*w.obs[i].sigmaHigh*math.Sqrt2 {
			return false
		}
		if math.IsNaN(x) != math.IsNaN(y) {
			return false
		}
		if math.IsNaN(x) {
			if a.Why[i] != b.Why[i] || a.Over[i] != b.Over[i] {
				return false
			}
			continue
		}
		if math.Abs(x-y) > Apart*w.obs[i].sigma*math.Sqrt2 {
			return false
		}
	}
	return true
}

const (
	// Apart is the gap between two faults' predictions, in standard deviations of the reading, from which on a reading
	// tells them apart.
	Apart = 3
	// apartEvidence is the logarithm of odds from which on a hand-moved place tells two faults apart.
	apartEvidence = 2
)
