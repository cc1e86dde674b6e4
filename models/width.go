package models

import "math"

// Width is where the true value of a number may lie: anywhere between Low and High, evenly by its value, or by its
// logarithm where Log. A width of Low = High is a number that is exactly known.
type Width struct {
	Low, High float64
	Log       bool
}

// Evenly is a width from low to high. Only what is greater than 0 throughout has a logarithm to spread by.
func Evenly(low, high float64, byLog bool) Width {
	return Width{Low: low, High: high, Log: byLog && low > 0}
}

// Exact tells whether nothing is left open.
func (w Width) Exact() bool { return w.High <= w.Low }

// scale is the value as the width spreads it: the value itself or its natural logarithm.
func (w Width) scale(v float64) float64 {
	if w.Log {
		return math.Log(v)
	}
	return v
}

// Middle is the nominal of a range: the geometric middle where it spreads by the logarithm.
func (w Width) Middle() float64 { return w.At(0.5) }

// At is the value with that share of the width below it.
func (w Width) At(share float64) float64 {
	switch low, high := w.scale(w.Low), w.scale(w.High); {
	case share <= 0:
		return w.Low
	case share >= 1:
		return w.High
	case w.Log:
		return math.Exp(low + share*(high-low))
	default:
		return low + share*(high-low)
	}
}

// Deviation is the standard deviation of the uniform distribution over the width: in the number's own unit, or in
// e-folds of it where Log.
func (w Width) Deviation() float64 {
	if w.Exact() {
		return 0
	}
	return (w.scale(w.High) - w.scale(w.Low)) / math.Sqrt(12)
}

// Offset is how many deviations the middle of the width lies above a nominal value.
func (w Width) Offset(nominal float64) float64 {
	if w.Exact() {
		return 0
	}
	return ((w.scale(w.High)+w.scale(w.Low))/2 - w.scale(nominal)) / w.Deviation()
}

// Moved is a nominal value moved by that many deviations.
func (w Width) Moved(nominal, deviations float64) float64 {
	if w.Log {
		return nominal * math.Exp(deviations*w.Deviation())
	}
	return nominal + deviations*w.Deviation()
}
