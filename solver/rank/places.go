package rank

import (
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
)

// PlaceOdds is a place to repair with its probability.
type PlaceOdds struct {
	Place       hypothesis.Place
	Probability float64
	Leading     circuits.Fault // the likeliest fault there, without ohms
}

// Place is what would be repaired if the candidate is true.
func (c Candidate) Place() hypothesis.Place { return hypothesis.PlaceOf(c.full) }

// Places are the places to repair with their probabilities, likeliest first.
func (r *Ranking) Places() []PlaceOdds {
	index := map[hypothesis.Place]int{}
	var out []PlaceOdds
	for _, c := range r.Candidates {
		place := c.Place()
		i, ok := index[place]
		if !ok {
			i = len(out)
			index[place] = i
			out = append(out, PlaceOdds{Place: place, Leading: c.full.WithoutOhms()})
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
	// fineMass and fineFaults are those of a chart, whose branches go down to what is unlikely now.
	fineMass   = 0.998
	fineFaults = 150
	fineLeast  = 12 // are always looked at: what speaks against a place that is all but certain
)

// Particles stand for the leading candidates, so that the outcomes of the next reading can be predicted.
func (r *Ranking) Particles() []evidence.Particle {
	return r.particles(particleMass, particleFaults, evidence.PlannedStrips, false)
}

// FineParticles stand for more candidates, and more finely, and always for a sound machine: for readings that are worked out long
// before they are taken.
func (r *Ranking) FineParticles() []evidence.Particle {
	return r.particles(fineMass, fineFaults, evidence.FlowStrips, true)
}

func (r *Ranking) particles(most float64, faults, strips int, sound bool) []evidence.Particle {
	var out []evidence.Particle
	mass := 0.0
	for i, c := range r.Candidates {
		healthy := sound && c.Whole() == circuits.Fault{}
		if (mass > most && !(sound && i < fineLeast) || i >= faults) && !healthy {
			if !sound {
				break
			}
			continue
		}
		mass += c.Probability
		if c.Fault.Kind == circuits.Unlisted {
			continue
		}
		out = append(out, r.w.Particles(c.x, i, c.Probability, c.Duty, strips)...)
	}
	return out
}
