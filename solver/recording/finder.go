package recording

import (
	"math"
	"slices"
)

// Reading of a recording as it comes: a Finder takes sample after sample and keeps no more than it needs.
const (
	blockSize = 4096  // samples over which the noise is taken to be one
	ringSize  = 16384 // samples at hand for looking again
	// longestDoubt is after how many samples the best explanation is taken although a rival is not beaten yet.
	longestDoubt = 8192
	// gapFactor is how many sampling intervals without a value make a gap.
	gapFactor = 5
	// mostStretches bounds what is kept of a recording that jumps all the time.
	mostStretches = 200_000
)

// Price is what a cut costs in units of the noise's variance. Among n samples of pure normal noise a cut is worth about
// 2·ln n by chance alone; 42 is that of ten million samples, and ten more.
const Price = 42

// Finder looks for jumps in one value of a recording.
type Finder struct {
	step  float64 // finest step of the values
	least float64 // a jump is at least so large
	price float64
	still bool // levels do not wander: the plain cost of PELT, for comparison with published examples

	pendT, pendV []float64 // samples of the block that is being filled
	lastV        []float64 // samples of the block before

	seen     int64 // samples taken so far
	ring     []sample
	contest  contest
	from     int64 // first sample after the last gap
	waiting  []int64
	settled  int64 // cuts up to here are decided
	noise    Noise
	noises   []float64 // noise of each block, for the whole recording's
	interval float64
	held     float64   // root of how many samples carry one value before it is renewed
	sizes    []float64 // room for differences

	found     Found
	sums      sums // at the beginning of the stretch
	out       sums // of the spikes in it
	tentative view // the latest jump, while what follows it may still unmake it
	later     sums // of the spikes after it
}

// sample is one sample with the sums of all before it, and the noise of its block.
type sample struct {
	t, v  float64
	noise float64
	sums  sums
}

// sums are counts over samples, of values less the first value of all.
type sums struct {
	n       int64
	sum, sq float64
}

func (s sums) plus(o sums) sums { return sums{s.n + o.n, s.sum + o.sum, s.sq + o.sq} }

// NewFinder makes a finder for a value that is written in steps of step (0 where that is unknown). A jump must be at least
// least in size, whatever the noise.
func NewFinder(step, least float64) *Finder {
	return &Finder{step: step, least: least, price: Price, ring: make([]sample, ringSize)}
}

// Add takes the next sample. A value that is not a number is a sample in which nothing was recorded. Times must not fall.
func (f *Finder) Add(t, v float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		f.found.Missing++
		return
	}
	if f.seen == 0 && len(f.pendT) == 0 {
		f.found.First, f.found.reference = t, v
	}
	f.pendT, f.pendV = append(f.pendT, t), append(f.pendV, v)
	if len(f.pendT) == blockSize {
		f.block()
	}
}

// Found ends the recording and says what was found.
func (f *Finder) Found() Found {
	f.block()
	f.endPiece()
	f.found.finish(f)
	return f.found
}

// block works through the samples that wait.
func (f *Finder) block() {
	if len(f.pendT) == 0 {
		return
	}
	window := f.pendV
	if len(window) < blockSize {
		window = slices.Concat(f.lastV[min(len(window), len(f.lastV)):], window)
	}
	n := noiseOf(window, f.step)
	if f.still {
		n.Wander = 0
	}
	f.noise, f.held = n, math.Sqrt(n.Held)
	f.noises = append(f.noises, n.SD)
	interval := f.intervalOf(f.pendT)
	for i, v := range f.pendV {
		t := f.pendT[i]
		if f.seen > 0 {
			if before := f.at(f.seen - 1).t; interval > 0 && t-before > gapFactor*interval {
				f.gap(before, t)
			}
		}
		f.take(t, v)
	}
	f.lastV, f.pendV = f.pendV, f.lastV[:0]
	f.pendT = f.pendT[:0]
}

// intervalOf is the usual distance of two samples.
func (f *Finder) intervalOf(times []float64) float64 {
	var steps []float64
	sum := 0.0
	for i := 1; i < len(times); i++ {
		if d := times[i] - times[i-1]; d > 0 {
			steps = append(steps, d)
		}
		sum += times[i] - times[i-1]
	}
	if len(steps) < 2 {
		return f.interval
	}
	// Where several samples carry one time, they are spread over the step to the next time.
	middle := quantile(sorted(steps), 0.5) * float64(len(steps)) / float64(len(times)-1)
	if 2*len(steps) >= len(times) {
		middle = quantile(steps, 0.5)
	}
	if f.interval == 0 {
		f.interval = middle
	}
	f.found.intervals = append(f.found.intervals, middle)
	return max(middle, f.interval, quantile(steps, 0.5))
}

func sorted(v []float64) []float64 {
	slices.Sort(v)
	return v
}

func (f *Finder) at(i int64) *sample { return &f.ring[i&(ringSize-1)] }

// take puts one sample into the ring and the contest.
func (f *Finder) take(t, v float64) {
	x := f.at(f.seen)
	*x = sample{t: t, v: v, noise: f.noise.SD, sums: f.total()}
	f.contest.add(f.seen, v, f.noise, f.price)
	f.seen++
	f.found.Last = t
	if f.seen&63 == 0 {
		f.decide()
	}
}

// total are the sums over all samples so far.
func (f *Finder) total() sums {
	if f.seen == 0 {
		return sums{}
	}
	x := f.at(f.seen - 1)
	d := x.v - f.found.reference
	return sums{x.sums.n + 1, x.sums.sum + d, x.sums.sq + d*d}
}

// decide takes up the cuts on which all rivals agree, and looks at those whose surroundings are complete.
func (f *Finder) decide() {
	if f.seen-f.settled > longestDoubt {
		f.contest.settle(f.seen - longestDoubt/2)
	}
	if at := f.contest.agreed(); at != nil {
		f.accept(at)
	} else if f.seen-f.settled > longestDoubt {
		f.settled = f.seen - longestDoubt/2 // one explanation without a cut that could be shared
	}
	f.verify(false)
	if f.seen-f.tentative.at > longestDoubt+2*closerLook {
		f.confirm() // no cut that is still open lies so near that it could unmake it, and its samples will soon be gone
	}
}

// accept moves a cut and those before it to the cuts that wait for a closer look.
func (f *Finder) accept(at *cut) {
	var starts []int64
	for k := at; k != nil; k = k.prev {
		if k.start > f.from && k.start > f.lastWaiting() {
			starts = append(starts, k.start)
		}
	}
	at.prev = nil
	f.settled = max(f.settled, at.start)
	slices.Reverse(starts)
	f.waiting = append(f.waiting, starts...)
}

// lastWaiting is the latest cut that was taken up in this piece.
func (f *Finder) lastWaiting() int64 {
	if len(f.waiting) > 0 {
		return f.waiting[len(f.waiting)-1]
	}
	return f.found.lastCut
}

// gap ends a piece of the recording: whether the value jumped while nothing was recorded cannot be known.
func (f *Finder) gap(from, to float64) {
	f.endPiece()
	f.found.gap(Gap{From: from, To: to})
}

// endPiece decides all that is open, and closes the last stretch.
func (f *Finder) endPiece() {
	if f.seen == f.from {
		return
	}
	f.accept(f.contest.rivals[f.contest.best()].chain())
	f.verify(true)
	f.closeStretch(f.seen)
	f.contest = contest{}
	f.from, f.settled, f.found.lastCut = f.seen, f.seen, f.seen
}
