package models

import (
	"math"
	"testing"
)

// Published examples of a meter's bounds. Counts are the last digit of the display.
func TestAccuracyExamples(t *testing.T) {
	for _, test := range []struct {
		source       string
		a            Accuracy
		reading      float64
		lowest, most float64
	}{
		{"fluke.com, accuracy and precision: ±2 % of 100.0 V", Accuracy{Pct: 2}, 100, 98, 102},
		{"the same: ±(2 % + 2 counts of 0.1 V)", Accuracy{Pct: 2, Plus: 0.2}, 100, 97.8, 102.2},
		{"gvda-instrument: ±(1 % + 2 counts) of 100.0 V", Accuracy{Pct: 1, Plus: 0.2}, 100, 98.8, 101.2},
		{"gvda-instrument: ±(0.5 % + 3 counts of 1 mV) of 2 V", Accuracy{Pct: 0.5, Plus: 0.003}, 2, 1.987, 2.013},
		{"gvda-instrument: ±(0.8 % + 2 counts) of 100.0 V", Accuracy{Pct: 0.8, Plus: 0.2}, 100, 99, 101},
		{"by hand: a negative reading is as uncertain as a positive one", Accuracy{Pct: 1, Plus: 0.1}, -50, -50.6, -49.4},
		{"by hand: near zero only the counts are left", Accuracy{Pct: 0.5, Plus: 0.01}, 0, -0.01, 0.01},
	} {
		low, high := test.a.Interval(test.reading)
		if math.Abs(low-test.lowest) > 1e-9 || math.Abs(high-test.most) > 1e-9 {
			t.Errorf("%s: %g to %g, want %g to %g", test.source, low, high, test.lowest, test.most)
		}
		if b := test.a.Bound(test.reading); math.Abs(b-(test.most-test.lowest)/2) > 1e-9 {
			t.Errorf("%s: ±%g", test.source, b)
		}
	}
}
