package plan

import (
	"fmt"
	"math"
	"testing"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/internal/given"
)

// chooser says after how many of the places that remain to probe; weights are theirs.
type chooser func(weights []float64) int

// meanProbes is how many yes/no probes find one fault on a chain, on the average over where it is.
func meanProbes(weights []float64, choose chooser) float64 {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	if len(weights) < 2 {
		return 0
	}
	k := choose(weights)
	left := 0.0
	for _, w := range weights[:k] {
		left += w
	}
	return 1 + left/total*meanProbes(weights[:k], choose) + (total-left)/total*meanProbes(weights[k:], choose)
}

// byGain is the planner: the probe of greatest gain.
func byGain(weights []float64) int {
	var probes [][]evidence.Ray
	for k := 1; k < len(weights); k++ {
		var rays []evidence.Ray
		for i, w := range weights {
			side := 1
			if i >= k {
				side = 2
			}
			rays = append(rays, evidence.Ray{Group: i, Weight: w, Discrete: side})
		}
		probes = append(probes, rays)
	}
	best, _ := bestProbe(probes)
	return best + 1
}

func halfByCount(weights []float64) int { return len(weights) / 2 }

func endToEnd([]float64) int { return 1 }

// optimum is the least mean number of probes, by dynamic programming over all stretches.
func optimum(weights []float64) float64 {
	n := len(weights)
	sum := make([]float64, n+1)
	for i, w := range weights {
		sum[i+1] = sum[i] + w
	}
	cost := map[[2]int]float64{}
	for size := 2; size <= n; size++ {
		for a := 0; a+size <= n; a++ {
			least := math.Inf(1)
			for k := a + 1; k < a+size; k++ {
				least = min(least, cost[[2]int{a, k}]+cost[[2]int{k, a + size}])
			}
			cost[[2]int{a, a + size}] = least + sum[a+size] - sum[a]
		}
	}
	return cost[[2]int{0, n}] / sum[n]
}

// atRandom is the mean number of probes when each is any of those that tell something.
func atRandom(weights []float64) float64 {
	n := len(weights)
	sum := make([]float64, n+1)
	for i, w := range weights {
		sum[i+1] = sum[i] + w
	}
	cost := map[[2]int]float64{}
	for size := 2; size <= n; size++ {
		for a := 0; a+size <= n; a++ {
			mean := 0.0
			for k := a + 1; k < a+size; k++ {
				mean += (cost[[2]int{a, k}] + cost[[2]int{k, a + size}]) / float64(size-1)
			}
			cost[[2]int{a, a + size}] = mean + sum[a+size] - sum[a]
		}
	}
	return cost[[2]int{0, n}] / sum[n]
}

// One fault on a chain: mean probes by a planner that takes the greatest gain each time, against the printed optimum and
// the other orders.
func TestChainOfPlaces(t *testing.T) {
	prior := func(n int, of func(i int) float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = of(i)
		}
		return out
	}
	even := func(int) float64 { return 1 }
	none := math.NaN()
	for _, c := range []struct {
		name                                         string
		weights                                      []float64
		optimum, greedy, half, random, endToEndMeans float64
	}{
		{"even 8", prior(8, even), 3.000, 3.000, 3.000, 3.436, 4.375},
		{"even 10", prior(10, even), 3.400, 3.400, 3.400, 3.858, 5.400},
		{"even 16", prior(16, even), 4.000, 4.000, 4.000, 4.761, 8.438},
		{"½, ¼, … 12", prior(12, func(i int) float64 { return math.Pow(0.5, float64(i+1)) }), 1.997, 1.997, 3.429, none, none},
		{"Zipf 16", prior(16, func(i int) float64 { return 1 / float64(i+1) }), 3.433, 3.433, 4.000, 4.368, none},
	} {
		for _, x := range []struct {
			what      string
			got, want float64
		}{
			{"optimum", optimum(c.weights), c.optimum}, {"greatest gain each time", meanProbes(c.weights, byGain), c.greedy},
			{"half by count", meanProbes(c.weights, halfByCount), c.half}, {"at random", atRandom(c.weights), c.random},
			{"end to end", meanProbes(c.weights, endToEnd), c.endToEndMeans},
		} {
			if !math.IsNaN(x.want) {
				given.About(t, c.name+": "+x.what, x.got, x.want, 0.000501) // 8.4375 is printed as 8.438
			}
		}
	}
}

// Repair order, Kadane and Simon: by probability over cost. The best of all 24 orders, and the worth of a perfect test of
// the first fault through the same reckoning that next uses.
func TestRepairOrder(t *testing.T) {
	p, minutes := []float64{0.40, 0.30, 0.20, 0.10}, []float64{10, 3, 1, 2}
	order, expected := hypothesis.RepairOrder(p, minutes)
	if fmt.Sprint(order) != "[2 1 3 0]" {
		t.Errorf("order %v, want the third, second, fourth and first", order)
	}
	given.About(t, "expected minutes", expected, 8.40, 1e-9)
	cost := func(order []int) float64 {
		sum, spent := 0.0, 0.0
		for _, i := range order {
			spent += minutes[i]
			sum += p[i] * spent
		}
		return sum
	}
	given.About(t, "in the order given", cost([]int{0, 1, 2, 3}), 12.30, 1e-9)
	tried := 0
	for a := range 4 {
		for b := range 4 {
			for c := range 4 {
				d := 6 - a - b - c
				if a == b || a == c || b == c {
					continue
				}
				tried++
				if x := cost([]int{a, b, c, d}); x < expected-1e-12 {
					t.Errorf("order %v costs %g, less than %g", []int{a, b, c, d}, x, expected)
				}
			}
		}
	}
	if tried != 24 {
		t.Errorf("%d orders tried, want 24", tried)
	}
	x := placeIndex{minutes: minutes}
	var rays []evidence.Ray
	for i := range p {
		rays = append(rays, evidence.Ray{Group: i, Weight: p[i]})
	}
	test := []OutcomeBand{{Probability: p[0], repair: map[int]float64{0: p[0]}}, {Probability: 1 - p[0], repair: map[int]float64{1: p[1], 2: p[2], 3: p[3]}}}
	given.About(t, "a perfect test of the first saves", x.saves(rays, test), 2.40, 1e-9)
	blind := []OutcomeBand{{Probability: 1, repair: map[int]float64{0: p[0], 1: p[1], 2: p[2], 3: p[3]}}}
	given.About(t, "a test that tells nothing saves", x.saves(rays, blind), 0, 1e-9)
}

// Intermittents: looks for a 95 % chance of one catch.
func TestIntermittentLooks(t *testing.T) {
	for _, c := range []struct {
		duty  float64
		looks int
	}{{0.01, 299}, {0.05, 59}, {0.20, 14}, {0.50, 5}} {
		if got := LooksFor(c.duty, 0.95); got != c.looks {
			t.Errorf("duty %g: %d looks, want %d", c.duty, got, c.looks)
		}
		// That many looks do, and one fewer does not.
		if math.Pow(1-c.duty, float64(c.looks)) > 0.05 || math.Pow(1-c.duty, float64(c.looks-1)) <= 0.05 {
			t.Errorf("duty %g: %d looks are not the least that catch it in 95 of 100", c.duty, c.looks)
		}
	}
}
