// Package tally counts what trials of the reasoning came to: shares with their bounds, means, and how far the
// probabilities that were said are those that came true. It computes and prints nothing.
package tally

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"ohmtrail/solver/trial"
)

// Share is how many of a number.
type Share struct{ Count, Of int }

// add counts one more case.
func (s *Share) add(yes bool) {
	s.Of++
	if yes {
		s.Count++
	}
}

// Value is the share itself, NaN of none.
func (s Share) Value() float64 {
	if s.Of == 0 {
		return math.NaN()
	}
	return float64(s.Count) / float64(s.Of)
}

// Interval is the 95 % score interval of the share that stands behind a count (E. B. Wilson, JASA 22, 1927, p. 209); NaN
// of none.
func (s Share) Interval() (low, high float64) {
	if s.Of == 0 {
		return math.NaN(), math.NaN()
	}
	z := distuv.UnitNormal.Quantile(0.975)
	n, p := float64(s.Of), s.Value()
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return max(0, middle-half), min(1, middle+half)
}

// Edges are the ends of the bins in which probabilities are held against what came true. The last bin holds 1.
var Edges = [...]float64{0, 0.5, 0.8, 0.95, 0.99, 1}

// Bin is the cases whose probability lay between two edges.
type Bin struct {
	From, To float64
	Said     float64 // mean of the probabilities said, NaN of none
	Right    Share
}

// Calibration holds probabilities against what came true.
type Calibration struct {
	Bins  []Bin
	Error float64 // mean over the cases of |said − share right| of their bin (expected calibration error)
	Brier float64 // mean of (said − came true)²
}

// calibrate bins probabilities with whether they came true.
func calibrate(said []float64, right []bool) Calibration {
	c := Calibration{Error: math.NaN(), Brier: math.NaN()}
	sums := make([]float64, len(Edges)-1)
	for i := range sums {
		c.Bins = append(c.Bins, Bin{From: Edges[i], To: Edges[i+1]})
	}
	squares := 0.0
	for i, p := range said {
		k := 0
		for k+1 < len(sums) && p >= Edges[k+1] {
			k++
		}
		sums[k] += p
		c.Bins[k].Right.add(right[i])
		if right[i] {
			p = 1 - p
		}
		squares += p * p
	}
	gaps := 0.0
	for k := range c.Bins {
		b := &c.Bins[k]
		b.Said = sums[k] / float64(b.Right.Of)
		if b.Right.Of > 0 {
			gaps += float64(b.Right.Of) * math.Abs(b.Said-b.Right.Value())
		}
	}
	if n := float64(len(said)); n > 0 {
		c.Error, c.Brier = gaps/n, squares/n
	}
	return c
}

// Order is what one order of readings came to.
type Order struct {
	Order          trial.Order
	Group          Share // the truth is in the leading group at the end
	Three          Share // in one of the three leading groups
	Place          Share // the leading place is the truth's
	Found          Share // two faults: both found by repairing the leading place and going on
	Stopped        Share // the plan said that it was done
	Sure           Share // the leading group ends with SureFrom or more
	SureRight      Share // and of those it holds the truth
	Readings       float64
	Minutes        float64
	EntropyBits    float64 // of the places before any reading, mean
	BitsPerReading float64 // that over the readings taken: what each had to tell on average
	Misread        int     // readings that were not what they said
	MisreadJobs    Share   // jobs with such a reading
	ByGroup        Calibration
	ByPlace        Calibration
}

// SureFrom is the probability from which on a job counts as sure.
const SureFrom = 0.95

// Count sums up the cases of one order; those of others are left out.
func Count(order trial.Order, cases []trial.Case) Order {
	o := Order{Order: order}
	var readings, minutes, entropies, top, place []float64
	var topRight, placeRight []bool
	for _, c := range cases {
		if c.Order != order {
			continue
		}
		o.Group.add(c.TopRight)
		o.Three.add(c.InThree)
		o.Place.add(c.PlaceRight)
		o.Stopped.add(c.Done)
		o.Sure.add(c.Top >= SureFrom)
		if c.Top >= SureFrom {
			o.SureRight.add(c.TopRight)
		}
		if c.Fault.IsDouble() {
			o.Found.add(c.Found)
		}
		o.Misread += c.Misread
		o.MisreadJobs.add(c.Misread > 0)
		readings, minutes, entropies = append(readings, float64(c.Readings)), append(minutes, c.Minutes), append(entropies, c.EntropyBits)
		top, topRight = append(top, c.Top), append(topRight, c.TopRight)
		place, placeRight = append(place, c.Place), append(placeRight, c.PlaceRight)
	}
	o.Readings, o.Minutes, o.EntropyBits = stat.Mean(readings, nil), stat.Mean(minutes, nil), stat.Mean(entropies, nil)
	o.BitsPerReading = o.EntropyBits / o.Readings
	o.ByGroup, o.ByPlace = calibrate(top, topRight), calibrate(place, placeRight)
	return o
}

// Of are the cases of one circuit.
func Of(circuit string, cases []trial.Case) []trial.Case {
	var out []trial.Case
	for _, c := range cases {
		if c.Circuit == circuit {
			out = append(out, c)
		}
	}
	return out
}
