package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// What comes and goes is weighed reading by reading, for the fault may have been there at each with other ohms, or away. The machine is
// one all the same: its ground is as far above B- at one reading as at the next. So each reading is predicted with the machine's own
// numbers as the other readings have them, taken for those of a sound machine, and also with the numbers that any machine may have: for some
// of the others, nobody knows which, the fault was there.

// calibrate puts the networks of all observations to the numbers of a sound machine that is laid to the plain readings, and lays one to these
// without each of them in turn.
func (w *Scales) calibrate() {
	if !w.j.Intermittent || w.off.Tolerances || len(w.obs) == 0 {
		return
	}
	b := newBench(w)
	b.place(circuits.Single{})
	var c cell
	b.strip(circuits.Single{}, &c)
	w.baseOff = b.numbersOf(&b.laid)
	w.base = make(network.Settings, len(w.parameters))
	for q, p := range w.parameters {
		if w.base[q] = math.NaN(); w.baseOff[q] != 0 {
			w.base[q] = min(max(p.Moved(p.Nominal, w.baseOff[q]), p.Low), p.High)
		}
	}
	for i := range w.obs {
		o := &w.obs[i]
		o.frame = w.frame(o)
		w.prepare(o)
		w.throwSwitches(o)
	}
	w.rest = make([]*laid, len(w.obs))
	b = newBench(w)
	b.place(circuits.Single{})
	b.strip(circuits.Single{}, &c)
	plain := append([]int(nil), b.plain...)
	for i := range w.obs {
		var members []int
		for _, k := range plain {
			if k != i {
				members = append(members, k)
			}
		}
		if len(members) > 0 {
			b.locate(&b.laid, circuits.Single{}, members, 0, 0, true)
			b.explain(&b.laid, circuits.Single{}, &cell{mean: b.floats(len(w.obs)), miss: b.floats(len(w.obs))}, true)
			w.rest[i] = b.laid.kept()
		}
	}
}

// numbers is what the machine's own numbers, as the other readings have them if calibrated, do to a prediction of an observation: by how much they
// shift it from where it is with all numbers nominal, and one standard deviation of what is left open.
func (w *Scales) numbers(room *scratch, i int, p *network.Prediction, calibrated bool) (shift, sd float64) {
	o := &w.obs[i]
	r := &room.row
	r.column, r.by, r.shift = r.column[:0], r.by[:0], 0
	wear := 0.0
	for _, l := range p.Leans {
		q, s := int(l.Parameter), l.Change
		if w.parameters[q].Kind == network.Stimulus || w.exact[q] {
			continue
		}
		wear += s * w.perOhm[q]
		w.addNumber(r, o, q, s)
		shift += s * (w.offset[q] - w.stands(q))
	}
	if !w.j.AsDrawn {
		r.add(w.wearColumn(), wear*wearOhms)
	}
	variance := 0.0
	for _, by := range r.by {
		variance += sq(by)
	}
	if l := w.rest[i]; calibrated && l != nil {
		shift, variance = room.towards(w, l, r, shift, variance)
	}
	return shift, math.Sqrt(max(variance, 0))
}

// stands is by how many standard deviations a number of the machine stands off its nominal value in the networks of all observations.
func (w *Scales) stands(q int) float64 {
	if w.baseOff == nil {
		return 0
	}
	return w.baseOff[q]
}

// sceneOf is the network of an observation at some stimuli, of the machine as far as it is known.
func (w *Scales) sceneOf(o *observation, set map[string]float64) *network.Scene {
	if o.sound {
		return o.frame.Scene(set)
	}
	return o.frame.SceneOf(set, w.base)
}

// towards is the mean and variance of a row's sum once the members of a laid strip are known.
func (room *scratch) towards(w *Scales, l *laid, r *row, mean, variance float64) (float64, float64) {
	n := len(l.members)
	for len(room.dense) < w.columns() {
		room.dense = append(room.dense, 0)
	}
	for len(room.toward) < n {
		room.toward = append(room.toward, 0)
	}
	for k, c := range r.column {
		room.dense[c] = r.by[k]
	}
	for x := range n {
		sum := 0.0
		for k, c := range l.rows[x].column {
			sum += room.dense[c] * l.rows[x].by[k]
		}
		room.toward[x] = sum
		mean += sum * l.joint.pull[x]
	}
	for _, c := range r.column {
		room.dense[c] = 0
	}
	for x := range n {
		for y := range n {
			variance -= room.toward[x] * l.joint.precision[x*n+y] * room.toward[y]
		}
	}
	return mean, variance
}
