package plan

import "math"

// LooksFor is how many independent looks catch a fault that is there for a share of the time (duty) at least once with
// the given chance: ln(1 − chance)/ln(1 − duty).
func LooksFor(duty, chance float64) int {
	return int(math.Ceil(math.Log(1-chance)/math.Log(1-duty) - 1e-9))
}

// CleanLooks is the belief in a place after n looks at which an intermittent fault of that duty was not seen: each look
// multiplies the odds by (1 − duty) and never makes them nothing.
func CleanLooks(belief, duty float64, n int) float64 {
	odds := belief / (1 - belief) * math.Pow(1-duty, float64(n))
	return odds / (1 + odds)
}
