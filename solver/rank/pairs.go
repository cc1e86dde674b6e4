package rank

import (
	"math"
	"slices"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
)

const (
	// doubleShare is the prior odds of two faults at once against one (ours; higher after new work on the harness).
	doubleShare = 0.03
	// pairSeeds is how many single faults are tried as one half of a pair, with every other fault as the other half.
	pairSeeds = 10
	// pairsKept bounds the pairs that are ranked.
	pairsKept = 60
)

// explainedOdds is the logarithm of how much less likely than the likeliest a fault may be that explains the readings, for two faults
// not to be looked for.
const explainedOdds = 3

// unexplained tells whether no single fault explains the readings: of those that are next to the likeliest each is "unlisted", or must
// take a reading for a misreading.
func unexplained(w *evidence.Scales, xs []evidence.Weighed) bool {
	if len(w.Taken())+len(w.Codes()) < 2 {
		return false
	}
	best := math.Inf(-1)
	for i := range xs {
		best = max(best, xs[i].LogZ)
	}
	for i := range xs {
		if xs[i].LogZ > best-explainedOdds && xs[i].Fault.Kind != circuits.Unlisted && slices.Max(append(w.Account(&xs[i]).Misread, 0)) <= 0.4 {
			return false
		}
	}
	return true
}

// changed tells whether the symptom became another one when something was put right: then two faults may have been there.
func changed(j *circuits.Job) bool {
	return slices.ContainsFunc(j.Tried, func(t circuits.Tried) bool { return t.Result == circuits.ResultChanged })
}

// pairs weighs two faults at once: the single faults that explain most, each built in with the ohms that suit it best,
// and every single fault on top in closed form. hs are all hypotheses, xs the singles weighed.
func pairs(w *evidence.Scales, hs []hypothesis.Hypothesis, xs []evidence.Weighed) []evidence.Weighed {
	var out []evidence.Weighed
	var others []hypothesis.Hypothesis
	ways := map[string]int{}
	for _, k := range w.Job().Circuit.Contacts {
		ways[w.Job().Circuit.PlugOf(k.First)]++
	}
	unfelt := map[circuits.Single]bool{}
	for i := range xs {
		unfelt[xs[i].Fault] = xs[i].Unfelt
	}
	for _, h := range hs {
		f := h.Fault
		if unfelt[f] {
			continue // no reading feels it by itself; beside another fault it is taken to be no different
		}
		if f.Kind == circuits.Unlisted || f.Kind == circuits.Swapped && ways[w.Job().Circuit.PlugOf(f.At.From)] > evidence.SmallPlug {
			continue
		}
		others = append(others, h)
	}
	for _, x := range seeds(w, xs) {
		for _, y := range w.Beside(x, math.Log(x.Prior)+math.Log(2*doubleShare), others) {
			if y.Fault.Kind == circuits.Healthy || y.Fault.At == x.Fault.At || y.Unfelt {
				continue
			}
			out = append(out, y)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].LogZ > out[b].LogZ })
	return out[:min(len(out), pairsKept)]
}

// seeds are the single faults that explain most, one for each that the readings can tell apart, so that sixteen names of
// one chain do not fill the list.
func seeds(w *evidence.Scales, xs []evidence.Weighed) []*evidence.Weighed {
	order := make([]int, 0, len(xs))
	for i := range xs {
		f := xs[i].Fault
		if f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted || f.Kind == circuits.Swapped || xs[i].Unfelt {
			continue
		}
		if f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
			continue // it is tried as the other half
		}
		order = append(order, i)
	}
	sort.SliceStable(order, func(a, b int) bool { return xs[order[a]].LogZ > xs[order[b]].LogZ })
	var out []*evidence.Weighed
	var kept []evidence.Account
	for _, i := range order {
		c := w.Account(&xs[i])
		double := false
		for k := range kept {
			double = double || w.Alike(&kept[k], &c)
		}
		if !double {
			kept = append(kept, c)
			out = append(out, &xs[i])
		}
		if len(out) == pairSeeds {
			break
		}
	}
	return out
}

// pairOf joins two single faults in the order in which the file names their places.
func pairOf(c *circuits.Circuit, a, b circuits.Single) circuits.Fault {
	f, err := c.ResolveFault(circuits.Fault{First: a, Second: b})
	if err != nil {
		return circuits.Fault{First: a, Second: b}
	}
	return f
}

// onePerName keeps the likelier of two candidates for the same pair, found from either half.
func onePerName(cs []Candidate) []Candidate {
	sort.SliceStable(cs, func(a, b int) bool { return cs[a].Probability > cs[b].Probability })
	seen := map[circuits.Fault]bool{}
	var out []Candidate
	total := 0.0
	for _, c := range cs {
		if name := c.full.WithoutOhms(); !seen[name] {
			seen[name] = true
			out = append(out, c)
			total += c.Probability
		}
	}
	for i := range out {
		out[i].Probability /= total
	}
	return out
}
