package recording

import (
	"math"
	"testing"
)

// A level may last longer than the samples at hand: the jump to it and its level are the same for all that.
func TestLevelsLongerThanTheSamplesAtHand(t *testing.T) {
	for _, long := range []int{ringSize / 2, ringSize + 500, 3*ringSize + 7} {
		m := made{samples: long + 900, interval: 0.001, away: 2.7, there: 0, noise: 0.01, random: seeded(3)}
		m.faulty = [][2]float64{{0, 0.3}, {float64(long+300) / 1000, float64(long+600) / 1000}}
		f := m.find()
		if len(f.Jumps) != 3 || len(f.States) != 2 || math.Abs(f.States[0].Level-2.7) > 0.005 || math.Abs(f.States[1].Level) > 0.005 {
			t.Errorf("a level of %d samples between others: %d jumps, states %+v", long, len(f.Jumps), f.States)
			continue
		}
		if at := f.Jumps[0].At(); math.Abs(at-0.3) > 0.002 {
			t.Errorf("a level of %d samples: the first jump is put at %.3f s, not 0.3 s", long, at)
		}
	}
}

// A spike is taken out of the level that it interrupts, not out of the one before.
func TestSpikeBelongsToItsLevel(t *testing.T) {
	m := made{samples: 600, interval: 0.1, away: 2.7, there: 0, noise: 0.01, random: seeded(4), faulty: [][2]float64{{10, 16}},
		add: func(i int) float64 {
			if i == 130 {
				return 5
			}
			return 0
		}}
	f := m.find()
	if len(f.Jumps) != 2 || f.SpikeCount != 1 || len(f.Stretches) != 3 {
		t.Fatalf("%d jumps and %d spikes, want 2 and 1", len(f.Jumps), f.SpikeCount)
	}
	for i, want := range []float64{2.7, 0, 2.7} {
		if s := f.Stretches[i]; math.Abs(s.Level-want) > 0.01 {
			t.Errorf("stretch %d has the level %.3f, want %.1f", i+1, s.Level, want)
		}
	}
}
