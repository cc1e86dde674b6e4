package reason

import (
	"math"
	"sort"

	"ohmtrail/circuits"
)

// Ohms is what the readings say of a fault's resistance: its likeliest value and the bounds of the middle 90 %.
type Ohms struct{ Best, Low, High float64 }

// Candidate is a fault with its probability after all readings.
type Candidate struct {
	Hypothesis
	Probability float64
	Ohms        *Ohms     // nil for a fault without ohms
	Predicts    []float64 // by taken reading, in the job's order: the mean predicted; NaN where there is no value
	High        []float64 // likewise: the upper end predicted for a reading that moved; NaN for any other
	Duty        float64   // of an intermittent fault: the share of the time for which it is there; 0 where the job does not say so
	Why         []string  // likewise: why there is no value
	Over        []bool    // likewise: beyond the meter's range
	Misread     []float64 // likewise: the share in which this fault must take the reading for a misreading
	Gap         []float64 // likewise: (read − predicted) in standard deviations; NaN where there is no value

	full     circuits.Fault // both faults, where two are there at once
	w        *weigher       // what it was weighed in: for a pair, with the other fault built in
	evidence float64        // what the place itself says, as a logarithm

	likelihood float64 // the logarithm of all evidence, without the prior
	x          *weighed
}

// Name is the candidate's fault name without ohms.
func (c Candidate) Name() string { return c.full.WithoutOhms().String() }

// Whole is the candidate's fault, of one or two singles.
func (c Candidate) Whole() circuits.Fault { return c.full }

// Group is the faults that no reading so far tells apart.
type Group struct {
	Probability float64
	Faults      []Candidate // likeliest first
}

// Ranking is what the readings of a job come to.
type Ranking struct {
	Job         *circuits.Job
	Groups      []Group // likeliest first; probabilities over all groups sum to 1
	Candidates  []Candidate
	Unexplained []int      // readings, by index in the job, that must be taken for misreadings
	Misread     []float64  // by taken reading: the probability that it is a misreading
	Taken       []int      // index in the job of each taken reading
	Refused     []int      // ohms readings of a live circuit, by index in the job
	Returning   *Returning // codes that nothing there now explains; nil for none
	Verdict     string

	w *weigher
}

// Rank weighs all single faults of a job's circuit against its readings, and pairs of faults where no single one explains
// them.
func Rank(j *circuits.Job) Ranking { return rankWithout(j, mechanisms{}) }

// rankWithout is Rank with some of its mechanisms switched off.
func rankWithout(j *circuits.Job, off mechanisms) Ranking {
	w := newWeigher(j)
	w.off = off
	hs := Hypotheses(j.Circuit, DefaultWeights(), j.Inspections)
	xs := w.weighAll(hs)
	if w.unexplained(xs) {
		xs = append(xs, w.pairs(hs, xs)...)
	}
	returning := w.returning(xs, hs)
	w.forget()
	r := w.rank(xs)
	r.Returning = returning
	r.Verdict = r.verdict()
	return r
}

// rank turns weighed hypotheses into candidates and groups.
func (w *weigher) rank(xs []weighed) Ranking {
	r := Ranking{Job: w.j, w: w}
	for _, o := range w.obs {
		r.Taken = append(r.Taken, o.reading)
	}
	total := math.Inf(-1)
	for _, x := range xs {
		total = logAdd(total, x.logZ)
	}
	for i := range xs {
		r.Candidates = append(r.Candidates, w.candidate(&xs[i], math.Exp(xs[i].logZ-total)))
	}
	r.Candidates = onePerName(r.Candidates)
	sort.SliceStable(r.Candidates, func(a, b int) bool { return r.Candidates[a].Probability > r.Candidates[b].Probability })
	r.Groups = w.groups(r.Candidates)
	r.Misread = make([]float64, len(w.obs))
	for i := range w.obs {
		for _, c := range r.Candidates {
			if c.Fault.Kind != circuits.Unlisted {
				r.Misread[i] += c.Probability * c.Misread[i]
			}
		}
		if r.Misread[i] > 0.5 {
			r.Unexplained = append(r.Unexplained, w.obs[i].reading)
		}
	}
	r.Refused = w.refused(r.Candidates)
	return r
}

func (w *weigher) candidate(x *weighed, probability float64) Candidate {
	n := len(w.obs)
	c := Candidate{Hypothesis: x.h, Probability: probability, Predicts: make([]float64, n), High: make([]float64, n), Duty: x.duty, Misread: make([]float64, n), Gap: make([]float64, n),
		Why: x.why, Over: x.overs, full: circuits.Fault{First: x.h.Fault}, evidence: x.extra, likelihood: x.total() + x.extra, x: x, w: w}
	if x.beside != nil {
		c.w = x.in
		c.full = w.pairOf(*x.beside, x.h.Fault)
	}
	if w.j.Intermittent && c.Duty == 0 { // no reading feels it
		c.Duty = meanDuty()
	}
	if c.Why == nil {
		c.Why, c.Over = make([]string, n), make([]bool, n)
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
			if o := &w.obs[i]; o.pair {
				c.Predicts[i], c.High[i] = o.ends(c.Predicts[i], x.cells[0].high, i)
			}
			c.Gap[i] = w.obs[i].gap(c.Predicts[i], c.High[i])
			if (w.obs[i].pair || w.j.Intermittent) && c.Misread[i] < 0.5 {
				// These are weighed one by one, with their tolerances: what was taken at its word lies within them.
				c.Gap[i] = min(max(c.Gap[i], -apart), apart)
			}
		}
	}
	if x.h.Fault.Kind.TakesOhms() {
		c.Ohms = ohmsOf(x.cells, total)
	}
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
	return o
}

// refused are the ohms readings taken with the key on, and those that the leading faults call live.
func (w *weigher) refused(candidates []Candidate) []int {
	out := append([]int(nil), w.keyOn...)
	for i, o := range w.obs {
		if o.quantity != circuits.Ohms {
			continue
		}
		live := 0.0
		for _, c := range candidates {
			if len(c.Why[i]) > 4 && c.Why[i][:4] == "live" {
				live += c.Probability
			}
		}
		if live > 0.5 {
			out = append(out, o.reading)
		}
	}
	return out
}
