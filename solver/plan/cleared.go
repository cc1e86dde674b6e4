package plan

import (
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// Cleared are at most two leading places that an outcome would clear: of those with a tenth of the odds or more now, the
// ones of which next to nothing is left then.
func (b OutcomeBand) Cleared(r *rank.Ranking) []hypothesis.Place {
	sum := 0.0
	for _, w := range b.repair {
		sum += w
	}
	left := map[hypothesis.Place]float64{}
	for i, place := range newPlaceIndex(r).places {
		left[place] = b.repair[i] / sum
	}
	var good []hypothesis.Place
	for _, p := range r.Places() {
		if p.Probability < 0.1 {
			break
		}
		if p.Place.Known() && left[p.Place] < 0.02 && len(good) < 2 {
			good = append(good, p.Place)
		}
	}
	return good
}
