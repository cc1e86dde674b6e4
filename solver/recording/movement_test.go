package recording

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestChanceByHand: jumps at 10 and 12 s of 100 s. A window of 5 s meets one if it begins between 5 and 12 s: 7 of 100.
func TestChanceByHand(t *testing.T) {
	if got := chanceToMeet([]float64{10, 12}, 5, 0, 100); math.Abs(got-0.07) > 1e-12 {
		t.Errorf("chance %g, want 0.07", got)
	}
	if got := chanceToMeet([]float64{1}, 5, 0, 100); math.Abs(got-0.05) > 1e-12 { // over the end
		t.Errorf("chance %g, want 0.05", got)
	}
	// Two of two, then at least one of two, with 0.07 each: 0.0049 and 1 - 0.93².
	if got := atLeast([]float64{0.07, 0.07}, 2); math.Abs(got-0.0049) > 1e-12 {
		t.Errorf("both: %g", got)
	}
	if got := atLeast([]float64{0.07, 0.07}, 1); math.Abs(got-(1-0.93*0.93)) > 1e-12 {
		t.Errorf("one: %g", got)
	}
}

// TestBinomialTail: three or more heads of four coins are 5 of 16; none or more is sure.
func TestBinomialTail(t *testing.T) {
	for _, c := range []struct {
		n, k    int
		p, want float64
	}{{4, 3, 0.5, 5.0 / 16}, {7, 7, 0.1, 1e-7}, {7, 0, 0.1, 1}, {0, 0, 0.3, 1}, {3, 4, 0.3, 0}, {3, 1, 0, 0}, {2, 1, 0.07, 1 - 0.93*0.93}} {
		if got := binomialTail(c.n, c.k, c.p); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%d of %d at %g: %g, want %g", c.k, c.n, c.p, got, c.want)
		}
	}
}

// TestChanceAgainstDrawing holds the exact chance against windows drawn at random.
func TestChanceAgainstDrawing(t *testing.T) {
	r := seeded(3)
	jumps := []float64{3, 3.5, 20, 44, 45, 46, 91}
	exact := chanceToMeet(jumps, 6.5, 0, 100)
	met := 0
	const draws = 200_000
	for range draws {
		from := 100 * r.Float64()
		for _, j := range jumps {
			if d := math.Mod(j-from+100, 100); d <= 6.5 {
				met++
				break
			}
		}
	}
	if got := float64(met) / draws; math.Abs(got-exact) > 0.005 {
		t.Errorf("drawn %.4f, exact %.4f", got, exact)
	}
}

// movements draws marks of three places, one after the other, with rests between.
func movements(r *rand.Rand, rounds int) (marks []Mark, last float64) {
	at := 3 + 4*r.Float64()
	for range rounds {
		for _, i := range r.Perm(3) {
			long := 4 + 2*r.Float64()
			marks = append(marks, Mark{[]string{"C7", "MHS", "S2"}[i], at, at + long})
			at += long + 5 + 5*r.Float64()
		}
	}
	return marks, at + 3
}

// TestNoMovementNamedByChance: jumps that have nothing to do with the movements, at random and in spells. A place is named no
// more often than stated.
func TestNoMovementNamedByChance(t *testing.T) {
	const runs = 1000
	for name, jumps := range map[string]func(*rand.Rand, float64) []float64{
		"at random": func(r *rand.Rand, last float64) (out []float64) {
			for range 1 + r.IntN(12) {
				out = append(out, last*r.Float64())
			}
			return out
		},
		"in bursts": func(r *rand.Rand, last float64) (out []float64) {
			for range 1 + r.IntN(5) {
				at := last * r.Float64()
				for range 2 + r.IntN(8) {
					out = append(out, min(at+2*r.Float64(), last))
				}
			}
			return out
		},
		"one long spell": func(r *rand.Rand, last float64) (out []float64) {
			from, long := last*r.Float64(), 30+30*r.Float64()
			for range 20 + r.IntN(40) {
				out = append(out, min(from+long*r.Float64(), last))
			}
			return out
		},
	} {
		named := 0
		for seed := range uint64(runs) {
			r := seeded(seed)
			marks, last := movements(r, 3)
			for _, f := range Follow(jumps(r, last), marks, 0, last) {
				if f.Follows() {
					named++
					break
				}
			}
		}
		t.Logf("%s: named in %d of %d", name, named, runs)
		// Three standard deviations above the stated rate.
		if most := runs*FalseAlarm + 3*math.Sqrt(runs*FalseAlarm); float64(named) > most {
			t.Errorf("%s: a place is named in %d of %d recordings, more than %.0f", name, named, runs, most)
		}
	}
}

// TestSpellOfOnePlace: five movements of one place in a row within one spell of jumps mean nothing, though each meets a jump.
func TestSpellOfOnePlace(t *testing.T) {
	named := 0
	for seed := range uint64(400) {
		r := seeded(seed)
		var marks []Mark
		for i := range 5 {
			at := 60 + 10*float64(i)
			marks = append(marks, Mark{"C7", at, at + 5})
		}
		var jumps []float64
		for range []int{40, 8, 6, 5}[seed%4] {
			jumps = append(jumps, 58+52*r.Float64())
		}
		if f := Follow(jumps, marks, 0, 300)[0]; f.Follows() {
			named++
		}
	}
	t.Logf("named in %d of 400", named)
	if named > 400*SpellAlarm {
		t.Errorf("named in %d of 400", named)
	}
}

// TestTruePlaceIsNamed: each movement of C7 brings a burst three times out of four, and a jump comes by itself now and then.
func TestTruePlaceIsNamed(t *testing.T) {
	right, wrong := 0, 0
	const runs = 400
	for seed := range uint64(runs) {
		r := seeded(seed)
		marks, last := movements(r, 6)
		var jumps []float64
		for _, m := range marks {
			if m.Place == "C7" && r.Float64() < 0.75 {
				at := m.From + 0.7*(m.To-m.From)*r.Float64()
				for range 4 {
					jumps = append(jumps, min(at+r.Float64(), m.To))
				}
			}
		}
		jumps = append(jumps, last*r.Float64())
		for _, f := range Follow(jumps, marks, 0, last) {
			switch {
			case f.Follows() && f.Place == "C7":
				right++
			case f.Follows():
				wrong++
			}
		}
	}
	t.Logf("named right in %d, wrong in %d of %d", right, wrong, runs)
	if right < runs/2 || wrong > runs/100 {
		t.Errorf("named right in %d, wrong in %d of %d", right, wrong, runs)
	}
}

// TestMovedInVain: moving without effect speaks against a place, the more the oftener, and never proves it good.
func TestMovedInVain(t *testing.T) {
	jumps := []float64{5, 6, 40, 41, 77, 78}
	before := 1.0
	for n := 1; n <= 4; n++ {
		var marks []Mark
		for i := range n {
			marks = append(marks, Mark{"MHS", 10 + 5*float64(i), 13 + 5*float64(i)})
		}
		f := Follow(jumps, marks, 0, 100)[0]
		if f.Met != 0 || f.Odds >= before || f.Odds <= 0.05 {
			t.Errorf("%d movements in vain: met %d, odds %.3f after %.3f", n, f.Met, f.Odds, before)
		}
		before = f.Odds
	}
}
