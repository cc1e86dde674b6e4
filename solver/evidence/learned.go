package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Learned is what the readings tell of one of the machine's own numbers.
type Learned struct {
	What      string // place and key, as in "ECU:A12 pull_up_ohms"
	Parameter network.Parameter
	Nominal   float64
	Low, High float64 // 95 %
}

// Share is a hypothesis with its probability.
type Share struct {
	X           *Weighed
	Probability float64
}

const (
	// learnedShare is how much narrower than before a number must be for it to count as learned (format.md, section 5).
	learnedShare = 0.5
	// learnedFrom is how many hypotheses are asked, and up to which share of the whole.
	learnedFrom = 12
	learnedMass = 0.95
)

// Learned is what the readings of this machine tell of its modules, parts and battery, over the hypotheses that they leave:
// the numbers that are known to less than half of what was known before.
func (w *Scales) Learned(shares []Share) []Learned {
	if w.j.Intermittent || len(w.obs) == 0 {
		return nil
	}
	n := len(w.parameters)
	mean, square, whole := make([]float64, n), make([]float64, n), 0.0
	for i, s := range shares {
		if i == learnedFrom || whole > learnedMass {
			break
		}
		if s.X.Fault.Kind == circuits.Unlisted || s.X.in != nil {
			continue
		}
		l := w.layOut(s.X)
		whole += s.Probability
		for q := range n {
			m, sd := l.ofParameter(q)
			mean[q] += s.Probability * m
			square[q] += s.Probability * (m*m + sd*sd)
		}
	}
	if whole < learnedShare {
		return nil
	}
	var out []Learned
	for q, p := range w.parameters {
		if p.Kind != network.Inside && p.Place != circuits.BPositive {
			continue
		}
		m := mean[q] / whole
		sd := math.Sqrt(max(square[q]/whole-m*m, 0))
		if sd > learnedShare {
			continue
		}
		middle := m + w.offset[q]
		out = append(out, Learned{What: p.Name(), Parameter: p, Nominal: p.Nominal, Low: p.Moved(p.Nominal, middle-2*sd), High: p.Moved(p.Nominal, middle+2*sd)})
	}
	return out
}

// layOut lays a hypothesis at its best strip to the readings.
func (w *Scales) layOut(x *Weighed) *laid {
	b := newBench(w)
	b.exactly = true
	c := x.bestCell()
	f := c.placed(x.Fault)
	b.place(f)
	b.strip(f, &c)
	return &b.laid
}

// ofParameter is where the believed readings put one of the machine's numbers, in standard deviations from its mean, and how well.
func (l *laid) ofParameter(q int) (mean, sd float64) {
	n, left := len(l.members), 1.0
	by := make([]float64, n)
	for x := range n {
		by[x] = l.rows[x].of(q)
		mean += by[x] * l.joint.pull[x]
	}
	for x := range n {
		for y := range n {
			left -= by[x] * l.joint.precision[x*n+y] * by[y]
		}
	}
	return mean, math.Sqrt(max(left, 0))
}

// Fit is how often a machine like this with that fault would lie at least so far off all readings together: the upper tail of
// the chi-squared distribution at the squared distance of the readings that are believed. It is 1 where nothing can be said.
func (w *Scales) Fit(x *Weighed) float64 {
	if x.in != nil {
		w = x.in
	}
	if w.j.Intermittent || len(w.obs) == 0 || x.Fault.Kind == circuits.Unlisted {
		return 1
	}
	l := w.layOut(x)
	if l.count == 0 {
		return 1
	}
	return distuv.ChiSquared{K: float64(l.count)}.Survival(max(l.squares, 0))
}
