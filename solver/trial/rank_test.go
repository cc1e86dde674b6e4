package trial

import (
	"math"
	"runtime"
	"testing"

	"ohmtrail/circuits/library"
	"ohmtrail/solver/internal/given"
	"ohmtrail/solver/rank"
)

// safeCircuits are the library's circuits on which anything but the scan tool may be used.
func safeCircuits(t *testing.T) []string {
	t.Helper()
	var out []string
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		if !c.Pyrotechnic {
			out = append(out, name)
		}
	}
	return out
}

// Hidden faults on every circuit of the library, three to five random readings of each: where the readings show the fault
// at all, it is in the leading group; and a group that is called 80 % or more is right.
func TestHiddenFaultsAreNamed(t *testing.T) {
	var s score
	names := safeCircuits(t)
	for readings := 3; readings <= 5; readings++ {
		for _, b := range blindJobs(names, 2, readings, 0, uint64(readings)) {
			r := rank.Rank(b.job)
			first, shown := s.first, s.shown
			s.judgeBlind(b, r)
			if s.shown > shown && s.first == first {
				t.Logf("%s: %s is not in the leading group (%.2f %s)", b.circuit, b.truth, r.Groups[0].Probability, r.Groups[0].Faults[0].Name())
			}
		}
	}
	t.Logf("of %d: shown %d, first %d (%.1f %%); called 80 %% or more: %d, right %d (%.1f %%)", s.jobs, s.shown, s.first, 100*float64(s.first)/float64(s.shown),
		s.sure, s.sureRight, 100*float64(s.sureRight)/float64(s.sure))
	if s.shown < 60 || float64(s.first) < 0.93*float64(s.shown) {
		t.Errorf("the truth is in the leading group in %d of the %d jobs whose readings show it, want 93 %% of at least 60", s.first, s.shown)
	}
	if s.sure < 100 || float64(s.sureRight) < 0.8*float64(s.sure) {
		t.Errorf("of %d groups called 80 %% or more %d are right, want 80 %% of at least 100", s.sure, s.sureRight)
	}
}

// Whatever the readings, probabilities are probabilities: of groups, of candidates and of places they sum to 1, and a group
// is the sum of its faults.
func TestProbabilitiesSumToOne(t *testing.T) {
	for _, b := range blindJobs([]string{"coolant-temperature", "throttle-potentiometer", "squib", "oxygen-sensor-biased"}, 2, 4, 0.1, 6) {
		r := rank.Rank(b.job)
		groups, candidates, places := 0.0, 0.0, 0.0
		for _, g := range r.Groups {
			sum := 0.0
			for _, c := range g.Faults {
				sum += c.Probability
				if !(c.Probability >= 0 && c.Probability <= 1+1e-12) {
					t.Errorf("%s: %s has probability %g", b.circuit, c.Name(), c.Probability)
				}
			}
			given.About(t, b.circuit+": a group against its faults", sum, g.Probability, 1e-9)
			groups += g.Probability
		}
		for _, c := range r.Candidates {
			candidates += c.Probability
		}
		for _, p := range r.Places() {
			places += p.Probability
		}
		given.About(t, b.circuit+": groups", groups, 1, 1e-9)
		given.About(t, b.circuit+": candidates", candidates, 1, 1e-9)
		given.About(t, b.circuit+": places", places, 1, 1e-9)
	}
}

// Same readings, same bytes: however many processors share the work.
func TestRankIsTheSameEveryTime(t *testing.T) {
	for _, b := range blindJobs([]string{"throttle-potentiometer", "pedal-two-track"}, 2, 5, 0.1, 2) {
		want := rank.Rank(b.job)
		for _, processors := range []int{1, 2, 4} {
			before := runtime.GOMAXPROCS(processors)
			got := rank.Rank(b.job)
			runtime.GOMAXPROCS(before)
			if len(got.Candidates) != len(want.Candidates) {
				t.Fatalf("%s: %d candidates on %d processors, %d before", b.circuit, len(got.Candidates), processors, len(want.Candidates))
			}
			for i := range want.Candidates {
				a, z := want.Candidates[i], got.Candidates[i]
				if a.Name() != z.Name() || math.Float64bits(a.Probability) != math.Float64bits(z.Probability) {
					t.Errorf("%s on %d processors: %s %v, before %s %v", b.circuit, processors, z.Name(), z.Probability, a.Name(), a.Probability)
				}
			}
		}
	}
}
