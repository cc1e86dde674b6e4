package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// walk leads each unknown stimulus that moves an observation through its range, and notes whether the value of a sound machine goes
// one way all along.
func (w *Scales) walk(o *observation) {
	o.even, o.curve = map[int]bool{}, map[int]float64{}
	at := slices.Clone(w.start)
	for _, k := range o.unknowns {
		u := &w.unknowns[k]
		if o.healthy[0].Status == network.Fine && math.Abs(change(&o.healthy[0], u.parameter))*(u.high-u.low) < 0.5*o.sigma {
			continue
		}
		var c network.Case
		var p network.Prediction
		even, last, way := true, 0.0, 0.0
		for n := range walkPlaces {
			at[k] = u.low + (0.02+walkStride*float64(n))*(u.high-u.low)
			c.Place(o.frame.Scene(w.settings(o, at, w.on)), circuits.Single{})
			c.Value(0, &p)
			step := p.Value - last
			if n > 1 {
				o.curve[k] = max(o.curve[k], math.Abs(step-way)/sq(walkStride))
			}
			even = even && p.Status == network.Fine && (n == 0 || math.Abs(step) > 2*o.sigma && way*step >= 0)
			if last = p.Value; n > 0 {
				way = step
			}
		}
		at[k] = w.start[k]
		o.even[k] = even
	}
}

// walkPlaces is where a stimulus is looked at on its way, walkStride how far these places lie apart, in shares of its range.
const (
	walkPlaces = 6
	walkStride = 0.96 / (walkPlaces - 1)
)

// startSearches is how often the search for the start begins again where it ended: the machine's own numbers have their say there.
const startSearches = 2

// findStart lays a sound machine to the readings, so that every search for the unknown stimuli begins where it has them.
func (w *Scales) findStart() {
	if len(w.unknowns) == 0 && len(w.switches) == 0 || w.j.Intermittent {
		return
	}
	b := newBench(w)
	var c cell
	b.place(circuits.Single{})
	b.strip(circuits.Single{}, &c)
	copy(w.start, b.laid.at)
	copy(w.on, b.on)
	for i := range w.obs {
		o := &w.obs[i]
		if len(o.unknowns)+len(o.switches) > 0 {
			o.frame = w.frame(o) // whose first network, from which others are reckoned, is that
			w.open(o)
			w.sound(o, 0)
		}
	}
}
