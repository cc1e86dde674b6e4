package plan

import (
	"math"
	"slices"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// bandGap is how many standard deviations apart two rays must be to make two outcomes.
const bandGap = 4

// bands gathers rays of a reading into the outcomes that a person would tell apart. Probabilities sum to 1.
func bands(r *rank.Ranking, c circuits.Reading, rays []evidence.Ray, places placeIndex) []OutcomeBand {
	if c.Quantity == circuits.ScanVolts {
		rays = joinEnds(rays, r.Job.Circuit.Pin(c.Point()))
	}
	byBand := map[int][]evidence.Ray{}
	total := 0.0
	for i, label := range bandLabels(rays) {
		byBand[label] = append(byBand[label], rays[i])
		total += rays[i].Weight
	}
	var out []OutcomeBand
	for label := range len(byBand) {
		out = append(out, band(r, byBand[label], total, places))
	}
	partEnds(out)
	sort.SliceStable(out, func(i, j int) bool { return out[i].Probability > out[j].Probability })
	return out
}

// endWidth is the share of a module's range within which values beside its end are one outcome with that end.
const endWidth = 0.05

// Outcomes at the ends of what a module reports, the end itself and what is foreseen close beside it.
const (
	atLowEnd  = 1000
	atHighEnd = 1001
)

// joinEnds makes one outcome of the end of what a module reports and the values that are foreseen close beside it: nobody tells
// "0.000 V, the lowest that it reports" from "about 0.02 V".
func joinEnds(rays []evidence.Ray, pin *circuits.Pin) []evidence.Ray {
	low, high := pin.RangeVolts[0], pin.RangeVolts[1]
	near := endWidth * (high - low)
	end := func(ray *evidence.Ray) int {
		from, to := ray.Mean-bandGap/2*ray.SD, ray.Mean+bandGap/2*ray.SD
		switch {
		case ray.Discrete != 0:
		case to < low+near && from < low+pin.StepVolts():
			return atLowEnd
		case from > high-near && to > high-pin.StepVolts():
			return atHighEnd
		}
		return 0
	}
	beside := map[int]bool{}
	for i := range rays {
		beside[end(&rays[i])] = true
	}
	out := slices.Clone(rays)
	for i := range out {
		ray := &out[i]
		switch {
		case ray.Discrete == evidence.RayLow && beside[atLowEnd]:
			ray.Discrete, ray.Mean, ray.SD = atLowEnd, low, pin.StepVolts()/2
		case ray.Discrete == evidence.RayHigh && beside[atHighEnd]:
			ray.Discrete, ray.Mean, ray.SD = atHighEnd, high, pin.StepVolts()/2
		case ray.Discrete == 0:
			ray.Discrete = end(ray)
		}
	}
	return out
}

// partEnds leaves to the outcomes at the ends what lies in their reach.
func partEnds(bands []OutcomeBand) {
	for i := range bands {
		for k := range bands {
			b, end := &bands[i], &bands[k]
			switch {
			case i == k || b.Discrete != 0 || b.end != 0:
			case end.end == atLowEnd && b.High > end.High:
				b.Low = max(b.Low, end.High)
			case end.end == atHighEnd && b.Low < end.Low:
				b.High = min(b.High, end.Low)
			}
		}
	}
}

// bandLabels numbers the band of each ray: from 0, discrete outcomes last, values from low to high.
func bandLabels(rays []evidence.Ray) []int {
	order := make([]int, len(rays))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool {
		a, b := &rays[order[i]], &rays[order[j]]
		if a.Discrete != b.Discrete {
			return a.Discrete < b.Discrete
		}
		return a.Mean < b.Mean
	})
	labels := make([]int, len(rays))
	label, reach := 0, math.Inf(-1) // upper end of the band so far
	for x, i := range order {
		ray := &rays[i]
		if x > 0 && (ray.Discrete != rays[order[x-1]].Discrete || ray.Discrete == 0 && ray.Mean-bandGap/2*ray.SD > reach) {
			label++
			reach = math.Inf(-1)
		}
		reach = max(reach, ray.Mean+bandGap/2*ray.SD)
		labels[i] = label
	}
	return labels
}

// band sums up the rays of one outcome.
func band(r *rank.Ranking, rays []evidence.Ray, total float64, places placeIndex) OutcomeBand {
	b := OutcomeBand{Low: math.Inf(1), High: math.Inf(-1)}
	faults, repair := map[int]float64{}, map[int]float64{}
	b.repair = repair
	for _, ray := range rays {
		b.Probability += ray.Weight / total
		faults[ray.Source] += ray.Weight
		repair[ray.Group] += ray.Weight
		b.Low, b.High = min(b.Low, ray.Mean-2*ray.SD), max(b.High, ray.Mean+2*ray.SD)
	}
	if b.Discrete = rays[0].Discrete; b.Discrete == atLowEnd || b.Discrete == atHighEnd {
		b.Discrete, b.end = 0, b.Discrete // a value like others
	} else if b.Discrete != 0 {
		b.Low, b.High = math.NaN(), math.NaN()
	}
	named := map[int]bool{}
	for _, f := range byWeight(faults) {
		if place := places.place[f]; len(b.Faults) < 4 && !named[place] {
			named[place] = true
			b.Faults = append(b.Faults, r.Candidates[f].Whole().WithoutOhms())
		}
	}
	for _, p := range byWeight(repair) {
		if len(b.Places) < 4 {
			b.Places = append(b.Places, places.places[p])
		}
	}
	return b
}

// byWeight are the keys by falling weight, without those below a twentieth of the whole.
func byWeight(m map[int]float64) []int {
	var keys []int
	sum := 0.0
	for k, w := range m {
		keys = append(keys, k)
		sum += w
	}
	sort.Slice(keys, func(i, j int) bool {
		if m[keys[i]] != m[keys[j]] {
			return m[keys[i]] > m[keys[j]]
		}
		return keys[i] < keys[j]
	})
	for i, k := range keys {
		if i > 0 && m[k] < sum/20 {
			return keys[:i]
		}
	}
	return keys
}

// InBand tells whether a value of that quantity falls into a band.
func (b OutcomeBand) InBand(q circuits.Quantity, value float64) bool {
	if b.Discrete != 0 {
		return false
	}
	if q == circuits.Ohms {
		value = math.Log(max(value, 0.1))
	}
	return value >= b.Low && value <= b.High
}
