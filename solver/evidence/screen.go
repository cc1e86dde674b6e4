package evidence

import (
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
)

const (
	// SmallPlug is the number of ways up to which every pair of a connector is tried changed over.
	SmallPlug = 4
	// mostPairs bounds the pairs tried in large connectors.
	mostPairs = 60
	// enoughHealthy is the share of faults that no reading feels above which no pair of a large connector is tried.
	enoughHealthy = 0.9
)

// WeighAll weighs all hypotheses. Two ways changed over in a large connector make another network each, and there are
// hundreds of pairs: they are tried only where the readings show something wrong, and only around the ways that the
// other faults have brought under suspicion. The pairs left out are a few thousandths of the odds of experience.
func (w *Scales) WeighAll(hs []hypothesis.Hypothesis) []Weighed {
	var now, later []hypothesis.Hypothesis
	ways := map[string]int{}
	for _, k := range w.j.Circuit.Contacts {
		ways[w.j.Circuit.PlugOf(k.First)]++
	}
	for _, h := range hs {
		if h.Fault.Kind == circuits.Swapped && ways[w.j.Circuit.PlugOf(h.Fault.At.From)] > SmallPlug {
			later = append(later, h)
		} else {
			now = append(now, h)
		}
	}
	xs := w.weigh(now)
	if len(later) == 0 || len(w.obs)+len(w.codes) == 0 {
		return xs
	}
	return append(xs, w.weigh(w.suspectPairs(xs, later))...)
}

// suspectPairs picks the pairs that touch a way under suspicion, the most suspect first.
func (w *Scales) suspectPairs(xs []Weighed, pairs []hypothesis.Hypothesis) []hypothesis.Hypothesis {
	total, quiet := math.Inf(-1), math.Inf(-1)
	for i := range xs {
		total = logAdd(total, xs[i].LogZ)
		if xs[i].Unfelt || xs[i].Fault.Kind == circuits.Healthy {
			quiet = logAdd(quiet, xs[i].LogZ)
		}
	}
	if math.Exp(quiet-total) > enoughHealthy {
		return nil
	}
	suspicion := map[circuits.Point]float64{}
	for i := range xs {
		p := math.Exp(xs[i].LogZ - total)
		f := xs[i].Fault
		for _, l := range []circuits.Location{f.At, f.To} {
			for _, end := range []circuits.Point{l.From, l.To} {
				if end.Cavity != "" {
					suspicion[end.Terminal()] += p
				}
			}
		}
	}
	score := func(h hypothesis.Hypothesis) float64 {
		repaired := 0.0
		for _, i := range w.j.Inspections {
			if i.Seen == "repaired" && hypothesis.Touches(w.j.Circuit, i.At, h.Fault) {
				repaired = 1
			}
		}
		return suspicion[h.Fault.At.From] + suspicion[h.Fault.To.From] + repaired
	}
	sort.SliceStable(pairs, func(i, j int) bool { return score(pairs[i]) > score(pairs[j]) })
	n := 0
	for n < len(pairs) && n < mostPairs && score(pairs[n]) > 0.02 {
		n++
	}
	return pairs[:n]
}
