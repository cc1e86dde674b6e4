package plan

import "math"

// LooksFor is how many independent looks catch a fault that is there for a share of the time (duty) at least once with
// the given chance: ln(1 − chance)/ln(1 − duty).
func LooksFor(duty, chance float64) int {
	return int(math.Ceil(math.Log(1-chance)/math.Log(1-duty) - 1e-9))
}
