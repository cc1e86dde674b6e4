package recording

import (
	"math"
	"slices"
)

// Noise is how a recording varies between jumps, in the recording's unit.
type Noise struct {
	SD     float64 // one standard deviation of a sample about its level, noise that hangs together over some samples included
	White  float64 // the part of it that is new in each sample
	Wander float64 // one standard deviation of what a level drifts from sample to sample
	Held   float64 // samples for which a value stands before it is renewed: a recorder may be faster than what it records
}

// The scale of a recording is taken from differences of samples, so that jumps and drift hardly count: the lower quartile
// of their sizes, or the median where there are few. Divided by what the same share of a normal distribution is, that is a
// standard deviation (Rousseeuw and Croux, JASA 88, 1993, on scales by differences).
const (
	normalQuartile = 0.31863936 // a quarter of a normal distribution lies within ± this
	normalMedian   = 0.67448975
	manySamples    = 1000
)

// lags are the distances, in samples, over which differences are taken: noise that hangs together from sample to sample
// (mains hum, a filter) shows fully only over the longer ones.
var lags = []int{1, 2, 4, 8}

// wanderLeast keeps a level from being known ever more exactly: with a wander of this share of the noise it rests on the
// last thirty samples or so, and a slow drift never adds up to a jump.
const wanderLeast = 0.03

// noiseOf estimates the noise of a stretch of samples. step is the finest step in which the values are written.
func noiseOf(values []float64, step float64) Noise {
	floor := max(step/math.Sqrt(12), leastNoise(values))
	if len(values) < 3 {
		return Noise{SD: floor, White: floor, Wander: wanderLeast * floor, Held: 1}
	}
	var sizes []float64
	var spread []float64 // by lag: variance of the differences
	for _, lag := range lags {
		if len(values) <= 2*lag {
			break
		}
		sizes = sizes[:0]
		for i := lag; i < len(values); i++ {
			sizes = append(sizes, math.Abs(values[i]-values[i-lag]))
		}
		sd := scaleOf(sizes, step)
		spread = append(spread, sd*sd)
	}
	if len(spread) == 0 {
		return Noise{SD: floor, White: floor, Wander: wanderLeast * floor, Held: 1}
	}
	// A scale from few samples may be too small by chance, and a noise taken for smaller than it is makes jumps out of it.
	careful := 1 + 3/math.Sqrt(float64(len(values)))
	n := Noise{SD: max(floor, careful*math.Sqrt(slices.Max(spread)/2)), Held: held(values)}
	white, wander := whiteAndWander(spread)
	n.White = max(floor, careful*white, n.SD/4)
	n.Wander = max(wanderLeast*n.SD, careful*wander)
	if n.SD <= floor {
		n.Held = 1 // a value that does not change tells nothing about how often it is renewed
	}
	n.White *= math.Sqrt(n.Held) // as many samples are one
	return n
}

// held is how many samples a value stands for on average, 1 where most are new.
func held(values []float64) float64 {
	changes := 1
	for i := 1; i < len(values); i++ {
		if values[i] != values[i-1] {
			changes++
		}
	}
	if n := float64(len(values)) / float64(changes); n >= 1.8 {
		return n
	}
	return 1
}

// leastNoise is what the arithmetic of values of that size leaves uncertain.
func leastNoise(values []float64) float64 {
	largest := 0.0
	for _, v := range values {
		largest = max(largest, math.Abs(v))
	}
	return max(1e-9*largest, 1e-12)
}

// scaleOf is the standard deviation that goes with sizes of normal differences. It reorders sizes.
//
// Where most differences are nothing, the value is renewed less often than it is recorded, or hardly moves from step to
// step: then the changes that there are tell the noise if their sizes vary as noise does, and a few sizes that are all alike
// are jumps, not noise.
func scaleOf(sizes []float64, step float64) float64 {
	share, normal := 0.25, normalQuartile
	if len(sizes) < manySamples {
		share, normal = 0.5, normalMedian
	}
	size := pick(sizes, int(share*float64(len(sizes)-1)))
	if size > 4*step {
		return size / normal
	}
	within := 0
	for _, s := range sizes {
		if s < size+step/2 {
			within++
		}
	}
	held := 0.0
	if size <= step {
		changes := slices.DeleteFunc(slices.Clone(sizes), func(s float64) bool { return s <= 1.5*step })
		at := func(share float64) float64 { return pick(changes, int(share*float64(len(changes)-1))) }
		if len(changes) >= 8 && 10*len(changes) >= len(sizes) && at(0.25) <= 0.6*at(0.75) {
			held = at(0.5) / normalMedian
		}
	}
	// A size that is written in steps stands for anything within half a step of it.
	if known := float64(within) / float64(len(sizes)); step > 0 && known < 1 {
		return max(held, (size+step/2)/(math.Sqrt2*math.Erfinv(known)))
	}
	return max(held, size/normal)
}

// quantile is the value below which that share of sorted values lies.
func quantile(sorted []float64, share float64) float64 {
	return sorted[int(share*float64(len(sorted)-1))]
}

// whiteAndWander parts the variance of differences over the lags into noise that is new in each sample and wander that adds
// up: variance = 2·white² + lag·wander², fitted by least squares with neither below zero.
func whiteAndWander(spread []float64) (white, wander float64) {
	n, sl, sv, sll, slv := float64(len(spread)), 0.0, 0.0, 0.0, 0.0
	for i, v := range spread {
		l := float64(lags[i])
		sl, sv, sll, slv = sl+l, sv+v, sll+l*l, slv+l*v
	}
	slope := 0.0
	if d := n*sll - sl*sl; d > 0 {
		slope = max((n*slv-sl*sv)/d, 0)
	}
	rest := (sv - slope*sl) / n
	if rest < 0 {
		rest, slope = 0, slv/sll
	}
	return math.Sqrt(rest / 2), math.Sqrt(slope)
}

// pick is the k-th smallest value, from 0 (Hoare's selection, Communications of the ACM 4, 1961). It reorders values.
func pick(values []float64, k int) float64 {
	low, high := 0, len(values)-1
	for low < high {
		pivot := values[low+(high-low)/2]
		i, j := low, high
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return values[k]
		}
	}
	return values[k]
}
