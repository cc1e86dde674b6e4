package models

import (
	"math"
	"testing"
)

// Table of IEC 60751 for Pt100, to 0.01 Ω. Sources: sensorsci.com/reference.htm, sensingtemp.com and "Pt100-en" (scribd 366724594)
// agree; 850 °C is computed from the standard's formula for the project's reference list.
func TestPt100Table(t *testing.T) {
	for celsius, want := range map[float64]float64{-200: 18.52, -100: 60.26, -40: 84.27, 0: 100, 100: 138.51, 200: 175.86, 300: 212.05, 400: 247.09, 500: 280.98, 600: 313.71, 850: 390.48} {
		if got := RTDOhms(100, celsius); math.Abs(got-want) > 0.0051 {
			t.Errorf("Pt100 at %g °C has %.4f Ω, want %.2f", celsius, got, want)
		}
	}
}

// A Pt200 of an exhaust has twice the table of IEC 60751.
func TestPt200Table(t *testing.T) {
	for celsius, want := range map[float64]float64{-200: 37.04, -100: 120.51, -40: 168.54, 0: 200, 100: 277.01, 200: 351.71, 300: 424.10, 400: 494.18, 500: 561.96, 600: 627.42, 850: 780.96} {
		if got := RTDOhms(200, celsius); math.Abs(got-want) > 0.0101 {
			t.Errorf("Pt200 at %g °C has %.4f Ω, want %.2f", celsius, got, want)
		}
	}
}
