package hypothesis

import (
	"sort"

	"ohmtrail/circuits"
)

// Minutes that a repair and its check take beyond reaching the place (ours; parts in stock, no programming).
const (
	repairJoint    = 8
	repairPart     = 12
	repairModule   = 40
	checkNothing   = 3
	repairUnlisted = 60
	// CheckComesBack is what it takes on top to see that a symptom that comes and goes is gone: as long as one tries to
	// reproduce it (half an hour; common practice, no source).
	CheckComesBack = 30
)

// RepairMinutes is what putting a fault right and checking it takes, the way there included.
func RepairMinutes(c *circuits.Circuit, f circuits.Fault) float64 {
	one := func(s circuits.Single) float64 {
		switch s.Kind {
		case circuits.Healthy:
			return checkNothing
		case circuits.Unlisted:
			return repairUnlisted
		case circuits.ModuleInside:
			return repairModule + c.AccessMin(s.At.From.Place)
		case circuits.DeviceInside:
			return repairPart + c.AccessMin(s.At.From.Place)
		}
		access := c.AccessMin(s.At.From.Place)
		if s.At.IsWire() {
			access = min(access, c.AccessMin(s.At.To.Place))
		}
		return repairJoint + access
	}
	total := one(f.First)
	if f.IsDouble() {
		total += one(f.Second)
	}
	return total
}

// RepairOrder is the order in which to try repairs so that the expected minutes until the right one are least, and those
// minutes: by probability over cost (Kadane and Simon 1977). Probabilities need not sum to 1.
func RepairOrder(probability, minutes []float64) (order []int, expected float64) {
	for i := range probability {
		order = append(order, i)
	}
	sort.SliceStable(order, func(a, b int) bool {
		return probability[order[a]]*minutes[order[b]] > probability[order[b]]*minutes[order[a]]
	})
	total, spent := 0.0, 0.0
	for _, p := range probability {
		total += p
	}
	for _, i := range order {
		spent += minutes[i]
		expected += probability[i] / total * spent
	}
	return order, expected
}
