package evidence

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// weigh reckons the evidence of every hypothesis. Faults that no reading can tell apart at all are reckoned once.
func (w *Scales) weigh(hs []hypothesis.Hypothesis) []Weighed {
	out := make([]Weighed, len(hs))
	classes := map[string]int{}
	var todo []int
	same := make([]int, len(hs))
	for i, h := range hs {
		out[i].Hypothesis = h
		key := w.class(h.Fault)
		if first, ok := classes[key]; ok && key != "" {
			same[i] = first
			continue
		}
		same[i] = i
		classes[key] = i
		todo = append(todo, i)
	}
	if len(todo) > 0 && hs[todo[0]].Fault.Kind == circuits.Healthy { // it sets the mark for the others
		newBench(w).coarse(&out[todo[0]])
		bare := out[todo[0]].cells[0]
		w.healthy = &bare
		w.best = max(w.best, out[todo[0]].total()+math.Log(hs[todo[0]].Prior))
	}
	// The mark moves between passes only, so that what is left out does not depend on which processor was faster.
	w.forEach(todo, func(b *bench, i int) {
		if out[i].cells == nil {
			b.coarse(&out[i])
			w.turnRound(&out[i])
		}
	})
	for _, i := range todo {
		if f := hs[i].Fault.Kind; f == circuits.Unlisted || w.j.Intermittent {
			w.best = max(w.best, out[i].total()+math.Log(hs[i].Prior))
		}
	}
	w.sumUp(out, todo)
	w.followBest(out, todo)
	w.sumUp(out, todo)
	w.forEach(todo, func(b *bench, i int) { b.of(&out[i]).fine(&out[i]) })
	for i := range out {
		if same[i] != i {
			h := out[i].Hypothesis
			out[i] = out[same[i]]
			out[i].Hypothesis = h
		}
		w.conclude(&out[i])
	}
	return out
}

// of is the bench on which a hypothesis is weighed: another one where the sweeps are turned round for it.
func (b *bench) of(x *Weighed) *bench {
	if x.in == nil {
		return b
	}
	return newBench(x.in)
}

// sumUp adds up the evidence of all hypotheses as far as it is known.
func (w *Scales) sumUp(xs []Weighed, todo []int) {
	w.whole = w.best
	for _, i := range todo {
		w.whole = logAdd(w.whole, xs[i].total()+math.Log(xs[i].Prior))
	}
}

// followedAtOnce is how many hypotheses are followed before the mark moves for the first time; then twice as many, and so on.
const followedAtOnce = 4

// followBest weighs the hypotheses again that are near the best one by their straight laws, the nearest first: each that is
// followed moves the mark, and spares those far below it.
func (w *Scales) followBest(xs []Weighed, todo []int) {
	straight := func(i int) float64 { return xs[i].total() + math.Log(xs[i].Prior) }
	order := slices.Clone(todo)
	slices.SortStableFunc(order, func(i, k int) int { return cmp.Compare(straight(k), straight(i)) })
	for count := followedAtOnce; len(order) > 0; count *= 2 {
		var near []int
		for len(order) > 0 && len(near) < count {
			if i := order[0]; w.followed(&xs[i], xs[i].total()) {
				near = append(near, i)
			}
			order = order[1:]
		}
		w.forEach(near, func(b *bench, i int) { b.of(&xs[i]).exact(&xs[i]) })
		for _, i := range near {
			w.best = max(w.best, straight(i))
		}
	}
}

// forEach works through a list on all processors, each with a bench of its own.
func (w *Scales) forEach(list []int, work func(b *bench, i int)) {
	queue := make(chan int, len(list))
	for _, i := range list {
		queue <- i
	}
	close(queue)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(list)) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			b := newBench(w)
			for i := range queue {
				work(b, i)
			}
		}()
	}
	wait.Wait()
}

// class names the series faults that are one to every reading; "" for a fault that stands for itself.
func (w *Scales) class(f circuits.Single) string {
	if f.Kind != circuits.Open && f.Kind != circuits.HighResistance {
		return ""
	}
	key := make([]byte, 0, 4*len(w.obs)+8)
	key = append(key, byte(f.Kind))
	put := func(s *network.Scene) {
		k := s.Class(f.At)
		key = append(key, byte(k), byte(k>>8), byte(k>>16))
	}
	for i := range w.obs {
		put(w.obs[i].scenes[0])
	}
	for i := range w.codes {
		put(w.codes[i].scenes[0])
	}
	return string(key)
}

// pairHopeless is hopelessGap for pairs, which must beat the best single fault to count at all.
const pairHopeless = 8

// Beside weighs other faults with one built in that is there as well, with the ohms that suit it best. odds is the logarithm of
// the odds beforehand that two faults are there, of which it is one.
func (w *Scales) Beside(x *Weighed, odds float64, others []hypothesis.Hypothesis) []Weighed {
	there := x.Fault
	if there.Kind.TakesOhms() {
		there = there.WithOhms(math.Exp(x.likeliest().logOhms))
	} else if there.IsLowReference() {
		best := x.likeliest()
		there = best.placed(there)
	}
	in := NewScales(w.j, w.off, there)
	cost := odds + x.share()
	in.best = w.best - cost
	in.hopeless, in.coarse = pairHopeless, pairHopeless/2
	out := in.weigh(others)
	in.Forget()
	beside := x.Fault
	for i := range out {
		out[i].Beside, out[i].in = &beside, in
		out[i].LogZ += cost
	}
	return out
}
