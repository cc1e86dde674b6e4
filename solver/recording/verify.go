package recording

import (
	"math"
	"slices"
)

// A cut is a jump where it is abrupt, clear of the noise around it, and large.
const (
	lookAround = 16 // samples on each side that are looked at again
	atTheEdge  = 3  // samples on each side that tell the abrupt change
	// LeastNoises is how many standard deviations of the noise two levels must be apart to be called a jump. Less is a
	// shift, told as such: by eye it would not be seen in single samples.
	LeastNoises = 4
	leastSteps  = 2.5
	roughOver   = 48
	runOver     = 8 // samples on each side that tell a run
	nearby      = 7 // samples on each side whose changes an abrupt change must stand out from
	standsOut   = 2.5
	// closerLook is how long a cut waits for samples after it.
	closerLook = 4 * lookAround
)

// verify looks again at the cuts that wait: at each once the next one is known or enough samples have followed, at the end of
// a piece at all. Cuts that follow each other within two samples are looked at as one.
func (f *Finder) verify(end bool) {
	for len(f.waiting) > 0 {
		last := 0
		for last+1 < len(f.waiting) && f.waiting[last+1]-f.waiting[last] <= shortest {
			last++
		}
		next := f.seen
		switch {
		case last+1 < len(f.waiting):
			next = f.waiting[last+1]
		case !end && f.seen-f.waiting[last] < closerLook:
			return
		}
		if group := f.waiting[:last+1]; last == 0 {
			f.single(group[0], next)
		} else {
			f.excursion(group, next)
		}
		f.found.lastCut = f.waiting[last]
		f.waiting = f.waiting[last+1:]
	}
	if end {
		f.confirm()
	}
}

// shortest is the number of samples up to which an excursion is a spike: too short to know its level.
const shortest = 2

// view is a cut with the samples on both sides that belong to it.
type view struct{ from, at, to int64 }

// around are the samples at a cut, as far as the cuts before and after it, the rejected ones too.
func (f *Finder) around(at, next int64) view {
	return view{from: max(f.from, f.found.lastCut, at-lookAround, f.seen-ringSize+1), at: at, to: min(next, at+lookAround)}
}

// single decides what a cut by itself is.
func (f *Finder) single(at, next int64) {
	v := f.around(at, next)
	if v.from >= at || v.to <= at {
		return
	}
	if !f.still && next == f.seen && next-at <= shortest && len(f.waiting) == 1 {
		f.lastSamples(v)
		return
	}
	if f.still || f.isJump(v) {
		f.confirm()
		f.tentative = v
		return
	}
	f.rejected(at, next)
	if f.isShift(v) {
		f.found.shift(Shift{At: f.middle(at), Size: f.median(v.at, v.to) - f.median(v.from, v.at)})
	}
}

// lastSamples looks at a cut one or two samples before the end: whether the new level would have stayed is not known, so it
// is a spike at most.
func (f *Finder) lastSamples(v view) {
	f.rejected(v.at, f.seen)
	noise, around := f.noiseAround(v.at), f.median(v.from, v.at)
	level := f.mean(v.at, v.to)
	if d := math.Abs(level - around); d >= max(f.leastAt(noise), math.Sqrt(2*f.price)*noise*f.held) {
		f.spike(v.at, v.to-v.at, level, around)
	}
}

// rejected looks once more at the jump before a cut that was none: what followed that jump is longer than it seemed, and may
// be the old level again.
func (f *Finder) rejected(at, next int64) {
	if v := f.tentative; v.at > 0 && at-v.at < lookAround {
		v.to = min(next, v.at+lookAround)
		if f.tentative = v; !f.isJump(v) {
			f.tentative = view{}
			f.out, f.later = f.out.plus(f.later), sums{}
		}
	}
}

// confirm closes the stretch before the jump that was still tentative.
func (f *Finder) confirm() {
	if f.tentative.at > 0 {
		f.closeStretch(f.tentative.at)
		f.tentative = view{}
		f.out, f.later = f.out.plus(f.later), sums{}
	}
}

// isJump tells whether a cut is abrupt, clear of the noise and large.
func (f *Finder) isJump(v view) bool {
	noise := f.noiseAround(v.at)
	before, after := float64(v.at-v.from), float64(v.to-v.at)
	wide := f.median(v.at, v.to) - f.median(v.from, v.at)
	if math.Abs(wide)/(noise*f.held*math.Sqrt(1/before+1/after)) < math.Sqrt(f.price) {
		return false
	}
	step := f.median(v.at, min(v.to, v.at+atTheEdge)) - f.median(max(v.from, v.at-atTheEdge), v.at)
	// Twice the size, by the few samples at the edge and by twice as many, each less what a run over its distance would make.
	run, twice := f.run(v.at, step), 0.0
	for _, few := range []int64{atTheEdge, 2 * atTheEdge} {
		from, to := max(v.from, v.at-few), min(v.to, v.at+few)
		twice += math.Abs(f.median(v.at, to)-f.median(from, v.at)) - run*float64(to-from)/2
	}
	return step*wide > 0 && twice/2 >= f.leastAt(noise) && f.abrupt(v.at, step)
}

// leastAt is the least size of a jump in such noise.
func (f *Finder) leastAt(noise float64) float64 {
	return max(LeastNoises*noise, leastSteps*f.step, f.least)
}

// isShift tells whether a cut is a sure change between two steady levels, if a small one.
func (f *Finder) isShift(v view) bool {
	noise := f.noiseAround(v.at)
	wide := f.median(v.at, v.to) - f.median(v.from, v.at)
	z := math.Abs(wide) / (noise * f.held * math.Sqrt(1/float64(v.at-v.from)+1/float64(v.to-v.at)))
	return z >= math.Sqrt(f.price) && math.Abs(wide) >= max(noise, f.step) && f.stands(v, wide)
}

// excursion decides what cuts are that follow each other within two samples: spikes, or one jump with a sample or two on
// the way.
func (f *Finder) excursion(group []int64, next int64) {
	first, last := group[0], group[len(group)-1]
	v := f.around(first, first)
	to := min(next, last+lookAround)
	if v.from >= first || to <= last {
		return
	}
	noise := max(f.noiseAround(first), f.noiseAround(last))
	before, after := f.median(v.from, first), f.median(last, to)
	if math.Abs(after-before) >= f.leastAt(noise) { // the level is another one: the jump is where most of it happens
		at, most := first, 0.0
		for i := first; i <= last; i++ {
			if d := math.Abs(f.at(i).v - f.at(i-1).v); d > most {
				at, most = i, d
			}
		}
		if j := (view{from: max(f.from, f.found.lastCut, at-lookAround), at: at, to: max(to, at+1)}); f.isJump(j) {
			f.confirm()
			f.tentative = j
			return
		}
		f.rejected(first, next)
		return
	}
	f.rejected(first, next)
	around := (before + after) / 2
	for i := first; i < last; i++ {
		k, sum := i, 0.0
		for k < last && math.Abs(f.at(k).v-around) >= math.Sqrt(2*f.price)*noise*f.held && k-i < shortest {
			sum += f.at(k).v
			k++
		}
		if n := k - i; n > 0 {
			if level := sum / float64(n); math.Abs(level-around) >= f.leastAt(noise) {
				f.spike(i, n, level, around)
			}
			i = k - 1
		}
	}
}

// spike notes an excursion and takes its samples out of the stretch that it interrupts.
func (f *Finder) spike(at, n int64, level, around float64) {
	f.found.spike(Spike{At: f.at(at).t, Samples: n, Level: level, Around: around})
	out := &f.out
	if f.tentative.at > 0 && at >= f.tentative.at {
		out = &f.later
	}
	for i := at; i < at+n; i++ {
		d := f.at(i).v - f.found.reference
		*out = out.plus(sums{1, d, d * d})
	}
}

// noiseAround is the noise at a cut: that of its block, or that of the samples on one of its sides where they are noisier. A
// value that runs up or down steadily is noisy in that sense, so no cut within a run is abrupt.
func (f *Finder) noiseAround(at int64) float64 {
	first := max(f.from, f.seen-ringSize+1)
	return max(f.at(at).noise, f.roughness(max(first, at-roughOver), at), f.roughness(at, min(f.seen, at+roughOver)))
}

// roughness is the noise in some samples, by the lower third of their differences: up to half of them may be jumps.
func (f *Finder) roughness(from, to int64) float64 {
	sizes := f.differences(from, to)
	if len(sizes) < 5 {
		return 0
	}
	const normalThird = 0.43072730 // a third of a normal distribution lies within ± this
	return quantile(sizes, 1.0/3) / (normalThird * math.Sqrt2)
}

// differences are the sizes of the changes within some samples, in rising order.
func (f *Finder) differences(from, to int64) []float64 {
	f.sizes = f.sizes[:0]
	for i := from + 1; i < to; i++ {
		f.sizes = append(f.sizes, math.Abs(f.at(i).v-f.at(i-1).v))
	}
	slices.Sort(f.sizes)
	return f.sizes
}

// run is how fast the value runs before or after a cut, in the direction of the step, by sample: the steeper of the straight
// lines through the few samples on either side. A step that only goes on like that is none.
func (f *Finder) run(at int64, step float64) float64 {
	first := max(f.from, f.seen-ringSize+1)
	return max(0, f.slope(max(first, at-runOver), at)*sign(step), f.slope(at, min(f.seen, at+runOver))*sign(step))
}

// slope of the least-squares line through some samples; 0 for fewer than four.
func (f *Finder) slope(from, to int64) float64 {
	n := float64(to - from)
	if n < 4 {
		return 0
	}
	middle, sum, square := (n-1)/2, 0.0, 0.0
	for i := from; i < to; i++ {
		x := float64(i-from) - middle
		sum, square = sum+x*f.at(i).v, square+x*x
	}
	return sum / square
}

func sign(v float64) float64 { return math.Copysign(1, v) }

// abrupt tells whether a change happens between two samples (or with one sample on the way), not over many: the change
// there must be most of the whole, and stand out from the changes of the few samples on either side.
func (f *Finder) abrupt(at int64, step float64) bool {
	first := max(f.from, f.seen-ringSize+1)
	there := math.Abs(f.at(at).v - f.at(at-1).v)
	if at+1 < f.seen {
		there = max(there, math.Abs(f.at(at+1).v-f.at(at-1).v)/2)
	}
	if at-2 >= first {
		there = max(there, math.Abs(f.at(at).v-f.at(at-2).v)/2)
	}
	usual := 0.0
	for _, side := range [][2]int64{{max(first, at-nearby), at}, {at, min(f.seen, at+nearby)}} {
		if sizes := f.differences(side[0], side[1]); len(sizes) > 2 {
			usual = max(usual, quantile(sizes, 0.5))
		}
	}
	return there >= math.Abs(step)/2 && there >= standsOut*usual
}

// stands tells a shift between two steady levels from a piece of a longer run: the halves on each side must differ less
// than the sides do.
func (f *Finder) stands(v view, wide float64) bool {
	from, at, to := v.from, v.at, v.to
	if at-from < 6 || to-at < 6 {
		return false
	}
	runs := f.mean((from+at)/2, at) - f.mean(from, (from+at)/2) + f.mean((at+to)/2, to) - f.mean(at, (at+to)/2)
	return math.Abs(runs) < math.Abs(wide)/2
}

// median of the samples from one position to before another: a single wild sample moves it little.
func (f *Finder) median(from, to int64) float64 {
	f.sizes = f.sizes[:0]
	for i := from; i < to; i++ {
		f.sizes = append(f.sizes, f.at(i).v)
	}
	slices.Sort(f.sizes)
	n := len(f.sizes)
	return (f.sizes[(n-1)/2] + f.sizes[n/2]) / 2
}

// mean of the samples from one position to before another.
func (f *Finder) mean(from, to int64) float64 {
	sum := 0.0
	for i := from; i < to; i++ {
		sum += f.at(i).v
	}
	return sum / float64(to-from)
}

// middle is the time between the last sample before a cut and the first one after it.
func (f *Finder) middle(at int64) float64 { return (f.at(at-1).t + f.at(at).t) / 2 }

// closeStretch ends the stretch that is open before a sample.
func (f *Finder) closeStretch(before int64) {
	var end sums
	if before == f.seen {
		end = f.total()
	} else {
		end = f.at(before).sums
	}
	taken := end.n - f.sums.n
	n := taken - f.out.n
	if n <= 0 {
		return
	}
	mean := (end.sum - f.sums.sum - f.out.sum) / float64(n)
	variance := (end.sq-f.sums.sq-f.out.sq)/float64(n) - mean*mean
	f.out = sums{}
	s := Stretch{From: f.found.open, To: f.at(before - 1).t, Samples: n, Level: f.found.reference + mean, SD: math.Sqrt(max(variance, 0)),
		Noise: f.noise.SD, piece: len(f.found.Gaps)}
	if before < f.seen {
		s.Noise = f.at(before).noise
	}
	f.found.add(s)
	f.sums = end
	if before < f.seen {
		f.found.open = f.at(before).t
	}
}
