package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/internal/given"
)

// informationByIntegral is the mutual information in bits between the groups of some rays and a reading, by the trapezoid
// rule on a fine grid; a reading is misread in that share and then lies anywhere in 0 to span.
func informationByIntegral(rays []evidence.Ray, misread, span float64) float64 {
	total, least := 0.0, math.Inf(1)
	weight := map[int]float64{}
	for _, r := range rays {
		total += r.Weight
		weight[r.Group] += r.Weight
		least = min(least, r.SD)
	}
	bits := 0.0
	const margin = 4
	step := least / 12
	for y := -margin * 1.0; y <= span+margin; y += step {
		own := map[int]float64{}
		all := 0.0
		broad := 0.0
		if y >= 0 && y <= span {
			broad = misread / span
		}
		for _, r := range rays {
			d := r.Weight / total * math.Exp(-(y-r.Mean)*(y-r.Mean)/(2*r.SD*r.SD)) / (r.SD * math.Sqrt(2*math.Pi))
			own[r.Group] += d
			all += d
		}
		all = (1-misread)*all + broad
		for g, d := range own {
			share := weight[g] / total
			p := (1-misread)*d/share + broad
			if p > 0 {
				bits += share * p * math.Log2(p/all) * step
			}
		}
	}
	return bits
}

// randomRays are two to four groups of one to three rays between 0.5 and 4.5, with spreads from 0.02 to 0.02 times wide.
func randomRays(random *rand.Rand, wide float64) []evidence.Ray {
	var rays []evidence.Ray
	for g := range 2 + random.IntN(3) {
		for range 1 + random.IntN(3) {
			rays = append(rays, evidence.Ray{Group: g, Weight: 0.05 + random.Float64(), Mean: 0.5 + 4*random.Float64(), SD: 0.02 * math.Exp(random.Float64()*math.Log(wide))})
		}
	}
	return rays
}

// Gain against the integral, on mixtures by a fixed seed. Spreads of one size are what tolerances and a meter's error make;
// unknown stimuli make wide ones beside narrow ones, and there five points a ray may miss a narrow peak. With misreadings
// Gain leaves out what one that lands in the range of another group tells: it is too high by some hundredths of a bit.
func TestGainAgainstIntegral(t *testing.T) {
	for _, c := range []struct {
		misread, wide    float64
		worst, rms, bias float64 // in bits, of about one bit
	}{{0, 3, 0.03, 0.01, 0.003}, {0, 20, 0.20, 0.07, 0.02}, {0.05, 3, 0.07, 0.04, 0.04}, {0.05, 20, 0.25, 0.09, 0.06}} {
		random := rand.New(rand.NewPCG(3, 1))
		const cases = 40
		worst, sum, square, size := 0.0, 0.0, 0.0, 0.0
		for range cases {
			rays := randomRays(random, c.wide)
			want, got := informationByIntegral(rays, c.misread, 5), Gain(rays, c.misread, 5)
			worst = max(worst, math.Abs(got-want))
			sum += got - want
			square += (got - want) * (got - want)
			size += want
		}
		rms, mean := math.Sqrt(square/cases), sum/cases
		t.Logf("misread %g, spreads up to %g times: worst %.4f, rms %.4f, mean %+.4f of %.3f bits", c.misread, c.wide, worst, rms, mean, size/cases)
		if worst > c.worst || rms > c.rms || math.Abs(mean) > c.bias {
			t.Errorf("misread %g, spreads up to %g times: worst %.4f, rms %.4f, mean %+.4f; want within %g, %g, ±%g", c.misread, c.wide, worst, rms, mean, c.worst, c.rms, c.bias)
		}
	}
}

// What matters is which reading is taken: of five, the one of greatest Gain must tell nearly as much as the best one.
func TestGainChoosesWell(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 1))
	lost, best := 0.0, 0.0
	for range 20 {
		// Five readings of the same groups: weights are the groups', means and spreads the reading's own.
		weights := randomRays(random, 20)
		most, chosen, byGain := 0.0, 0.0, -1.0
		for range 5 {
			rays := append([]evidence.Ray(nil), weights...)
			for i := range rays {
				rays[i].Mean = 0.5 + 4*random.Float64()
				rays[i].SD = 0.02 * math.Exp(random.Float64()*math.Log(20))
			}
			bits := informationByIntegral(rays, 0.05, 5)
			most = max(most, bits)
			if g := Gain(rays, 0.05, 5); g > byGain {
				byGain, chosen = g, bits
			}
		}
		lost, best = lost+most-chosen, best+most
	}
	t.Logf("the choice tells %.1f %% of what the best reading tells", 100*(1-lost/best))
	if lost > 0.02*best {
		t.Errorf("choosing by Gain loses %.1f %% of the information, want no more than 2 %%", 100*lost/best)
	}
}

// Discrete outcomes without misreadings are summed, not sampled: Gain is then exact.
func TestGainOfDiscreteOutcomesIsExact(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 2))
	for range 200 {
		joint := map[[2]int]float64{}
		var rays []evidence.Ray
		total := 0.0
		for range 2 + random.IntN(12) {
			r := evidence.Ray{Group: random.IntN(4), Discrete: 1 + random.IntN(4), Weight: random.Float64()}
			rays = append(rays, r)
			joint[[2]int{r.Group, r.Discrete}] += r.Weight
			total += r.Weight
		}
		group, outcome := map[int]float64{}, map[int]float64{}
		for k, w := range joint {
			group[k[0]] += w / total
			outcome[k[1]] += w / total
		}
		want := 0.0
		for k, w := range joint {
			want += w / total * math.Log2(w/total/group[k[0]]/outcome[k[1]])
		}
		given.About(t, "gain of discrete outcomes", Gain(rays, 0, 1), want, 1e-9)
	}
}

// What must hold of any mutual information.
func TestGainIsInformation(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 2))
	for i := range 60 {
		rays := randomRays(random, 3)
		if i%3 == 0 {
			rays[0].Discrete = 1
		}
		misread := []float64{0, 0.05}[i%2]
		g := Gain(rays, misread, 5)
		var weights []float64
		byGroup := map[int]float64{}
		for _, r := range rays {
			byGroup[r.Group] += r.Weight
		}
		for _, k := range sortedGroups(byGroup) {
			weights = append(weights, byGroup[k])
		}
		if h := Entropy(weights); g < 0 || g > h+0.02 {
			t.Errorf("gain %.4f of groups of %.4f bits", g, h)
		}
		scaled := append([]evidence.Ray(nil), rays...)
		for k := range scaled {
			scaled[k].Weight *= 7
		}
		given.About(t, "all weights seven times", Gain(scaled, misread, 5), g, 1e-9)
		random.Shuffle(len(scaled), func(a, b int) { scaled[a], scaled[b] = scaled[b], scaled[a] })
		given.About(t, "in another order", Gain(scaled, misread, 5), g, 1e-9)
		split := append([]evidence.Ray(nil), rays...)
		split[0].Weight /= 2
		split = append(split, split[0])
		given.About(t, "one ray as two halves", Gain(split, misread, 5), g, 1e-9)
		one := append([]evidence.Ray(nil), rays...)
		for k := range one {
			one[k].Group = 0
		}
		given.About(t, "one group alone", Gain(one, misread, 5), 0, 0)
		if m := Gain(rays, 0.3, 5); m > Gain(rays, 0, 5) {
			t.Errorf("with 30 %% misreadings a reading tells %.4f bits, without %.4f", m, Gain(rays, 0, 5))
		}
	}
	apart := []evidence.Ray{{Group: 0, Weight: 1, Mean: 1, SD: 0.01}, {Group: 1, Weight: 1, Mean: 2, SD: 0.01}, {Group: 2, Weight: 2, Mean: 3, SD: 0.01}}
	given.About(t, "groups far apart", Gain(apart, 0, 5), 1.5, 1e-6)
	same := []evidence.Ray{{Group: 0, Weight: 1, Mean: 1, SD: 0.1}, {Group: 1, Weight: 3, Mean: 1, SD: 0.1}}
	given.About(t, "groups that show the same", Gain(same, 0, 5), 0, 1e-9)
	given.About(t, "entropy of ½ ¼ ¼", Entropy([]float64{2, 1, 1}), 1.5, 1e-12)
	given.About(t, "entropy of one", Entropy([]float64{3, 0}), 0, 0)
}
