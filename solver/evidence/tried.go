package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
)

// chances are how often the symptom remains, goes or changes after something was done about it.
type chances struct{ remains, gone, changed float64 }

// of is the chance of one result.
func (c chances) of(r circuits.Result) float64 {
	switch r {
	case circuits.ResultGone:
		return c.gone
	case circuits.ResultChanged:
		return c.changed
	}
	return c.remains
}

// What comes of working on a place (ours; that a repair is right nine times in ten is the experience of the trade, no source). A symptom
// that remains divides the odds of a fault at that place by nine, one that goes multiplies them by seventeen, or by three where it comes and
// goes by itself; one that changes speaks for two faults, one of which was there.
var (
	triedThere     = chances{remains: 0.10, gone: 0.85, changed: 0.05}
	triedElsewhere = chances{remains: 0.90, gone: 0.05, changed: 0.05}
	triedMeanwhile = chances{remains: 0.65, gone: 0.30, changed: 0.05} // elsewhere, with a symptom that comes and goes
	triedOneOfTwo  = chances{remains: 0.40, gone: 0.10, changed: 0.50}
	triedUnlisted  = chances{remains: 0.75, gone: 0.10, changed: 0.15}
)

// triedEvidence is the logarithm of what the job's attempts at a repair say of the faults that are there together. To do the same at
// the same place again says nothing new: it fails for the reason for which it failed before.
func (w *Scales) triedEvidence(there ...circuits.Single) float64 {
	type attempt struct {
		at     circuits.Location
		result circuits.Result
	}
	sum, seen := 0.0, map[attempt]bool{}
	for _, t := range w.j.Tried {
		if a := (attempt{t.At, t.Result}); !seen[a] {
			seen[a] = true
			sum += math.Log(w.chancesOf(t.At, there).of(t.Result))
		}
	}
	return sum
}

func (w *Scales) chancesOf(at circuits.Location, there []circuits.Single) chances {
	mended := 0
	for _, f := range there {
		if f.Kind == circuits.Unlisted {
			return triedUnlisted
		}
		if hypothesis.WorkedOn(w.j.Circuit, at, f) {
			mended++
		}
	}
	switch {
	case mended == 0 && w.j.Intermittent:
		return triedMeanwhile
	case mended == 0:
		return triedElsewhere
	case mended < len(there):
		return triedOneOfTwo
	}
	return triedThere
}
