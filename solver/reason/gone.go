package reason

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
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
func (w *weigher) returning(xs []weighed, hs []Hypothesis) *Returning {
	if w.j.Intermittent || len(w.codes) == 0 || len(w.obs) == 0 {
		return nil
	}
	stays := math.Inf(-1)
	for i := range xs {
		stays = logAdd(stays, xs[i].logZ)
	}
	var codes []string
	for i := range w.codes {
		if w.sets(&w.codes[i], xs, stays) < 0.5 {
			codes = append(codes, w.codes[i].code)
		}
	}
	if len(codes) == 0 {
		return nil
	}
	j := *w.j
	j.Intermittent = true
	in := newWeigher(&j)
	in.off = w.off
	ys := in.weighAll(hs)
	in.forget()
	comes := math.Inf(-1)
	for i := range ys {
		comes = logAdd(comes, ys[i].logZ)
	}
	odds := math.Exp(min(comes-stays, 50)) * returningShare / (1 - returningShare)
	r := &Returning{Codes: codes, Probability: odds / (1 + odds)}
	places := map[string]bool{}
	for _, c := range in.rank(ys).Candidates {
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

// sets is the share of the odds whose faults set a code as they stand.
func (w *weigher) sets(v *codeView, xs []weighed, total float64) float64 {
	sum := 0.0
	var p network.Prediction
	for i := range xs {
		x := &xs[i]
		share := math.Exp(x.logZ - total)
		if share < 1e-3 || x.h.Fault.Kind == circuits.Unlisted || x.beside != nil {
			if x.beside != nil {
				sum += share // two faults are only weighed where one alone does not explain: taken at their word
			}
			continue
		}
		sum += share * v.chance(x.h.Fault, math.Exp(x.bestCell().logOhms), w, &p)
	}
	return sum
}

// words say what codes without a cause now mean.
func (r *Returning) words() string {
	is, them := "is", "it"
	if len(r.Codes) > 1 {
		is, them = "are", "them"
	}
	text := fmt.Sprintf("%s %s set, and nothing that is there now sets %s beside these readings: ", strings.Join(r.Codes, ", "), is, them)
	if r.Probability < 0.5 {
		return text + "an old code, or a fault that comes and goes; clear it and see whether it returns"
	}
	var places []string
	for _, c := range r.Faults {
		places = append(places, c.Name())
	}
	return text + fmt.Sprintf("evidence of a fault that comes and goes and was beyond the limit then; weighed so the likeliest are %s. Write intermittent = true on top of the job, and move the harness section by section",
		strings.Join(places, ", "))
}
