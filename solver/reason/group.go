package reason

import (
	"math"

	"ohmtrail/circuits"
)

const (
	// apart is the gap between two faults' predictions, in standard deviations of the reading, from which on a reading
	// tells them apart.
	apart = 3
	// apartEvidence is the logarithm of odds from which on a hand-moved place tells two faults apart.
	apartEvidence = 2
)

// groups gathers the faults that no reading so far tells apart, each around its likeliest member.
func (w *weigher) groups(sorted []Candidate) []Group {
	var out []Group
	for _, c := range sorted {
		placed := false
		for g := range out {
			if w.alike(&out[g].Faults[0], &c) {
				out[g].Faults = append(out[g].Faults, c)
				out[g].Probability += c.Probability
				placed = true
				break
			}
		}
		if !placed {
			out = append(out, Group{Probability: c.Probability, Faults: []Candidate{c}})
		}
	}
	sortGroups(out)
	return out
}

func sortGroups(gs []Group) {
	for i := 1; i < len(gs); i++ {
		for j := i; j > 0 && gs[j].Probability > gs[j-1].Probability; j-- {
			gs[j], gs[j-1] = gs[j-1], gs[j]
		}
	}
}

// alike tells whether no reading tells two faults apart.
func (w *weigher) alike(a, b *Candidate) bool {
	if a.Fault.Kind == circuits.Unlisted || b.Fault.Kind == circuits.Unlisted {
		return false
	}
	if math.Abs(a.evidence-b.evidence) > apartEvidence {
		return false
	}
	if w.j.Intermittent {
		return math.Abs(a.likelihood-b.likelihood) < apart*apart/2 // what each predicts is healthy and faulty by turns
	}
	for i := range w.obs {
		x, y := a.Predicts[i], b.Predicts[i]
		if w.obs[i].pair && math.Abs(a.High[i]-b.High[i]) > apart*w.obs[i].sigmaHigh*math.Sqrt2 {
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
		if math.Abs(x-y) > apart*w.obs[i].sigma*math.Sqrt2 {
			return false
		}
	}
	return true
}
