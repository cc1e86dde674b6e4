package exercise

import (
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"sort"
	"strings"
	"sync"
	"testing"
)

// rankCorrelation is Spearman's, ties at their mean rank.
func rankCorrelation(a, b []float64) float64 {
	x, y := ranks(a), ranks(b)
	mean := float64(len(a)+1) / 2
	var xy, xx, yy float64
	for i := range x {
		xy += (x[i] - mean) * (y[i] - mean)
		xx += (x[i] - mean) * (x[i] - mean)
		yy += (y[i] - mean) * (y[i] - mean)
	}
	return xy / math.Sqrt(xx*yy)
}

func ranks(v []float64) []float64 {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return v[order[a]] < v[order[b]] })
	out := make([]float64, len(v))
	for i := 0; i < len(order); {
		k := i
		for k < len(order) && v[order[k]] == v[order[i]] {
			k++
		}
		for _, o := range order[i:k] {
			out[o] = float64(i+k+1) / 2
		}
		i = k
	}
	return out
}

func TestRankCorrelation(t *testing.T) {
	for _, c := range []struct {
		a, b []float64
		want float64
	}{
		{[]float64{1, 2, 3, 4}, []float64{2, 4, 8, 16}, 1},
		{[]float64{1, 2, 3, 4}, []float64{4, 3, 2, 1}, -1},
		// Ranks 1 2 3 4 and 1 2.5 2.5 4: 1 - 6 Σd²/(n(n²-1)) corrected for the tie, by hand 4.5/√(5·4.5).
		{[]float64{1, 2, 3, 4}, []float64{1, 5, 5, 9}, 4.5 / math.Sqrt(5*4.5)},
	} {
		if got := rankCorrelation(c.a, c.b); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%v and %v: %g, want %g", c.a, c.b, got, c.want)
		}
	}
}

// graded are machines of some circuits as they come, of any level, with the planner's way and that of half-split.
func graded(t *testing.T, names []string, each int) []*Exercise {
	t.Helper()
	var out []*Exercise
	for _, name := range names {
		q := request(t, name, Levels, each) // no machine is too hard
		m := makerOf(t, q)
		m.random.Shuffle(len(m.drawn), func(i, k int) { m.drawn[i], m.drawn[k] = m.drawn[k], m.drawn[i] })
		n := 0
		for todo := m.drawn[:min(each*3/2, len(m.drawn))]; len(todo) > 0 && n < each; {
			now := todo[:min(runtime.GOMAXPROCS(0), len(todo), each-n)]
			todo = todo[len(now):]
			verdicts := make([]verdict, len(now))
			var wait sync.WaitGroup
			for i, d := range now {
				wait.Go(func() {
					if verdicts[i] = m.grade(d); verdicts[i] == provedRight {
						d.x.Hidden.HalfSplit = m.prover.way(d.x, HalfSplit, math.MaxInt)
					}
				})
			}
			wait.Wait()
			for i, v := range verdicts {
				if v == provedRight {
					out = append(out, now[i].x)
					n++
				}
			}
		}
	}
	return out
}

// The difficulty goes with the work that it stands for: with the planner's readings, which are a part of it, and with
// the minutes and readings of another order and the readings of somebody who measures at random, which are not. Set
// EXERCISES=200 for the figure of the documentation.
func TestDifficultyGoesWithTheWork(t *testing.T) {
	names, each := []string{"coolant-temperature", "level-sender", "oil-pressure-switch"}, 10
	if os.Getenv("EXERCISES") == "200" {
		names = strings.Fields("coolant-temperature level-sender oil-pressure-switch throttle-potentiometer pressure-three-wire hall-speed solenoid-low-side intake-air-temperature current-loop-4-20 mast-height")
		each = 20
	}
	var points, rest, planned, half, halfMinutes []float64
	for _, x := range graded(t, names, each) {
		d := x.Hidden.Difficulty
		points = append(points, d.Points())
		rest = append(rest, d.Points()-float64(d.Readings))
		planned = append(planned, float64(d.Readings))
		half = append(half, float64(len(x.Hidden.HalfSplit.Readings)))
		halfMinutes = append(halfMinutes, x.Hidden.HalfSplit.Minutes)
	}
	own, without, other, minutes := rankCorrelation(points, planned), rankCorrelation(rest, planned), rankCorrelation(points, half), rankCorrelation(points, halfMinutes)
	t.Logf("%d exercises: rank correlation of the points with the planner's readings %.2f (without those in the points %.2f), with half-split's readings %.2f, with half-split's minutes %.2f",
		len(points), own, without, other, minutes)
	shuffled := append([]float64(nil), planned...)
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(shuffled), func(i, k int) { shuffled[i], shuffled[k] = shuffled[k], shuffled[i] })
	t.Logf("with the planner's readings of another exercise %.2f", rankCorrelation(points, shuffled))
	if own < 0.6 || other < 0.4 {
		t.Errorf("the difficulty does not go with the readings: %.2f and %.2f", own, other)
	}
}
