package plan

import (
	"sort"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

const (
	// dearMinutes is the price from which on a reading is looked at together with what it makes cheap.
	dearMinutes = 3
	// aheadFirst is how many dear readings, aheadSecond how many follow-ups of each, are looked at.
	aheadFirst  = 8
	aheadSecond = 12
)

// lookAhead looks two readings ahead where access is dear: a place once reached makes its other readings cheap, so a
// reading may be worth its price for the one that follows. The pair's information is reckoned over the bands of both
// outcomes.
func lookAhead(r *rank.Ranking, suggestions []Suggestion, particles int) {
	reached := r.Job.Reached()
	order := make([]int, len(suggestions))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return suggestions[order[a]].GainBits > suggestions[order[b]].GainBits })
	looked := 0
	for _, i := range order {
		first := &suggestions[i]
		if looked == aheadFirst || first.rays == nil {
			break
		}
		if first.Minutes < dearMinutes {
			continue
		}
		looked++
		after := map[string]bool{}
		for place := range reached {
			after[place] = true
		}
		for _, place := range r.Job.Circuit.Touches(first.Reading) {
			after[place] = true
		}
		followed := 0
		for _, k := range order {
			second := &suggestions[k]
			if followed == aheadSecond || second.rays == nil {
				break
			}
			price := r.Job.Circuit.Minutes(second.Reading, after)
			if k == i || price >= second.Minutes { // nothing is saved by having been there
				continue
			}
			followed++
			both := jointGain(first, second, particles)
			first.Ahead = max(first.Ahead, both/(first.Minutes+price))
		}
	}
}

// jointGain is the information of two readings together, over the bands of both.
func jointGain(a, b *Suggestion, particles int) float64 {
	byParticle := make([][]int, particles)
	for i := range b.rays {
		p := b.rays[i].Particle
		byParticle[p] = append(byParticle[p], i)
	}
	var rays []evidence.Ray
	const many = 1 << 12 // more than there are bands
	for i := range a.rays {
		x := a.rays[i]
		whole := 0.0
		for _, k := range byParticle[x.Particle] {
			whole += b.rays[k].Weight
		}
		for _, k := range byParticle[x.Particle] {
			y := x
			y.Weight *= b.rays[k].Weight / whole
			y.Discrete = 1 + a.labels[i]*many + b.labels[k]
			rays = append(rays, y)
		}
	}
	return Gain(rays, evidence.MisreadPrior, 1)
}
