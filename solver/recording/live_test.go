package recording

import (
	"math"
	"testing"
)

// TestLiveRun: the formula against published average run lengths of a one-sided sum, here halved for two sides: k = 0.5 with
// h = 4 and 5 runs 336 and 930 samples one-sided, 168 and 465 two-sided (Montgomery, Introduction to Statistical Quality Control,
// after Hawkins; from memory). The approximation is good to a few per cent.
func TestLiveRun(t *testing.T) {
	for _, c := range []struct{ h, run float64 }{{4, 168}, {5, 465}} {
		if got := liveRun(0.5, c.h); math.Abs(got-c.run) > 0.03*c.run {
			t.Errorf("h = %g: %.0f samples, published %g", c.h, got, c.run)
		}
	}
	if got := liveRun(liveAllowance, liveLimit); math.Abs(got-59e6) > 1e6 {
		t.Errorf("ours runs %.3g samples, said 59 million", got)
	}
}

// TestLiveSounds: a change of six standard deviations sounds within two samples, and drift does not sound.
func TestLiveSounds(t *testing.T) {
	late, alarms := 0, 0
	const runs = 300
	for seed := range uint64(runs) {
		r := seeded(seed)
		l := NewLive(0, 0)
		for i := range 1000 {
			v := 5 + 0.05*r.NormFloat64() + 0.0005*float64(i)
			if _, ok := l.Add(v); ok {
				alarms++
			}
		}
		heard := -1
		for i := range 10 {
			if _, ok := l.Add(5.5 - 0.6 + 0.05*r.NormFloat64()); ok && heard < 0 {
				heard = i
			}
		}
		if heard < 0 || heard > 1 {
			late++
		}
	}
	t.Logf("%d false in %d samples, %d late of %d", alarms, runs*1000, late, runs)
	if alarms > 1 || late > 0 {
		t.Errorf("%d false alarms in %d samples, %d of %d jumps late", alarms, runs*1000, late, runs)
	}
}

// TestLiveGoesOn: after a jump the new level is taken, so that the way back sounds too, once each.
func TestLiveGoesOn(t *testing.T) {
	for seed := range uint64(200) {
		r := seeded(seed)
		l := NewLive(0, 0)
		var heard []int
		for i := range 400 {
			v := 5 + 0.03*r.NormFloat64()
			if i/50%2 == 1 {
				v -= 3
			}
			if _, ok := l.Add(v); ok {
				heard = append(heard, i)
			}
		}
		want := []int{50, 100, 150, 200, 250, 300, 350}
		if len(heard) != len(want) {
			t.Fatalf("seed %d: heard at %v, want %v", seed, heard, want)
		}
		for i := range want {
			if heard[i] != want[i] {
				t.Fatalf("seed %d: heard at %v, want %v", seed, heard, want)
			}
		}
	}
}

// liveRun is the average number of samples of normal noise to a false alarm of a two-sided sum with that allowance and
// limit: Siegmund's approximation, half that of one side.
func liveRun(allowance, limit float64) float64 {
	b := limit + 1.166
	return (math.Exp(2*allowance*b) - 2*allowance*b - 1) / (2 * allowance * allowance) / 2
}
