package rank

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
)

// Returning is what codes say that are set although nothing that is there now explains them beside the readings: a fault
// that comes and goes.
type Returning struct {
	Codes       []string
	Probability float64     // that the symptom comes and goes, against a fault (or none) that stays as it is
	Faults      []Candidate // the likeliest if it does, weighed as such; one for each place, at most three
}

// returningShare is the share of intermittent faults among those of a harness beforehand (ours; a connector way has .15).
const returningShare = 0.15

// returning weighs a job anew as one whose symptom comes and goes, where its codes are not set by what leads. nil where
// the codes are explained, where there are none, and where the job says itself that its symptom comes and goes.
func returning(w *evidence.Scales, xs []evidence.Weighed, hs []hypothesis.Hypothesis) *Returning {
	if w.Job().Intermittent || len(w.Codes()) == 0 || len(w.Taken()) == 0 {
		return nil
	}
	codes := w.NotSet(xs)
	if len(codes) == 0 {
		return nil
	}
	in, ys := w.AsComesAndGoes(hs)
	odds := math.Exp(min(evidence.Total(ys)-evidence.Total(xs), 50)) * returningShare / (1 - returningShare)
	r := &Returning{Codes: codes, Probability: odds / (1 + odds)}
	places := map[hypothesis.Place]bool{}
	for _, c := range newRanking(in, ys).Candidates {
		if len(r.Faults) == 3 {
			break
		}
		if c.Fault.Kind == circuits.Healthy || c.Fault.Kind == circuits.Unlisted || places[c.Place()] {
			continue
		}
		places[c.Place()] = true
		r.Faults = append(r.Faults, c)
	}
	return r
}
