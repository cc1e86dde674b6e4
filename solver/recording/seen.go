package recording

import "math"

// SeenChance is the chance that a dropout of that many seconds is seen at all when a value is recorded once in every
// interval: it must be there at the moment of a sample.
func SeenChance(seconds, interval float64) float64 {
	if interval <= 0 {
		return 1
	}
	return min(seconds/interval, 1)
}

// MissedAll is the chance that of so many dropouts none is seen.
func MissedAll(seconds, interval float64, dropouts int) float64 {
	return math.Pow(1-SeenChance(seconds, interval), float64(dropouts))
}
