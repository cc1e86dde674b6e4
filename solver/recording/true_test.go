package recording

import (
	"math"
	"testing"
)

// TestJumpsAreFoundExactly: 200 seeds, dropouts of ten times the noise and more, with drift. Every jump lies between the very
// samples where it was made, and the levels are right within the noise of their means.
func TestJumpsAreFoundExactly(t *testing.T) {
	whole := 0
	for seed := range uint64(200) {
		r := seeded(seed)
		m := made{samples: 1200, interval: 0.1, away: 5, there: 5 - 0.05*(10+40*r.Float64()), noise: 0.05, drift: 0.2, random: r}
		at := 5.0
		for at < 100 {
			from := at + 2 + 8*r.Float64()
			to := from + 0.4 + 4*r.Float64()
			m.faulty = append(m.faulty, [2]float64{from, to})
			at = to + 1
		}
		f := m.find()
		if len(f.Jumps) != 2*len(m.faulty) {
			continue
		}
		whole++
		for i, j := range f.Jumps {
			truth := m.faulty[i/2][i%2]
			if j.From > truth || j.To < truth-1e-9 {
				t.Errorf("seed %d: jump between %.1f and %.1f s, made at %.3f s", seed, j.From, j.To, truth)
			}
			if size := math.Abs(j.After - j.Before); math.Abs(size-math.Abs(m.there-m.away)) > 0.3 {
				t.Errorf("seed %d: jump of %.2f V, made of %.2f V", seed, size, m.there-m.away)
			}
		}
	}
	t.Logf("all jumps and no other in %d of 200", whole)
	if whole < 190 {
		t.Errorf("all jumps and no other in only %d of 200 recordings", whole)
	}
}

// TestSmallerJumps: in how many of 200 recordings a dropout of so many times the noise is found, by its length. The least of
// four times the noise is where a jump can be called, eight times is where nearly every one is.
func TestSmallerJumps(t *testing.T) {
	for _, c := range []struct {
		size, seconds float64
		least, most   int
	}{{3, 5, 0, 4}, {5, 5, 20, 200}, {6, 5, 90, 200}, {8, 5, 190, 200}, {6, 0.5, 60, 200}, {8, 0.5, 175, 200}, {10, 0.5, 195, 200}} {
		found := 0
		for seed := range uint64(200) {
			f := made{samples: 600, interval: 0.1, away: 5, there: 5 - c.size*0.05, noise: 0.05, faulty: [][2]float64{{20, 20 + c.seconds}}, random: seeded(seed)}.find()
			if len(f.Jumps) == 2 {
				found++
			}
		}
		t.Logf("%g times the noise for %g s: %d of 200", c.size, c.seconds, found)
		if found < c.least || found > c.most {
			t.Errorf("%g times the noise for %g s: found in %d of 200, want %d to %d", c.size, c.seconds, found, c.least, c.most)
		}
	}
}

// TestShortDropoutsAreLost: dropouts of 20 ms at ten samples a second show as a spike of one sample one time in five, as
// SeenChance says, and never as a jump.
func TestShortDropoutsAreLost(t *testing.T) {
	made20, seen, jumps := 0, 0, 0
	for seed := range uint64(200) {
		r := seeded(seed)
		m := made{samples: 1200, interval: 0.1, away: 5, there: 1, noise: 0.05, random: r}
		for at := 3 + r.Float64(); at < 115; at += 5 + 5*r.Float64() {
			m.faulty = append(m.faulty, [2]float64{at, at + 0.02})
			made20++
		}
		f := m.find()
		seen += f.SpikeCount
		jumps += len(f.Jumps)
	}
	share := float64(seen) / float64(made20)
	t.Logf("seen %d of %d, %.3f", seen, made20, share)
	if chance := SeenChance(0.02, 0.1); math.Abs(chance-0.2) > 1e-12 || math.Abs(share-chance) > 3*math.Sqrt(chance*(1-chance)/float64(made20)) {
		t.Errorf("seen %.3f of the dropouts, said %.3f", share, chance)
	}
	if jumps > 0 {
		t.Errorf("%d jumps", jumps)
	}
	if got := MissedAll(0.02, 0.1, 10); math.Abs(got-0.10737) > 1e-5 { // 0.8^10
		t.Errorf("ten missed with %.5f", got)
	}
}

// TestStates: levels that come again are one state each, however near to each other, the longest first.
func TestStates(t *testing.T) {
	m := made{samples: 2000, interval: 0.1, away: 5, there: 2, noise: 0.03, faulty: [][2]float64{{20, 30}, {60, 75}}, random: seeded(1),
		add: func(i int) float64 {
			if i >= 1500 && i < 1600 {
				return -1.5
			}
			if i >= 1800 && i < 1850 {
				return 0.4
			}
			return 0
		}}
	f := m.find()
	if len(f.States) != 4 {
		t.Fatalf("%d states: %+v", len(f.States), f.States)
	}
	for i, want := range []struct{ level, seconds float64 }{{5, 160}, {2, 25}, {3.5, 10}, {5.4, 5}} {
		if s := f.States[i]; math.Abs(s.Level-want.level) > 0.02 || math.Abs(s.Seconds-want.seconds) > 0.3 {
			t.Errorf("state %d: %.3f V for %.1f s, want %g V for %g s", i, s.Level, s.Seconds, want.level, want.seconds)
		}
	}
}

// TestGapHidesAJump: a value that is another after a gap did not jump at a known time.
func TestGapHidesAJump(t *testing.T) {
	f := NewFinder(0, 0)
	r := seeded(2)
	for i := range 1000 {
		at, v := float64(i)*0.1, 5+0.02*r.NormFloat64()
		switch {
		case i > 400 && i < 500:
			continue
		case i >= 500:
			v -= 3
		}
		if i == 700 {
			v = math.NaN()
		}
		f.Add(at, v)
	}
	got := f.Found()
	if len(got.Jumps) != 0 || len(got.Gaps) != 1 || got.Missing != 1 {
		t.Fatalf("%d jumps, gaps %v, %d missing", len(got.Jumps), got.Gaps, got.Missing)
	}
	if g := got.Gaps[0]; math.Abs(g.Before-5) > 0.01 || math.Abs(g.After-2) > 0.01 || math.Abs(g.From-40) > 1e-9 || math.Abs(g.To-50) > 1e-9 {
		t.Errorf("gap %+v", g)
	}
}

// TestWholeIsItsParts: all samples stand in some stretch or spike, in the order of time.
func TestWholeIsItsParts(t *testing.T) {
	for seed := range uint64(100) {
		r := seeded(seed)
		n := 1 + r.IntN(9000)
		f := NewFinder(0, 0)
		level, at := 0.0, 0.0
		for range n {
			if r.Float64() < 0.03 {
				level = 5 * r.NormFloat64()
			}
			if at += 0.1; r.Float64() < 0.001 {
				at += 20 * r.Float64()
			}
			f.Add(at, level+0.01*r.NormFloat64())
		}
		got := f.Found()
		sum, last := int64(0), math.Inf(-1)
		for _, s := range got.Stretches {
			if s.Samples += 0; s.From <= last || s.To < s.From {
				t.Fatalf("seed %d: stretch %g to %g after %g", seed, s.From, s.To, last)
			}
			sum, last = sum+s.Samples, s.To
		}
		for _, s := range got.Spikes {
			sum += s.Samples
		}
		if sum != int64(n) {
			t.Fatalf("seed %d: %d samples in stretches and spikes, %d taken", seed, sum, n)
		}
	}
}

// FuzzFinder: whatever the values, it ends, keeps order and invents no sample.
func FuzzFinder(f *testing.F) {
	f.Add([]byte{1, 2, 3, 200, 201, 1, 1, 1, 90, 5, 5, 5, 255, 255})
	f.Fuzz(func(t *testing.T, data []byte) {
		x := NewFinder(float64(len(data)%3), 0)
		at, n := 0.0, int64(0)
		for i, b := range data {
			v := math.Pow(float64(b)-128, float64(i%4))
			if b == 255 {
				v = math.NaN()
			} else {
				n++
			}
			at += float64(b % 8)
			x.Add(at, v)
		}
		got := x.Found()
		sum := int64(0)
		for _, s := range got.Stretches {
			sum += s.Samples
		}
		for _, s := range got.Spikes {
			sum += s.Samples
		}
		if sum != n {
			t.Errorf("%d samples found, %d taken", sum, n)
		}
	})
}
