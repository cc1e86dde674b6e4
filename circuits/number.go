package circuits

import (
	"fmt"
	"math"

	"ohmtrail/models"
)

// Bounds limit what a file may give as a number.
type Bounds struct {
	Low, High float64
	OpenLow   bool // Low itself is not allowed
}

// What numbers are bound to.
var (
	AnyNumber   = Bounds{math.Inf(-1), math.Inf(1), false}
	NotNegative = Bounds{0, math.Inf(1), false}
	Positive    = Bounds{0, math.Inf(1), true}
	Percent     = Bounds{0, 100, false}
	Share       = Bounds{0, 1, false}
	Celsius     = Bounds{-models.ZeroCelsius, 3000, true} // nothing is colder than absolute zero
	railVolts   = Bounds{0, MaxVolts, false}
)

// Holds tells whether the number lies within.
func (b Bounds) Holds(v float64) bool {
	return v >= b.Low && v <= b.High && !(b.OpenLow && v == b.Low)
}

// String says the bounds as a hint does, behind "give a value".
func (b Bounds) String() string {
	switch {
	case b.OpenLow && math.IsInf(b.High, 1):
		return fmt.Sprintf("greater than %g", b.Low)
	case math.IsInf(b.High, 1):
		return fmt.Sprintf("of %g or more", b.Low)
	case b.OpenLow:
		return fmt.Sprintf("above %g and up to %g", b.Low, b.High)
	}
	return fmt.Sprintf("between %g and %g", b.Low, b.High)
}

// Number is one number of a part: what a file calls it, what it is where the file does not say, and how far the real
// part may be off (the contract's section 5).
type Number[P any] struct {
	Key     string
	Nominal func(*P) float64 // where the file does not give it
	Allowed Bounds
	Ohms    bool   // written as a resistance too ("4k7")
	ByLog   bool   // spreads evenly by its logarithm: ohms and amperes
	Needed  string // an example, where a part cannot do without it
	Hidden  bool   // no file gives it: what the part's other numbers leave open
	Alone   bool   // a bound of error, or a fact, which has no width: written as one number only
	Written spread[P]
	LeftOut spread[P]
	Get     func(*P) float64
	Set     func(*P, float64)
}

// Width is how far the number may be off in a part whose file gives it plainly, or leaves it out.
func (n Number[P]) Width(p *P, given bool) models.Width {
	s, nominal := n.LeftOut, n.Get(p)
	if given {
		s = n.Written
	}
	if s == nil {
		return models.Width{Low: nominal, High: nominal}
	}
	low, high := s(p, nominal)
	return models.Evenly(low, high, n.ByLog)
}

// spread is from where to where a number may lie, as its nominal and the rest of its part have it.
type spread[P any] func(p *P, nominal float64) (low, high float64)

// pct is so many per cent to either side.
func pct[P any](percent float64) spread[P] { return fractions[P](1-percent/100, 1+percent/100) }

// times is from the nominal divided by k to the nominal times k.
func times[P any](k float64) spread[P] { return fractions[P](1/k, k) }

// fractions is from one multiple of the nominal to another.
func fractions[P any](from, to float64) spread[P] {
	return func(_ *P, nominal float64) (low, high float64) {
		return min(nominal*from, nominal*to), max(nominal*from, nominal*to)
	}
}

// between is from one value to another, whatever the nominal.
func between[P any](low, high float64) spread[P] {
	return func(*P, float64) (float64, float64) { return low, high }
}

// leastShare keeps a tolerance of 100 % from reaching down to nothing, which has no logarithm.
const leastShare = 0.01

// toleranced is as far to either side as the part's own tolerance_pct says.
func toleranced[P any](tolerance func(*P) float64) spread[P] {
	return func(p *P, nominal float64) (low, high float64) {
		t := tolerance(p) / 100
		return nominal * max(1-t, leastShare), nominal * (1 + t)
	}
}

// allowance is a bound of error: as far from 0 as the part says.
func allowance[P any](bound func(*P) float64) spread[P] {
	return func(p *P, _ float64) (low, high float64) { return -bound(p), bound(p) }
}

// always is a nominal that depends on nothing.
func always[P any](v float64) func(*P) float64 { return func(*P) float64 { return v } }

// number is one that spreads by its value.
func number[P any](key string, nominal float64, allowed Bounds, written, leftOut spread[P], field func(*P) *float64) Number[P] {
	return Number[P]{Key: key, Nominal: always[P](nominal), Allowed: allowed, Written: written, LeftOut: leftOut,
		Get: func(p *P) float64 { return *field(p) }, Set: func(p *P, v float64) { *field(p) = v }}
}

// resistance is a number of ohms.
func resistance[P any](key string, nominal float64, allowed Bounds, written, leftOut spread[P], field func(*P) *float64) Number[P] {
	n := number(key, nominal, allowed, written, leftOut, field)
	n.Ohms, n.ByLog = true, true
	return n
}

// fact is a number without a width.
func fact[P any](key string, nominal float64, allowed Bounds, field func(*P) *float64) Number[P] {
	n := number(key, nominal, allowed, nil, nil, field)
	n.Alone = true
	return n
}

// needed is a number that a part cannot do without; example shows how to write it.
func needed[P any](n Number[P], example string) Number[P] {
	n.Needed = example
	return n
}

// byLog is a number that spreads by its logarithm without being ohms: milliamperes.
func byLog[P any](n Number[P]) Number[P] {
	n.ByLog = true
	return n
}

// hidden is a number that no file gives.
func hidden[P any](n Number[P]) Number[P] {
	n.Hidden = true
	return n
}

// widthOf is the width of the number called key among the widths of a part's numbers.
func widthOf[P any](numbers []Number[P], widths []models.Width, key string) models.Width {
	for i, n := range numbers {
		if n.Key == key && i < len(widths) {
			return widths[i]
		}
	}
	return models.Width{}
}
