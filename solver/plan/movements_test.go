package plan

import (
	"math"
	"strings"
	"testing"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/internal/given"
	"ohmtrail/solver/rank"
)

// With a symptom that comes and goes the plan moves the harness, and says to what the value would jump.
func TestPlanMovesTheHarness(t *testing.T) {
	r := rank.Rank(given.Job(t, given.CoolantAway+given.Scans("scan_volts = [3.57, 4.995]\nwiggle = \"C101\"")))
	plan := Next(&r)
	if len(plan.Suggestions) == 0 || plan.Suggestions[0].Reading.Wiggle != "C101" {
		t.Fatalf("%d suggestions, first of %+v; want C101 moved again", len(plan.Suggestions), plan.Suggestions[0].Reading)
	}
	best := plan.Suggestions[0]
	sum, stays, values := 0.0, 0.0, 0
	for _, b := range best.Outcomes {
		sum += b.Probability
		if b.Discrete == evidence.RayStays {
			stays += b.Probability
		}
		if b.Discrete == 0 {
			values++
		}
	}
	if math.Abs(sum-1) > 1e-9 || stays < 0.3 || stays > 0.7 || values < 2 {
		t.Errorf("outcomes %+v: want the chance that it stays near 0.4 and two values that it may jump to", best.Outcomes)
	}
	steady := rank.Rank(given.Job(t, strings.Replace(given.CoolantAway, "true", "false", 1)+given.Scans("scan_volts = 4.995")))
	for _, s := range Next(&steady).Suggestions {
		if s.Reading.Wiggle != "" {
			t.Errorf("the symptom stays, and %s is to be moved", s.Reading.Wiggle)
		}
	}
}

// One look at an open circuit that comes and goes leaves a dozen joints alike. That a repair was the wrong one is only seen
// after half an hour, so a reading saves several times the minutes that it takes: without that half hour 1.2 to 1.4 times.
func TestOneLookIsNotEnoughToTryRepairs(t *testing.T) {
	for _, codes := range []string{"", "codes = [\"P0118\"]\n"} {
		r := rank.Rank(given.Job(t, codes+given.CoolantAway+given.Scans("scan_volts = 4.995\nsymptom = \"there\"")))
		plan := Next(&r)
		best := 0.0
		for _, s := range plan.Suggestions {
			best = max(best, s.Saves/s.Minutes)
		}
		if plan.Done || best < 3 {
			t.Errorf("%sdone %v (standing %d), the best reading saves %.1f times its minutes, want 3 or more", codes, plan.Done, plan.Standing, best)
		}
	}
}
