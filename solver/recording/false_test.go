package recording

import (
	"math"
	"math/rand/v2"
	"testing"
)

// falseAlarms is the stated rate: of recordings of noise and drift alone fewer than one in 500 shows a jump.
const falseAlarms = 1.0 / 500

// TestNoJumpInNoiseAndDrift: 1 % noise, a drift of ten times the noise and a slow swing of six times, in recordings of all
// lengths, 300 seeds each.
func TestNoJumpInNoiseAndDrift(t *testing.T) {
	runs, alarms, spikes := 0, 0, 0
	for _, samples := range []int{20, 40, 100, 300, 1000, 5000} {
		for seed := range uint64(300) {
			f := made{samples: samples, interval: 0.1, away: 5, noise: 0.05, drift: 0.5, swing: 0.3, random: seeded(seed)}.find()
			runs++
			if len(f.Jumps) > 0 {
				alarms++
			}
			spikes += f.SpikeCount
		}
	}
	t.Logf("%d of %d recordings show a jump, %d spikes in all", alarms, runs, spikes)
	if float64(alarms) > falseAlarms*float64(runs) || spikes > 0 {
		t.Errorf("%d of %d recordings show a jump, more than the stated rate; %d spikes", alarms, runs, spikes)
	}
}

// TestTwoLevelsTwoPercentApart: with 1 % noise that is less than the least jump of four times the noise, and is called one no
// more often than the stated rate.
func TestTwoLevelsTwoPercentApart(t *testing.T) {
	runs, alarms := 0, 0
	for _, samples := range []int{100, 1000, 5000} {
		for seed := range uint64(200) {
			turn := float64(samples) * 0.05
			f := made{samples: samples, interval: 0.1, away: 5, there: 5.1, noise: 0.05, faulty: [][2]float64{{turn, 2 * turn}}, random: seeded(seed)}.find()
			runs++
			if len(f.Jumps) > 0 {
				alarms++
			}
		}
	}
	t.Logf("%d of %d", alarms, runs)
	if float64(alarms) > falseAlarms*float64(runs) {
		t.Errorf("two levels 2 %% apart are called a jump in %d of %d recordings", alarms, runs)
	}
}

// odd are recordings without a jump whose noise is not the plain one. The last number is how many of 200 may show a jump: none,
// but for tails so heavy that single samples lie ten standard deviations off (nine were measured).
var odd = []struct {
	name string
	make func(r *rand.Rand, n int) []float64
	step float64
	most int
}{
	{"noise that hangs together", func(r *rand.Rand, n int) (v []float64) {
		x := 0.0
		for range n {
			x = 0.9*x + 0.02*r.NormFloat64()
			v = append(v, 5+x)
		}
		return v
	}, 0, 0},
	{"mains hum", func(r *rand.Rand, n int) (v []float64) {
		for i := range n {
			v = append(v, 5+0.1*math.Sin(2*math.Pi*float64(i)/20)+0.01*r.NormFloat64())
		}
		return v
	}, 0, 0},
	{"ten times the noise for a while", func(r *rand.Rand, n int) (v []float64) {
		for i := range n {
			sd := 0.01
			if i > n/3 && i < n/2 {
				sd = 0.1
			}
			v = append(v, 5+sd*r.NormFloat64())
		}
		return v
	}, 0, 0},
	{"a sensor that is moved", func(r *rand.Rand, n int) (v []float64) {
		x, slope := 3.0, 0.0
		for i := range n {
			if i%100 == 0 {
				slope = 0.05 * float64(r.IntN(7)-3) / 3
			}
			x += slope
			v = append(v, x+0.01*r.NormFloat64())
		}
		return v
	}, 0, 0},
	{"a sensor that is moved, without noise", func(r *rand.Rand, n int) (v []float64) {
		x, slope := 3.0, 0.0
		for i := range n {
			if i%100 == 0 {
				slope = 0.05 * float64(r.IntN(7)-3) / 3
			}
			x += slope
			v = append(v, x)
		}
		return v
	}, 0, 0},
	{"steps of a converter", func(r *rand.Rand, n int) (v []float64) {
		const step = 5.0 / 1023
		for range n {
			v = append(v, step*math.Round((2.7+0.003*r.NormFloat64())/step))
		}
		return v
	}, 5.0 / 1023, 0},
	{"a value renewed every fifth sample", func(r *rand.Rand, n int) (v []float64) {
		x := 0.0
		for i := range n {
			if i%5 == 0 {
				x = 0.05 * r.NormFloat64()
			}
			v = append(v, 5+x)
		}
		return v
	}, 0, 0},
	{"a random walk", func(r *rand.Rand, n int) (v []float64) {
		x := 5.0
		for range n {
			x += 0.05 * r.NormFloat64()
			v = append(v, x)
		}
		return v
	}, 0, 0},
	{"a constant", func(_ *rand.Rand, n int) []float64 { return make([]float64, n) }, 0, 0},
	{"heavy tails", func(r *rand.Rand, n int) (v []float64) { // Student's t with three degrees of freedom
		for range n {
			sum := 0.0
			for range 3 {
				g := r.NormFloat64()
				sum += g * g
			}
			v = append(v, 5+0.02*r.NormFloat64()/math.Sqrt(sum/3))
		}
		return v
	}, 0, 16},
}

func TestNoJumpInOddNoise(t *testing.T) {
	for _, o := range odd {
		alarms := 0
		for seed := range uint64(200) {
			values := o.make(seeded(seed), 3000)
			if f := findIn(evenly(len(values), 0.1), values, o.step, 0); len(f.Jumps) > 0 {
				alarms++
			}
		}
		t.Logf("%s: %d of 200", o.name, alarms)
		if alarms > o.most {
			t.Errorf("%s: %d of 200 recordings show a jump", o.name, alarms)
		}
	}
}

// TestNoJumpInRuns: a value that runs up and down between two levels, at all slopes from a tenth of the noise a sample to ten
// times, is no jump, neither within nor at the ends of a run.
func TestNoJumpInRuns(t *testing.T) {
	runs, alarms := 0, 0
	for slope := 0.1; slope < 10; slope *= 1.3 {
		for seed := range uint64(30) {
			r := seeded(seed)
			var values []float64
			v := 3.0
			for i := range 3000 {
				if i%300 > 200 {
					v += 0.01 * slope * float64(1-2*((i/300)%2))
				}
				values = append(values, v+0.01*r.NormFloat64())
			}
			runs++
			if f := findIn(evenly(len(values), 0.1), values, 0, 0); len(f.Jumps) > 0 {
				alarms++
				t.Logf("%.2f times the noise a sample, seed %d: jump at %.1f s", slope, seed, f.Jumps[0].At())
			}
		}
	}
	if float64(alarms) > falseAlarms*float64(runs) {
		t.Errorf("%d of %d recordings show a jump", alarms, runs)
	}
}

func evenly(n int, interval float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i) * interval
	}
	return out
}
