package plan

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// repairMinutes is what putting a candidate's place right and checking it takes in a job.
func repairMinutes(j *circuits.Job, k *rank.Candidate) float64 {
	minutes := hypothesis.RepairMinutes(j.Circuit, k.Whole())
	if j.Intermittent {
		minutes += hypothesis.CheckComesBack
	}
	return minutes
}

// repairCost is the expected minutes of repairing place after place, for weights by place.
func (x placeIndex) repairCost(weights map[int]float64) float64 {
	var p, m []float64
	for _, place := range sortedGroups(weights) {
		p, m = append(p, weights[place]), append(m, x.minutes[place])
	}
	_, expected := hypothesis.RepairOrder(p, m)
	return expected
}

// saves is how many minutes of repairing the wrong places a reading is expected to save.
func (x placeIndex) saves(rays []evidence.Ray, bands []OutcomeBand) float64 {
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
