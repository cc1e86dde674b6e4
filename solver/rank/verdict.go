package rank

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// Members is how many faults of a group hold its probability, but for the last hundredth, and whether healthy is one of
// them, which is not counted.
func (g Group) Members() (faults int, healthy bool) {
	sum := 0.0
	for i, f := range g.Faults {
		if i > 0 && sum >= 0.99*g.Probability {
			break
		}
		sum += f.Probability
		if f.Fault.Kind == circuits.Healthy {
			healthy = true
		} else {
			faults++
		}
	}
	return faults, healthy
}

// Away tells whether a symptom that comes and goes was never there while somebody measured.
func (r *Ranking) Away() bool {
	if !r.Job.Intermittent || len(r.Taken) == 0 {
		return false
	}
	healthy, ok := r.Find(circuits.Fault{})
	if !ok {
		return false
	}
	for i := range r.Taken {
		if r.w.Moved(i) || math.IsNaN(healthy.Gap[i]) || math.Abs(healthy.Gap[i]) > evidence.Apart {
			return false
		}
	}
	return true
}
