package plan

import (
	"math"
	"sort"

	"ohmtrail/solver/evidence"
)

// hermite are the nodes and weights of the five-point Gauss–Hermite rule for a standard normal variable (Abramowitz and
// Stegun 25.4.46, table 25.10, scaled by √2 and 1/√π).
var hermite = [5][2]float64{{-2.8569700138728056, 0.011257411327720688}, {-1.3556261799742659, 0.22207592200561266},
	{0, 0.5333333333333333}, {1.3556261799742659, 0.22207592200561266}, {2.8569700138728056, 0.011257411327720688}}

// Gain is the mutual information in bits between the groups of hypotheses and the outcome of a reading: how much the
// reading is expected to tell about which group is true. misread is the share of readings that are not what they say;
// span the width over which those lie.
//
// Values are integrated by quadrature over each ray, after rays of one group that nearly agree are merged. What a misread
// value tells where it lands in the range of another group is left out: the answer is some hundredths of a bit too high,
// for all readings alike. Weights need not sum to 1.
func Gain(rays []evidence.Ray, misread, span float64) float64 {
	merged := mergeRays(rays)
	total := 0.0
	groupWeight := map[int]float64{}
	for _, r := range merged {
		total += r.Weight
		groupWeight[r.Group] += r.Weight
	}
	if total <= 0 || len(groupWeight) < 2 {
		return 0
	}
	discrete := map[int]map[int]float64{} // outcome -> group -> weight
	for _, r := range merged {
		if r.Discrete != 0 {
			if discrete[r.Discrete] == nil {
				discrete[r.Discrete] = map[int]float64{}
			}
			discrete[r.Discrete][r.Group] += r.Weight
		}
	}
	broad := misread / span
	information := 0.0
	for _, r := range merged {
		prior := groupWeight[r.Group]
		if r.Discrete != 0 {
			all, own := 0.0, discrete[r.Discrete][r.Group]/prior
			for _, g := range sortedGroups(discrete[r.Discrete]) {
				all += discrete[r.Discrete][g]
			}
			all /= total
			information += r.Weight * math.Log(((1-misread)*own+misread)/((1-misread)*all+misread))
			continue
		}
		for _, h := range hermite {
			y := r.Mean + h[0]*r.SD
			all, own := 0.0, 0.0
			for i := range merged {
				q := &merged[i]
				if q.Discrete != 0 {
					continue
				}
				z := (y - q.Mean) / q.SD
				if z > 6 || z < -6 {
					continue
				}
				d := q.Weight * math.Exp(-z*z/2) / (q.SD * math.Sqrt(2*math.Pi))
				all += d
				if q.Group == r.Group {
					own += d
				}
			}
			information += r.Weight * h[1] * math.Log(((1-misread)*own/prior+broad)/((1-misread)*all/total+broad))
		}
	}
	return max(0, (1-misread)*information/total/math.Ln2)
}

// mergeRays joins rays of one group whose values lie within half a spread of each other.
func mergeRays(rays []evidence.Ray) []evidence.Ray {
	sorted := append([]evidence.Ray(nil), rays...)
	sort.SliceStable(sorted, func(i, j int) bool {
		a, b := &sorted[i], &sorted[j]
		if a.Group != b.Group {
			return a.Group < b.Group
		}
		if a.Discrete != b.Discrete {
			return a.Discrete < b.Discrete
		}
		return a.Mean < b.Mean
	})
	var out []evidence.Ray
	for _, r := range sorted {
		if r.Weight <= 0 {
			continue
		}
		if n := len(out) - 1; n >= 0 && out[n].Group == r.Group && out[n].Discrete == r.Discrete {
			last := &out[n]
			if r.Discrete != 0 {
				last.Weight += r.Weight
				continue
			}
			if math.Abs(r.Mean-last.Mean) < 0.5*min(r.SD, last.SD) && r.SD < 1.5*last.SD && last.SD < 1.5*r.SD {
				w := last.Weight + r.Weight
				mean := (last.Weight*last.Mean + r.Weight*r.Mean) / w
				off, far := last.Mean-mean, r.Mean-mean
				variance := (last.Weight*(last.SD*last.SD+off*off) + r.Weight*(r.SD*r.SD+far*far)) / w
				last.Mean, last.SD, last.Weight = mean, math.Sqrt(variance), w
				continue
			}
		}
		out = append(out, r)
	}
	return out
}

func sortedGroups(m map[int]float64) []int {
	var out []int
	for g := range m {
		out = append(out, g)
	}
	sort.Ints(out)
	return out
}

// Entropy is the uncertainty of a distribution in bits. Weights need not sum to 1.
func Entropy(weights []float64) float64 {
	total, sum := 0.0, 0.0
	for _, w := range weights {
		total += w
	}
	for _, w := range weights {
		if w > 0 {
			sum -= w / total * math.Log2(w/total)
		}
	}
	return sum
}
