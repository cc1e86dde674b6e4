package reason

import (
	"sort"
	"strings"

	"ohmtrail/circuits"
)

// Minutes that a repair and its check take beyond reaching the place (ours; parts in stock, no programming).
const (
	repairJoint    = 8
	repairPart     = 12
	repairModule   = 40
	checkNothing   = 3
	repairUnlisted = 60
	// checkComesBack is what it takes on top to see that a symptom that comes and goes is gone: as long as one tries to
	// reproduce it (half an hour; common practice, no source).
	checkComesBack = 30
)

// repairMinutes is what putting a candidate's place right and checking it takes in a job.
func repairMinutes(j *circuits.Job, k *Candidate) float64 {
	minutes := RepairMinutes(j.Circuit, k.full)
	if j.Intermittent {
		minutes += checkComesBack
	}
	return minutes
}

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

// repairCost is the expected minutes of repairing place after place, for weights by place.
func (x placeIndex) repairCost(weights map[int]float64) float64 {
	var p, m []float64
	for _, place := range sortedGroups(weights) {
		p, m = append(p, weights[place]), append(m, x.minutes[place])
	}
	_, expected := RepairOrder(p, m)
	return expected
}

// saves is how many minutes of repairing the wrong places a reading is expected to save.
func (x placeIndex) saves(rays []Ray, bands []OutcomeBand) float64 {
	now := map[int]float64{}
	total := 0.0
	for _, r := range rays {
		now[r.Group] += r.Weight
		total += r.Weight
	}
	after := 0.0
	for _, b := range bands {
		after += b.Probability * x.repairCost(b.repair)
	}
	return x.repairCost(now) - after
}

// isPlace tells whether a place's name is something to repair.
func isPlace(name string) bool {
	return name != "unlisted" && !strings.HasPrefix(name, "nothing")
}
