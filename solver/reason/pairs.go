package reason

import (
	"math"
	"sort"

	"ohmtrail/circuits"
)

const (
	// doubleShare is the prior odds of two faults at once against one (ours; higher after new work on the harness).
	doubleShare = 0.03
	// pairSeeds is how many single faults are tried as one half of a pair, with every other fault as the other half.
	pairSeeds = 10
	// pairHopeless is hopelessGap for pairs, which must beat the best single fault to count at all.
	pairHopeless = 8
	// pairsKept bounds the pairs that are ranked.
	pairsKept = 60
)

// unexplained tells whether no single fault explains the readings: what leads is "unlisted", or a fault that must take a
// reading for a misreading.
func (w *weigher) unexplained(xs []weighed) bool {
	if len(w.obs)+len(w.codes) < 2 {
		return false
	}
	total := math.Inf(-1)
	best := 0
	for i := range xs {
		total = logAdd(total, xs[i].logZ)
		if xs[i].logZ > xs[best].logZ {
			best = i
		}
	}
	if xs[best].h.Fault.Kind == circuits.Unlisted {
		return true
	}
	c := w.candidate(&xs[best], 1)
	for i := range w.obs {
		if c.Misread[i] > 0.4 {
			return true
		}
	}
	return false
}

// pairs weighs two faults at once: the single faults that explain most, each built in with the ohms that suit it best,
// and every single fault on top in closed form. hs are all hypotheses, xs the singles weighed.
func (w *weigher) pairs(hs []Hypothesis, xs []weighed) []weighed {
	var out []weighed
	var others []Hypothesis
	ways := map[string]int{}
	for _, k := range w.j.Circuit.Contacts {
		ways[w.j.Circuit.PlugOf(k.First)]++
	}
	unfelt := map[circuits.Single]bool{}
	for i := range xs {
		unfelt[xs[i].h.Fault] = xs[i].unfelt
	}
	for _, h := range hs {
		f := h.Fault
		if unfelt[f] {
			continue // no reading feels it by itself; beside another fault it is taken to be no different
		}
		if f.Kind == circuits.Unlisted || f.Kind == circuits.Swapped && ways[w.j.Circuit.PlugOf(f.At.From)] > smallPlug {
			continue
		}
		others = append(others, h)
	}
	for _, x := range w.seeds(xs) {
		there := x.h.Fault
		if there.Kind.TakesOhms() {
			there = there.WithOhms(math.Exp(x.likeliest().logOhms))
		}
		in := newWeigher(w.j, there)
		in.off = w.off
		in.best = w.best
		in.hopeless, in.coarse = pairHopeless, pairHopeless/2
		beside := x.h.Fault
		weighedPairs := in.weigh(others)
		in.forget()
		for _, y := range weighedPairs {
			if y.h.Fault.Kind == circuits.Healthy || y.h.Fault.At == beside.At || y.unfelt {
				continue
			}
			y.beside, y.in = &beside, in
			y.logZ += math.Log(x.h.Prior) + math.Log(2*doubleShare) + x.share()
			out = append(out, y)
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].logZ > out[b].logZ })
	return out[:min(len(out), pairsKept)]
}

// likeliest is the strip under which the readings are likeliest, whatever its width.
func (x *weighed) likeliest() cell {
	best := x.cells[0]
	for _, c := range x.cells {
		if c.logL > best.logL {
			best = c
		}
	}
	return best
}

// share is the logarithm of how much of a fault's unknown ohms suits the readings: what its integral over all strips is
// less than its best strip. A fault built in with its best ohms owes it, or two faults would beat one by a parameter that
// nobody pays for.
func (x *weighed) share() float64 { return x.total() - x.likeliest().logL }

// bestCell is the strip of a hypothesis that fits best.
func (x *weighed) bestCell() cell {
	best := x.cells[0]
	for _, c := range x.cells {
		if c.logPrior+c.logL > best.logPrior+best.logL {
			best = c
		}
	}
	return best
}

// seeds are the single faults that explain most, one for each that the readings can tell apart, so that sixteen names of
// one chain do not fill the list.
func (w *weigher) seeds(xs []weighed) []*weighed {
	order := make([]int, 0, len(xs))
	for i := range xs {
		f := xs[i].h.Fault
		if f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted || f.Kind == circuits.Swapped || xs[i].unfelt {
			continue
		}
		if f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
			continue // it is tried as the other half
		}
		order = append(order, i)
	}
	sort.SliceStable(order, func(a, b int) bool { return xs[order[a]].logZ > xs[order[b]].logZ })
	var out []*weighed
	var kept []Candidate
	for _, i := range order {
		c := w.candidate(&xs[i], 1)
		double := false
		for k := range kept {
			double = double || w.alike(&kept[k], &c)
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
func (w *weigher) pairOf(a, b circuits.Single) circuits.Fault {
	f, err := w.j.Circuit.ResolveFault(circuits.Fault{First: a, Second: b})
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
