package view

import "testing"

// Nothing is certain, however many digits are shown.
func TestNothingIsCertain(t *testing.T) {
	for p, want := range map[float64]string{0.9912: "99.1 %", 0.9994: "99.9 %", 0.99999: "over 99.9 %", 1: "over 99.9 %"} {
		if got := tenths(p); got != want {
			t.Errorf("%g is printed as %s, want %s", p, got, want)
		}
	}
}
