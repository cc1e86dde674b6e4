package plan

import (
	"fmt"
	"math"
	"sort"
	"testing"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/internal/given"
)

// Problems of the literature on diagnosis with numbers reckoned by brute force, each through the code that plans the next
// reading: Gain, Entropy, RepairOrder, the strips. A tolerance is half a unit of the last digit printed.

// bestProbe is the probe of greatest gain, without misreadings: the planner's choice where all cost the same. The first
// one wins a tie.
func bestProbe(probes [][]evidence.Ray) (best int, gains []float64) {
	for i, rays := range probes {
		gains = append(gains, Gain(rays, 0, 1))
		if gains[i] > gains[best]+1e-12 {
			best = i
		}
	}
	return best, gains
}

// parts of the multiplier circuit, as bits of a health state: a bit that is set is a part at fault.
const (
	partM1 = 1 << iota
	partM2
	partM3
	partA1
	partA2
)

// seenAt are values of the circuit that are known; NaN is unknown.
type seenAt struct{ x, y, z, f, g float64 }

func unknownAll() seenAt {
	return seenAt{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}
}

// allows tells whether a health state agrees with values of all five signals: three multipliers X = A·C, Y = B·D, Z = C·E
// and two adders F = X + Y, G = Y + Z, with A = 3, B = 2, C = 2, D = 3, E = 3, so that X = Y = Z = 6 where all is well.
func allows(state int, v seenAt) bool {
	return (state&partM1 != 0 || v.x == 6) && (state&partM2 != 0 || v.y == 6) && (state&partM3 != 0 || v.z == 6) &&
		(state&partA1 != 0 || v.f == v.x+v.y) && (state&partA2 != 0 || v.g == v.y+v.z)
}

// consistent lists the health states that agree with what was seen, by trying all whole values of what was not; values are
// the X (or Y, or Z) that each state can have then.
func consistent(seen seenAt) (states []int, values map[int][3]map[float64]bool) {
	const low, high = -12, 24
	span := func(v float64) []float64 {
		if !math.IsNaN(v) {
			return []float64{v}
		}
		var out []float64
		for x := float64(low); x <= high; x++ {
			out = append(out, x)
		}
		return out
	}
	values = map[int][3]map[float64]bool{}
	for state := range 32 {
		can := [3]map[float64]bool{{}, {}, {}}
		for _, x := range span(seen.x) {
			for _, y := range span(seen.y) {
				for _, z := range span(seen.z) {
					if allows(state, seenAt{x, y, z, seen.f, seen.g}) {
						can[0][x], can[1][y], can[2][z] = true, true, true
					}
				}
			}
		}
		if len(can[0]) > 0 {
			states = append(states, state)
			values[state] = can
		}
	}
	return states, values
}

// minimal are the sets of a list that contain no other one of it.
func minimal(sets []int) []int {
	var out []int
	for _, s := range sets {
		least := true
		for _, other := range sets {
			least = least && (other == s || other&s != other)
		}
		if least {
			out = append(out, s)
		}
	}
	return out
}

// conflicts are the least sets of parts that cannot all be well.
func conflicts(states []int) []int {
	var out []int
	for set := 1; set < 32; set++ {
		conflict := true
		for _, s := range states {
			conflict = conflict && s&set != 0
		}
		if conflict {
			out = append(out, set)
		}
	}
	return minimal(out)
}

func partNames(sets []int) string {
	var all []string
	for _, s := range sets {
		text := "{"
		for i, name := range []string{"M1", "M2", "M3", "A1", "A2"} {
			if s&(1<<i) != 0 {
				text += " " + name
			}
		}
		all = append(all, text+" }")
	}
	sort.Strings(all)
	return fmt.Sprint(all)
}

// The problem is de Kleer and Williams, Diagnosing multiple faults, Artificial Intelligence 32, 1987.
func TestMultipliersAndAdders(t *testing.T) {
	with := func(f, g float64, change func(*seenAt)) seenAt {
		s := unknownAll()
		s.f, s.g = f, g
		if change != nil {
			change(&s)
		}
		return s
	}
	for _, c := range []struct {
		name       string
		seen       seenAt
		conflicts  []int // nil where none are printed
		diagnoses  []int
		consistent int
	}{
		{"F=10 G=12", with(10, 12, nil), []int{partA1 | partM1 | partM2, partA1 | partA2 | partM1 | partM3}, []int{partA1, partM1, partA2 | partM2, partM2 | partM3}, 27},
		{"+ X=4", with(10, 12, func(s *seenAt) { s.x = 4 }), []int{partM1}, []int{partM1}, 16},
		{"+ X=6", with(10, 12, func(s *seenAt) { s.x = 6 }), []int{partA1 | partM2, partA1 | partA2 | partM3}, []int{partA1, partA2 | partM2, partM2 | partM3}, 22},
		{"+ Y=4", with(10, 12, func(s *seenAt) { s.y = 4 }), nil, []int{partA2 | partM2, partM2 | partM3}, 12},
		{"+ Z=8", with(10, 12, func(s *seenAt) { s.z = 8 }), nil, []int{partM2 | partM3, partA1 | partA2 | partM3, partA2 | partM1 | partM3}, 11},
		{"F=10 G=10", with(10, 10, nil), []int{partA1 | partM1 | partM2, partA2 | partM2 | partM3}, []int{partM2, partA1 | partA2, partA1 | partM3, partA2 | partM1, partM1 | partM3}, 25},
	} {
		states, _ := consistent(c.seen)
		if len(states) != c.consistent {
			t.Errorf("%s: %d health states agree, want %d", c.name, len(states), c.consistent)
		}
		if got, want := partNames(minimal(states)), partNames(c.diagnoses); got != want {
			t.Errorf("%s: least diagnoses %s, want %s", c.name, got, want)
		}
		if got, want := partNames(conflicts(states)), partNames(c.conflicts); c.conflicts != nil && got != want {
			t.Errorf("%s: least conflicts %s, want %s", c.name, got, want)
		}
	}
}

// priorOf is the prior of a health state of n parts that each are at fault with chance p.
func priorOf(state, n int, p float64) float64 {
	out := 1.0
	for i := range n {
		if state&(1<<i) != 0 {
			out *= p
		} else {
			out *= 1 - p
		}
	}
	return out
}

// With 0.01 for each part and likelihood 1 for each state that agrees. The next probe: X, which alone tells A1 from M1.
func TestMultiplierProbabilitiesAndProbe(t *testing.T) {
	seen := unknownAll()
	seen.f, seen.g = 10, 12
	states, values := consistent(seen)
	total := 0.0
	for _, s := range states {
		total += priorOf(s, 5, 0.01)
	}
	for _, c := range []struct {
		state int
		want  float64
	}{{partA1, 0.478026}, {partM1, 0.478026}, {partA2 | partM2, 0.004829}, {partM2 | partM3, 0.004829}} {
		given.About(t, "probability of "+partNames([]int{c.state}), priorOf(c.state, 5, 0.01)/total, c.want, 0.0000005)
	}
	// One reading for each of X, Y, Z. A state that leaves a value open gives each whole value within reach the same share.
	var probes [][]evidence.Ray
	var direct []float64
	for which := range 3 {
		var rays []evidence.Ray
		joint, byValue, byState := map[[2]int]float64{}, map[int]float64{}, map[int]float64{}
		for _, s := range states {
			can := values[s][which]
			for v := range can {
				w := priorOf(s, 5, 0.01) / total / float64(len(can))
				rays = append(rays, evidence.Ray{Group: s, Weight: w, Discrete: 100 + int(v)})
				joint[[2]int{s, int(v)}] += w
				byValue[int(v)] += w
				byState[s] += w
			}
		}
		bits := 0.0
		for k, w := range joint {
			bits += w * math.Log2(w/byValue[k[1]]/byState[k[0]])
		}
		probes, direct = append(probes, rays), append(direct, bits)
	}
	best, gains := bestProbe(probes)
	for i, name := range []string{"X", "Y", "Z"} {
		given.About(t, "gain of probing "+name, gains[i], direct[i], 1e-9)
		if direct[i] > direct[best] {
			t.Errorf("%s tells %.4f bits, more than the chosen probe's %.4f", name, direct[i], direct[best])
		}
	}
	if best != 0 {
		t.Errorf("probe %d is chosen, want X: it parts A1 and M1, which hold 0.956 between them; gains %.4f", best, gains)
	}
}

// A chain of n inverters with input 0 and a wrong output, 0.01 for each, a faulty one giving a random output. A state is
// a set of faulty inverters; the value after the k-th is right if none of the first k is faulty. Otherwise the last
// faulty one so far made it random; and with nothing faulty beyond it must be wrong, for the output is.
func TestInverterChain(t *testing.T) {
	probe := func(n, k int, p float64) (rays []evidence.Ray) {
		const right, wrong = 1, 2
		for state := 1; state < 1<<n; state++ {
			w := priorOf(state, n, p) // a wrong output has the likelihood ½ in each of them
			before, after := state&(1<<k-1), state>>k
			switch {
			case before == 0:
				rays = append(rays, evidence.Ray{Group: state, Weight: w, Discrete: right})
			case after == 0:
				rays = append(rays, evidence.Ray{Group: state, Weight: w, Discrete: wrong})
			default:
				rays = append(rays, evidence.Ray{Group: state, Weight: w / 2, Discrete: right}, evidence.Ray{Group: state, Weight: w / 2, Discrete: wrong})
			}
		}
		return rays
	}
	for _, c := range []struct {
		n             int
		each, entropy float64
		gains         []float64
	}{{4, 0.2538, 2.1221, []float64{0.8038, 0.9900, 0.8038}}, {5, 0.2040, 2.4850, []float64{0.7139, 0.9589, 0.9589, 0.7139}}} {
		var weights []float64
		first, total := 0.0, 0.0
		for state := 1; state < 1<<c.n; state++ {
			w := priorOf(state, c.n, 0.01)
			weights = append(weights, w)
			total += w
			if state&1 != 0 {
				first += w
			}
		}
		given.About(t, fmt.Sprintf("chain of %d: probability of each", c.n), first/total, c.each, 0.00005)
		given.About(t, fmt.Sprintf("chain of %d: entropy", c.n), Entropy(weights), c.entropy, 0.00005)
		for k, want := range c.gains {
			given.About(t, fmt.Sprintf("chain of %d: gain after %d", c.n, k+1), Gain(probe(c.n, k+1, 0.01), 0, 1), want, 0.00005)
			share := float64(k+1) / float64(c.n)
			binary := Entropy([]float64{share, 1 - share})
			given.About(t, fmt.Sprintf("chain of %d: gain after %d for p to 0", c.n, k+1), Gain(probe(c.n, k+1, 1e-7), 0, 1), binary, 1e-5)
		}
	}
}
