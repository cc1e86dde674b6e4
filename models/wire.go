package models

import "math"

// Defaults of a harness wire, and of the joints it ends in (common practice, no source).
const (
	DefaultSizeMM2 = 0.5
	DefaultLengthM = 1.0
	ContactOhms    = 0.005
	StudOhms       = 0.002
)

// isoOhmsPerKM are the greatest resistances of copper road-vehicle cable at 20 °C, ISO 6722-1 (from memory; only the
// 1.5 mm² row was seen in print, in a trade example).
var isoOhmsPerKM = []struct{ sizeMM2, ohms float64 }{
	{0.35, 54.4}, {0.5, 37.1}, {0.75, 24.7}, {1, 18.5}, {1.5, 12.7}, {2, 9.42}, {2.5, 7.60}, {3, 6.15}, {4, 4.71}, {6, 3.14},
}

// perMM2 is Ω/km × mm² for a size outside the table.
const perMM2 = 18.5

// CopperOhmsPerKM is the resistance of a copper cable of that cross-section, in ohms per kilometre at 20 °C: the ISO
// 6722-1 maximum where it lists the size, else 18.5/mm².
func CopperOhmsPerKM(sizeMM2 float64) float64 {
	for _, row := range isoOhmsPerKM {
		if math.Abs(row.sizeMM2-sizeMM2) < 1e-9 {
			return row.ohms
		}
	}
	return perMM2 / sizeMM2
}

// WireOhms is the resistance of lengthM metres of such a cable.
func WireOhms(sizeMM2, lengthM float64) float64 {
	return CopperOhmsPerKM(sizeMM2) * lengthM / 1000
}

// AWGDiameterMM is the diameter of a solid wire of an American gauge, ASTM B258: 0.127 mm · 92^((36−n)/39).
func AWGDiameterMM(awg float64) float64 {
	return 0.127 * math.Pow(92, (36-awg)/39)
}

// AWGAreaMM2 is the cross-section that the diameter of ASTM B258 gives.
func AWGAreaMM2(awg float64) float64 {
	d := AWGDiameterMM(awg)
	return math.Pi / 4 * d * d
}

// FuseHolds is how many times its rating a blade fuse carries for good: at 1.35 times it opens within half an hour, at
// twice within seconds (ISO 8820-3, from memory).
const FuseHolds = 1.35

// FuseOhms is the cold resistance of a blade fuse, 0.07/rating (common practice; the published 10 A point is 7.7 mΩ).
func FuseOhms(amps float64) float64 {
	return 0.07 / amps
}
