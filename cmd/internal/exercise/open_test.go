package exercise

import (
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// A fault in the leading group whose place the plan gives next to nothing is not proved: a student who follows the plan
// replaces a good part and is told that all had been decided.
func TestHardlyLeftOpenIsNotProved(t *testing.T) {
	c := mustParse(t, request(t, "relay-coil", 1, 1))
	f, err := circuits.ParseFault("short-to-voltage PCM:A5>SD")
	if err == nil {
		f, err = c.ResolveFault(f)
	}
	if err != nil {
		t.Fatal(err)
	}
	place := hypothesis.PlaceOf(f)
	for share, want := range map[float64]bool{0.3: true, 0.005: false} {
		end := outlook{Plan: plan.Plan{Done: true, Remaining: []rank.PlaceOdds{{Place: hypothesis.Place{First: hypothesis.Spot{At: circuits.PointLocation(circuits.Point{Place: "DS"})}}, Probability: 1 - share}, {Place: place, Probability: share}}}, group: []circuits.Fault{f}}
		if got := end.names([]circuits.Single{f.First}); got[0] != want {
			t.Errorf("with %g left at %s it counts as named: %v", share, place, got[0])
		}
	}
}
