package recording

import (
	"slices"
)

// Stretch is a part of a recording in which the value kept to one level, drift apart.
type Stretch struct {
	From, To float64 // times of its first and last sample
	Samples  int64
	Level    float64 // mean
	SD       float64 // of all its samples, drift included
	Noise    float64 // of its samples about its level, drift apart
	State    int     // index into Found.States

	piece int // number of gaps before it
}

// Jump is an abrupt change from one stretch to the next.
type Jump struct {
	From, To      float64 // it lies between these times: the last sample before and the first after
	Before, After float64 // levels
}

// At is the middle of a jump's bounds.
func (j Jump) At() float64 { return (j.From + j.To) / 2 }

// Spike is an excursion of one or two samples: too short to know its level.
type Spike struct {
	At      float64 // time of its first sample
	Samples int64
	Level   float64 // mean of its samples
	Around  float64 // the level around it
}

// Shift is a change that is sure but too small to be called a jump.
type Shift struct{ At, Size float64 }

// Gap is a time without a value, longer than a few sampling intervals.
type Gap struct {
	From, To      float64
	Before, After float64 // levels of the stretches at its ends
}

// Found is what a recording shows.
type Found struct {
	First, Last float64 // times
	Samples     int64
	Missing     int64   // samples without a value
	Interval    float64 // usual time between two samples
	Noise       float64 // middle of the blocks' noise
	Stretches   []Stretch
	Jumps       []Jump
	Spikes      []Spike
	SpikeCount  int
	Gaps        []Gap
	Shifts      []Shift // the first ones
	ShiftCount  int
	States      []State // by falling time
	Overflow    bool    // it jumps so often that only the first jumps are told

	intervals []float64
	reference float64
	open      float64 // time of the first sample of the open stretch
	lastCut   int64
	opened    bool
}

// mostShifts bounds the shifts that are told one by one.
const mostShifts = 50

func (r *Found) shift(s Shift) {
	r.ShiftCount++
	if len(r.Shifts) < mostShifts {
		r.Shifts = append(r.Shifts, s)
	}
}

func (r *Found) spike(s Spike) {
	r.SpikeCount++
	if len(r.Spikes) < mostStretches {
		r.Spikes = append(r.Spikes, s)
	}
}

func (r *Found) gap(g Gap) {
	r.Gaps = append(r.Gaps, g)
	r.open = g.To
}

// add takes the next stretch.
func (r *Found) add(s Stretch) {
	if !r.opened {
		s.From, r.opened = r.First, true
	}
	r.Samples += s.Samples
	if len(r.Stretches) >= mostStretches {
		r.Overflow = true
		return
	}
	r.Stretches = append(r.Stretches, s)
}

// finish turns stretches into jumps, spikes and states.
func (r *Found) finish(f *Finder) {
	r.Noise = middle(f.noises)
	r.Interval = middle(r.intervals)
	for i := 1; i < len(r.Stretches); i++ {
		a, b := r.Stretches[i-1], r.Stretches[i]
		if a.piece == b.piece {
			r.Jumps = append(r.Jumps, Jump{From: a.To, To: b.From, Before: a.Level, After: b.Level})
			continue
		}
		for g := a.piece; g < b.piece; g++ {
			r.Gaps[g].Before, r.Gaps[g].After = a.Level, b.Level
		}
	}
	r.states()
}

func middle(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	return quantile(sorted(slices.Clone(v)), 0.5)
}
