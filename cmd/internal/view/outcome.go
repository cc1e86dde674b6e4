package view

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/plan"
)

// OutcomeRange says an outcome's range on paper: "about 5.00 V", "0.1 to 2.3 V", "OL".
func OutcomeRange(q circuits.Quantity, b plan.OutcomeBand) string {
	switch b.Discrete {
	case evidence.RayOL:
		return "OL"
	case evidence.RayNone:
		return "no value"
	case evidence.RayLow:
		return lowestReported
	case evidence.RayHigh:
		return highestReported
	case evidence.RayJumps:
		return "it jumps"
	case evidence.RayStays:
		return "it stays"
	}
	low, high := b.Low, b.High
	show := func(v float64) string { return models.SI(v, q.Unit()) }
	switch q {
	case circuits.Ohms:
		low, high = math.Exp(low), math.Exp(high)
		if high < 1 {
			return "next to nothing, below " + show(high)
		}
	case circuits.Volts, circuits.ScanVolts:
		show = models.Volts
	}
	if q == circuits.Ohms && high < 1.15*low || q != circuits.Ohms && high-low < 0.3 {
		middle := (low + high) / 2
		if q != circuits.Ohms && math.Abs(middle) < 0.02 {
			return "about 0 " + q.Unit()
		}
		return "about " + show(middle)
	}
	return show(low) + " to " + show(high)
}

// The ends of what a module reports of a pin.
const (
	lowestReported  = "the lowest the module reports"
	highestReported = "the highest the module reports"
)
