package models

import "math"

// Accuracy is a meter's bound of error: ± Pct percent of the reading ± Plus in the reading's own unit.
type Accuracy struct{ Pct, Plus float64 }

// Bound is the greatest error of a reading.
func (a Accuracy) Bound(reading float64) float64 {
	return a.Pct/100*math.Abs(reading) + a.Plus
}

// Interval is the range in which the true value of a reading lies.
func (a Accuracy) Interval(reading float64) (low, high float64) {
	b := a.Bound(reading)
	return reading - b, reading + b
}
