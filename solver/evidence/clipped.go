package evidence

import (
	"math"

	"ohmtrail/circuits"
)

// leastPart is the share of a ray below which what lies beyond the end of a range, or within it, is left out.
const leastPart = 0.02

// clipped parts a ray of a scan value at the ends of its range: what lies beyond an end is reported as that end, an
// outcome of its own, and only the rest is a value. exact is the spread before the converter rounds; a reference of 5 V
// to 1 % reads clipped half the time and as a value the other half.
func clipped(ray Ray, exact float64, pin *circuits.Pin) []Ray {
	step := pin.StepVolts()
	low, high := pin.RangeVolts[0]+step/2, pin.RangeVolts[1]-step/2
	under, over := 1-above(low, ray.Mean, exact), above(high, ray.Mean, exact)
	within := 1 - under - over
	whole := 0.0
	for _, share := range []float64{under, over, within} {
		if share >= leastPart {
			whole += share
		}
	}
	var out []Ray
	part := func(share float64, discrete int) {
		if share >= leastPart {
			p := ray
			p.Weight *= share / whole
			p.Discrete = discrete
			out = append(out, p)
		}
	}
	part(under, RayLow)
	part(over, RayHigh)
	part(within, 0)
	if within >= leastPart && within < 1-leastPart {
		// Mean and spread of the normal cut off at both ends.
		a, b := (low-ray.Mean)/exact, (high-ray.Mean)/exact
		fa, fb := normal(a, 0, 1), normal(b, 0, 1)
		shift := (fa - fb) / within
		value := &out[len(out)-1]
		value.Mean = ray.Mean + exact*shift
		rounding := sq(ray.SD) - sq(exact)
		value.SD = math.Sqrt(sq(exact)*max(1+(a*fa-b*fb)/within-sq(shift), 0) + rounding)
	}
	return out
}
