package models

import (
	"math"
	"testing"
)

// near fails the test where got is not within a share of want.
func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s is %.6g, want %.6g within %.3g %%", what, got, want, 100*share)
	}
}

// Source: Lessons in Electric Circuits, DC/src/conduct.sml: 14 AWG is 0.06408 in, 20 AWG 0.03196 in in diameter.
func TestDiameterOfAGauge(t *testing.T) {
	near(t, "14 AWG in mm", AWGDiameterMM(14), 0.06408*25.4, 0.0003)
	near(t, "20 AWG in mm", AWGDiameterMM(20), 0.03196*25.4, 0.0003)
	near(t, "20 AWG in mm²", AWGAreaMM2(20), math.Pi/4*0.8118*0.8118, 0.001)
	near(t, "36 AWG in mm (ASTM B258's anchor)", AWGDiameterMM(36), 0.127, 1e-12)
	near(t, "-3 AWG, written 0000, in mm (ASTM B258's other anchor, 0.46 in)", AWGDiameterMM(-3), 0.46*25.4, 1e-12)
}

// The maxima of ISO 6722-1 in Ω/km at 20 °C: from memory, the standard's table was not seen. The 1.5 mm² row was seen in
// a trade example: 4.17 A · 5 m · 0.0127 Ω/m = 0.265 V (midmarchartsbooks.org/A/size-cable-chart.html).
func TestCableOhms(t *testing.T) {
	for size, want := range map[float64]float64{0.35: 54.4, 0.5: 37.1, 0.75: 24.7, 1: 18.5, 1.5: 12.7, 2: 9.42, 2.5: 7.60, 3: 6.15, 4: 4.71, 6: 3.14} {
		if got := CopperOhmsPerKM(size); got != want {
			t.Errorf("%g mm² has %g Ω/km, want %g", size, got, want)
		}
	}
	near(t, "the trade example in V", 4.17*WireOhms(1.5, 5), 0.265, 0.002)
	// A size that the table lacks: the contract's 18.5/mm².
	near(t, "0.22 mm² in Ω/km", CopperOhmsPerKM(0.22), 18.5/0.22, 1e-12)
	near(t, "10 mm² in Ω/km", CopperOhmsPerKM(10), 1.85, 1e-12)
}

// Class 5 conductors of IEC 60228 (Ω/km at 20 °C, https://mycableengineering.com/knowledge-base/iec-60228-dc-resistance) lie
// about 5 % above the road-vehicle table at every size that both list, the harder-drawn class 2 within 5 % of it.
func TestCableOhmsBesideAnotherStandard(t *testing.T) {
	for size, want := range map[float64][2]float64{0.5: {39.0, 36.0}, 0.75: {26.0, 24.5}, 1: {19.5, 18.1}, 1.5: {13.3, 12.1}, 2.5: {7.98, 7.41}, 4: {4.95, 4.61}, 6: {3.30, 3.08}} {
		near(t, "class 5 in Ω/km", 1.05*CopperOhmsPerKM(size), want[0], 0.005)
		near(t, "class 2 in Ω/km", CopperOhmsPerKM(size), want[1], 0.05)
	}
}

// Published points of blade fuses: 10 A, 130 mA a millivolt (mvwautotechniek.nl/en/voltage-drop-over-fuses), so 7.69 mΩ;
// mini 15 A, 218 mA a millivolt (MACS Service Reports, June 2017), so 4.59 mΩ. Cold resistances of 3 to 30 A from memory of
// a maker's data sheet. 0.07/rating is common practice: within a third of each.
func TestFuseOhms(t *testing.T) {
	near(t, "10 A in Ω", FuseOhms(10), 0.001/0.130, 0.10)
	near(t, "mini 15 A in Ω", FuseOhms(15), 0.001/0.218, 0.10)
	for amps, milliohms := range map[float64]float64{3: 31, 5: 17.9, 7.5: 10.9, 10: 7.7, 15: 4.8, 20: 3.4, 25: 2.5, 30: 2.0} {
		near(t, "a fuse in mΩ", 1000*FuseOhms(amps), milliohms, 0.33)
	}
}
