package rank

import (
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
)

// PlaceOdds is a place to repair with its probability.
type PlaceOdds struct {
	Place       string
	Probability float64
	Leading     string // the likeliest fault there
}

// Place is what would be repaired if the candidate is true: a terminal with its joint, a wire with its crimps, a part, a
// module. Two ways changed over are one repair at their connector, and a bridge between two ways or wires is cleared at
// both at once.
func (c Candidate) Place() string { return hypothesis.PlaceOf(c.full) }

// Places are the places to repair with their probabilities, likeliest first.
func (r *Ranking) Places() []PlaceOdds {
	index := map[string]int{}
	var out []PlaceOdds
	for _, c := range r.Candidates {
		place := c.Place()
		i, ok := index[place]
		if !ok {
			i = len(out)
			index[place] = i
			out = append(out, PlaceOdds{Place: place, Leading: c.Name()})
		}
		out[i].Probability += c.Probability
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Probability > out[b].Probability })
	return out
}

const (
	// particleMass is the share of all probability that particles stand for, particleFaults the most faults.
	particleMass   = 0.99
	particleFaults = 60
)

// Particles stand for the leading candidates, so that the outcomes of the next reading can be predicted.
func (r *Ranking) Particles() []evidence.Particle {
	var out []evidence.Particle
	mass := 0.0
	for i, c := range r.Candidates {
		if mass > particleMass || i >= particleFaults {
			break
		}
		mass += c.Probability
		if c.Fault.Kind == circuits.Unlisted {
			continue
		}
		out = append(out, r.w.Particles(c.x, i, c.Probability, c.Duty)...)
	}
	return out
}
