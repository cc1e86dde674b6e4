package recording

import (
	"math"
	"testing"
)

// nile is the yearly flow of the Nile at Aswan, 1871 to 1970, in 10^8 m³, as published by Cobb, "The problem of the Nile:
// conditional solution to a changepoint problem", Biometrika 65 (1978).
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969,
	831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
	744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

// cutsOf are the positions that the search finds with known noise.
func cutsOf(values []float64, n Noise, price float64) []int64 {
	var c contest
	for i, v := range values {
		c.add(int64(i), v, n, price)
	}
	var out []int64
	for k := c.rivals[c.best()].chain(); k != nil && k.start > 0; k = k.prev {
		out = append([]int64{k.start}, out...)
	}
	return out
}

// TestNile: the published answer is one change, after the 28th year, 1898 (Cobb 1978). The R package changepoint (Killick
// and Eckley, Journal of Statistical Software 58, 2014) gives 28 with PELT on the series divided by its standard deviation,
// penalty MBIC, which is 3·ln n, and means of 1097.8 and 850.0.
func TestNile(t *testing.T) {
	mean, sd := 0.0, 0.0
	for _, v := range nile {
		mean += v / float64(len(nile))
	}
	for _, v := range nile {
		sd += (v - mean) * (v - mean) / float64(len(nile)-1)
	}
	sd = math.Sqrt(sd)
	got := cutsOf(nile, Noise{SD: sd, White: sd}, 3*math.Log(float64(len(nile))))
	if len(got) != 1 || got[0] != 28 {
		t.Fatalf("cuts at %v, want one at 28", got)
	}
	before, after := 0.0, 0.0
	for i, v := range nile {
		if i < 28 {
			before += v / 28
		} else {
			after += v / 72
		}
	}
	if math.Abs(before-1097.8) > 0.05 || math.Abs(after-850.0) > 0.05 {
		t.Errorf("means %.1f and %.1f, published 1097.8 and 850.0", before, after)
	}
}

// TestExactAgainstAllCuts holds the pruned search against the plain recursion over every last cut, which is the definition of
// the optimum (Jackson and others, IEEE Signal Processing Letters 12, 2005): same least cost, on data with jumps of all sizes.
func TestExactAgainstAllCuts(t *testing.T) {
	for seed := range uint64(40) {
		r := seeded(seed)
		var v []float64
		for len(v) < 150 {
			level := 3 * r.NormFloat64()
			for range 3 + r.IntN(40) {
				v = append(v, level+r.NormFloat64())
			}
		}
		const price = 9
		var c contest
		for i, x := range v {
			c.add(int64(i), x, Noise{SD: 1, White: 1}, price)
		}
		got := c.rivals[c.best()].cost
		least := make([]float64, len(v)+1)
		least[0] = -price
		for to := 1; to <= len(v); to++ {
			least[to] = math.Inf(1)
			sum, sq := 0.0, 0.0
			for from := to - 1; from >= 0; from-- {
				sum, sq = sum+v[from], sq+v[from]*v[from]
				least[to] = min(least[to], least[from]+price+sq-sum*sum/float64(to-from))
			}
		}
		if want := least[len(v)]; math.Abs(got-want) > 1e-6 {
			t.Errorf("seed %d: cost %.6f, the least is %.6f", seed, got, want)
		}
	}
}
