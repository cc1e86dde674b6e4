package rank

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// groups gathers the faults that no reading so far tells apart, each around its likeliest member.
func groups(w *evidence.Scales, sorted []Candidate) []Group {
	var out []Group
	for _, c := range sorted {
		placed := false
		for g := range out {
			if w.Alike(&out[g].Faults[0].Account, &c.Account) && listed(&out[g].Faults[0]) && listed(&c) {
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

// listed tells whether a candidate is a fault that a hypothesis describes.
func listed(c *Candidate) bool { return c.Fault.Kind != circuits.Unlisted }

func sortGroups(gs []Group) {
	for i := 1; i < len(gs); i++ {
		for j := i; j > 0 && gs[j].Probability > gs[j-1].Probability; j-- {
			gs[j], gs[j-1] = gs[j-1], gs[j]
		}
	}
}
