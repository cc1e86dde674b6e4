package rank

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// Confirmed tells whether a direct reading (unplugged, joined, by ohms, or a drop) has been taken that the leading place
// explains and a healthy circuit does not.
func (r *Ranking) Confirmed() bool {
	if len(r.Candidates) == 0 {
		return false
	}
	lead := r.Candidates[0]
	if lead.Fault.Kind == circuits.Healthy || lead.Fault.Kind == circuits.Unlisted {
		return false
	}
	healthy, ok := r.Find(circuits.Fault{})
	if !ok {
		return false
	}
	for i, n := range r.Taken {
		reading := r.Job.Readings[n]
		explained := math.Abs(lead.Gap[i]) < evidence.Apart || math.IsNaN(lead.Gap[i]) && lead.Misread[i] < 0.5
		wouldNot := math.Abs(healthy.Gap[i]) > 2*evidence.Apart || math.IsNaN(healthy.Gap[i]) && !(reading.OL && !reading.Pair) && healthy.Misread[i] > 0.5
		direct := !reading.Sound && (len(reading.State.Jumpers) > 0 || len(reading.State.Unplugged) > 0 || reading.Quantity == circuits.Ohms || reading.To != circuits.BNegative)
		if explained && wouldNot && direct {
			return true
		}
	}
	return false
}
