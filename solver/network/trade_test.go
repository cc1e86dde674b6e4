package network

import (
	"fmt"
	"testing"
)

// Facts that the trade knows of the oxygen sensor whose return the module holds about 2.5 V above ground: common practice,
// no source. None is an oracle for digits; each is a window that the library's circuit must fall into.

// biased is that circuit with both cells at a lean or a rich mixture.
func biased(t testing.TB, emf float64) stand {
	return fromLibrary(t, "oxygen-sensor-biased").at("O2U", emf).at("O2D", emf)
}

// Healthy it reads about 2.6 V lean to 3.4 V rich (common practice, no source).
func TestBiasedOxygenSensorHealthy(t *testing.T) {
	for _, pin := range []string{"PCM:C23", "PCM:C24"} {
		between(t, pin+" lean", biased(t, 0.1).scan(pin), 2.55, 2.7)
		between(t, pin+" rich", biased(t, 0.9).scan(pin), 3.35, 3.45)
	}
	// The return itself, against ground: 2.5 V, whatever the mixture.
	for _, emf := range []float64{0.1, 0.9} {
		within(t, fmt.Sprintf("return at %g V of the cell", emf), biased(t, emf).volts("O2U:3"), 2.5, 0.05)
	}
}

// With its return lost on the sensor's side of the splice the one signal goes close to 5 V and the other sensor stays as it
// is; lost on the module's side of the splice, both go (common practice, no source).
func TestBiasedOxygenSensorWithoutReturn(t *testing.T) {
	for _, c := range []struct{ fault, gone, stays string }{
		{"open C110:3>O2U:3", "PCM:C23", "PCM:C24"},
		{"open S130>C110:3", "PCM:C23", "PCM:C24"},
		{"open C110:3", "PCM:C23", "PCM:C24"},
		{"open C305:3>O2D:3", "PCM:C24", "PCM:C23"},
		{"open S130>C305:3", "PCM:C24", "PCM:C23"},
	} {
		for _, emf := range []float64{0.1, 0.9} {
			healthy := biased(t, emf)
			bad := healthy.under(c.fault)
			between(t, c.fault+": "+c.gone, bad.scan(c.gone), 4.7, 5)
			within(t, c.fault+": "+c.stays+" keeps its value", bad.scan(c.stays), healthy.scan(c.stays), 0.02)
		}
	}
	trunk := biased(t, 0.45).under("open PCM:C30>S130")
	for _, pin := range []string{"PCM:C23", "PCM:C24"} {
		between(t, "return trunk open: "+pin, trunk.scan(pin), 4.7, 5)
	}
	// And the signal wire lost: the same value. What tells them apart is the return at the sensor's plug.
	lost := biased(t, 0.45).under("open C110:4>O2U:4")
	between(t, "signal open", lost.scan("PCM:C23"), 4.7, 5)
	within(t, "signal open: return at the plug", lost.volts("O2U:3"), 2.5, 0.05)
	without := biased(t, 0.45).under("open C110:3>O2U:3")
	between(t, "return open: return at the plug", without.volts("O2U:3"), 3.5, 5) // pulled up through the cell, less the meter
}

// The trade's "circuit high" code of such a circuit comes above about 3.7 V (common practice, no source). A contact that is
// going, not gone, can stand at 3.2 to 3.4 V with a lean mixture: a value that looks like a rich one, and no code.
func TestBiasedOxygenSensorPoorReturnSetsNothing(t *testing.T) {
	const codeAbove = 3.7
	hidden := 0
	for _, ohms := range []float64{10e3, 60e3, 120e3, 140e3, 160e3, 1e6} {
		s := biased(t, 0.1).under(fmt.Sprintf("high-resistance C110:3 %g", ohms))
		v := s.scan("PCM:C23")
		// By hand, leaving the meter out: the pull-up's 330 kΩ to 5 V against the cell's 5 kΩ and the fault to 2.6 V, with the
		// pin's 10 MΩ to ground.
		g1, g2, g3 := 1/330e3, 1/(5e3+10+ohms), 1/10e6
		within(t, fmt.Sprintf("lean with %g Ω in the return", ohms), v, (5*g1+2.6*g2)/(g1+g2+g3), 0.005)
		if v >= 3.2 && v <= 3.4 {
			hidden++
		}
		if ohms <= 160e3 && v > codeAbove || ohms >= 1e6 && v < codeAbove {
			t.Errorf("%g Ω in the return show %g V", ohms, v)
		}
	}
	if hidden != 3 {
		t.Errorf("%d of 120, 140 and 160 kΩ show 3.2 to 3.4 V with a lean mixture, want all", hidden)
	}
	// The same resistance is next to nothing to volts at the unplugged sensor: the return reads its 2.5 V, less what 10 MΩ
	// take of it.
	s := biased(t, 0.1).under("high-resistance C110:3 120000").apart("O2U")
	within(t, "unplugged, the return", s.volts("O2U:3"), 2.5*10e6/10.12e6, 0.05)
}
