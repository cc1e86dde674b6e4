package rank

import (
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Candidate is a fault with its probability after all readings, and what it predicts of each.
type Candidate struct {
	hypothesis.Hypothesis
	evidence.Account
	Probability float64

	full circuits.Fault // both faults, where two are there at once
	x    *evidence.Weighed
}

// Name is the candidate's fault name without ohms.
func (c Candidate) Name() string { return c.full.WithoutOhms().String() }

// Gone names the fuses that the fault has blown, by the readings.
func (c Candidate) Gone() []string {
	if c.x == nil {
		return nil
	}
	return c.x.Gone()
}

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
	Slips       []Slipped  // what a hand may have done otherwise at readings that the likeliest fault does not explain
	Misread     []float64  // by taken reading: the probability that it is a misreading
	Taken       []int      // index in the job of each taken reading
	Refused     []int      // ohms readings of a live circuit, by index in the job
	Returning   *Returning // codes that nothing there now explains; nil for none
	Fit         float64    // how often a machine like this with the leading fault would lie at least so far off; 0 to 1
	Learned     []evidence.Learned

	w *evidence.Scales
}

// Rank weighs all single faults of a job's circuit against its readings, and pairs of faults where no single one explains
// them.
func Rank(j *circuits.Job) Ranking { return Without(j, evidence.Mechanisms{}) }

// Without is Rank with some mechanisms of the weighing switched off, for tests that want the answers to get worse.
func Without(j *circuits.Job, off evidence.Mechanisms) Ranking {
	w := evidence.NewScales(j, off)
	hs := hypothesis.Hypotheses(j.Circuit, hypothesis.DefaultWeights(), j.Inspections)
	xs := w.WeighAll(hs)
	if unexplained(w, xs) || changed(j) {
		xs = append(xs, pairs(w, hs, xs)...)
	}
	back := returning(w, xs, hs)
	w.Forget()
	r := newRanking(w, xs)
	r.Returning = back
	return r
}

// newRanking turns weighed hypotheses into candidates and groups.
func newRanking(w *evidence.Scales, xs []evidence.Weighed) Ranking {
	j := w.Job()
	r := Ranking{Job: j, Taken: w.Taken(), w: w}
	total := evidence.Total(xs)
	for i := range xs {
		r.Candidates = append(r.Candidates, newCandidate(w, &xs[i], math.Exp(xs[i].LogZ-total)))
	}
	r.Candidates = onePerName(r.Candidates)
	sort.SliceStable(r.Candidates, func(a, b int) bool { return r.Candidates[a].Probability > r.Candidates[b].Probability })
	r.Groups = groups(w, r.Candidates)
	r.Misread = make([]float64, len(r.Taken))
	for i, reading := range r.Taken {
		for _, c := range r.Candidates {
			if c.Fault.Kind != circuits.Unlisted {
				r.Misread[i] += c.Probability * c.Misread[i]
			}
		}
		if r.Misread[i] > 0.5 {
			r.Unexplained = append(r.Unexplained, reading)
		}
	}
	r.Refused = r.refused()
	r.Slips = r.slips()
	r.Fit = 1
	if len(r.Candidates) > 0 {
		r.Fit = w.Fit(r.Candidates[0].x)
	}
	var shares []evidence.Share
	for _, c := range r.Candidates {
		shares = append(shares, evidence.Share{X: c.x, Probability: c.Probability})
	}
	r.Learned = w.Learned(shares)
	return r
}

// newCandidate is a weighed hypothesis with its probability.
func newCandidate(w *evidence.Scales, x *evidence.Weighed, probability float64) Candidate {
	c := Candidate{Hypothesis: x.Hypothesis, Account: w.Account(x), Probability: probability, full: circuits.Fault{First: x.Fault}, x: x}
	if x.Beside != nil {
		c.full = pairOf(w.Job().Circuit, *x.Beside, x.Fault)
	}
	return c
}

// refused are the ohms readings taken with the key on, and those that the leading faults call live.
func (r *Ranking) refused() []int {
	out := append([]int(nil), r.w.KeyOn()...)
	for i, n := range r.Taken {
		if r.Job.Readings[n].Quantity != circuits.Ohms {
			continue
		}
		live := 0.0
		for _, c := range r.Candidates {
			if c.Why[i].Kind == network.Live {
				live += c.Probability
			}
		}
		if live > 0.5 {
			out = append(out, n)
		}
	}
	return out
}
