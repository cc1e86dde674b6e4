package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// row is what the prediction of an observation leans on: by column, its change by one standard deviation of what the column
// stands for. Columns are the circuit's parameters, then the job's unknown stimuli, then the position of the ohms within their
// strip, the wear of all contacts, the gain of the meter's ranges, and what the sound machine beside it has of its own: its
// parameters, its wear.
type row struct {
	column  []int32
	by      []float64
	numbers int     // of them, first: the gain, the machine's own numbers, the wear
	shift   float64 // of the value: what those numbers are in the mean, against their nominals
}

func (r *row) add(column int, by float64) {
	if by != 0 {
		r.column, r.by = append(r.column, int32(column)), append(r.by, by)
	}
}

// of is what the row has in a column.
func (r *row) of(column int) float64 {
	for k, c := range r.column {
		if int(c) == column {
			return r.by[k]
		}
	}
	return 0
}

func (w *Scales) unknownColumn(k int) int { return len(w.parameters) + k }
func (w *Scales) positionColumn() int     { return len(w.parameters) + len(w.unknowns) }
func (w *Scales) wearColumn() int         { return w.positionColumn() + 1 }
func (w *Scales) sisterColumn() int       { return w.wearColumn() + 1 + len(circuits.Quantities()) }
func (w *Scales) columns() int            { return w.sisterColumn() + len(w.parameters) + 1 }

func (w *Scales) gainColumn(q circuits.Quantity) int {
	for i, x := range circuits.Quantities() {
		if x == string(q) {
			return w.wearColumn() + 1 + i
		}
	}
	return -1
}

// gainShare is how much of a meter's error in per cent of the reading is one error of gain for the whole job, and not another
// one at every reading, as a share of the variance (ours).
const gainShare = 0.5

// gainSD is one standard deviation of what the gain of the meter's range adds to a value.
func gainSD(m circuits.Meter, q circuits.Quantity, value float64) float64 {
	return math.Abs(value) * m.Accuracy(q).Pct / 100 / math.Sqrt(3) * math.Sqrt(gainShare)
}

// unknownAt is the unknown stimulus behind a parameter at an observation; -1 where it is known there.
func (b *bench) unknownAt(o *observation, q int) int {
	if b.wrong >= 0 && !o.sound && b.w.unknowns[b.wrong].parameter == q {
		return b.wrong
	}
	for _, k := range o.unknowns {
		if b.w.unknowns[k].parameter == q {
			return k
		}
	}
	return -1
}

// wearOhms is one standard deviation of what age and weather have added to every contact of a machine alike (ours): contacts of
// one harness are old together.
const wearOhms = 0.1

// lean fills in an observation's row for a prediction that was made with the unknowns at those places. It gives the value with
// every unknown in the middle of what was known beforehand, and the variance that no other reading shares.
func (b *bench) lean(r *row, o *observation, p *network.Prediction, at []float64, width float64) (value, own float64) {
	w := b.w
	r.column, r.by, r.shift = r.column[:0], r.by[:0], 0
	r.add(w.gainColumn(o.quantity), gainSD(w.j.Meter, o.quantity, o.value))
	wear := 0.0
	for _, l := range p.Leans {
		q, s := int(l.Parameter), l.Change
		if w.parameters[q].Kind == network.Stimulus || w.exact[q] {
			continue
		}
		wear += s * w.perOhm[q]
		if math.Abs(s)*max(1, w.perOhm[q]*wearOhms) > slight*o.sigma {
			w.addNumber(r, o, q, s)
			r.shift += s * (w.offset[q] - b.deviation(q))
		}
	}
	if !w.j.AsDrawn && !w.off.Tolerances {
		at := w.wearColumn()
		if o.sound {
			at = w.columns() - 1
		}
		r.add(at, wear*wearOhms)
	}
	r.numbers = len(r.column)
	return b.leanAgain(r, o, p, at, width)
}

// sisterShare is one standard deviation of what the number of a module or part differs between two machines of one make, in those of
// its width: no more than a tenth of the range (format.md, section 5).
const sisterShare = 0.2

// sisterBattery is one standard deviation of the sound machine's battery volts, as a share (format.md, section 5): what was measured at
// the posts is this machine's.
const sisterBattery = 0.04 / 1.7320508075688772

// addNumber adds what an observation leans on one of the machine's own numbers. The sound machine beside it has the same make of
// modules and parts, and its own battery, wires and contacts.
func (w *Scales) addNumber(r *row, o *observation, q int, s float64) {
	if !o.sound {
		r.add(q, s)
		return
	}
	own := 1.0
	switch p := &w.parameters[q]; {
	case p.Kind == network.Inside:
		r.add(q, s)
		own = sisterShare
	case p.Place == circuits.BPositive && !p.Log:
		own = max(1, sisterBattery*p.Nominal/p.Deviation())
	}
	r.add(w.sisterColumn()+q, own*s)
}

// leanAgain is lean where only the unknown stimuli have moved: the machine's own numbers are left as the row has them.
func (b *bench) leanAgain(r *row, o *observation, p *network.Prediction, at []float64, width float64) (value, own float64) {
	w := b.w
	r.column, r.by = r.column[:r.numbers], r.by[:r.numbers]
	value, own = p.Value+r.shift, sq(o.sigma)-sq(gainSD(w.j.Meter, o.quantity, o.value))
	for _, l := range p.Leans {
		q, s := l.Parameter, l.Change
		if w.parameters[q].Kind != network.Stimulus {
			continue
		}
		k := b.unknownAt(o, int(q))
		if k < 0 {
			continue
		}
		u := &w.unknowns[k]
		r.add(w.unknownColumn(k), s*u.sd())
		value += s * (u.mid() - at[k])
		own += sq(s * u.drift())
	}
	if w.off.Position {
		width = 0
	}
	r.add(w.positionColumn(), p.Slope*kernel*width)
	value -= p.Slope * kernel * width * b.offMiddle
	return value, own + sq(curvature*p.Slope*width*width)
}

// change is a prediction's by one standard deviation of a parameter, or one unit of a stimulus.
func change(p *network.Prediction, q int) float64 {
	for _, l := range p.Leans {
		if int(l.Parameter) == q {
			return l.Change
		}
	}
	return 0
}

// least is the change from which on a reading's leanings are asked for: small enough for the wear of all contacts together.
func (o *observation) least() float64 { return slight / 5 * o.sigma }

// slight is the share of a reading's own error below which a parameter's is left out.
const slight = 0.01

// curvature is how far a reading strays from its straight line across a strip, as a share of the slope times the width
// squared: an eighth of the second derivative, which for a divider is at most the slope, at its rms over the strip. It
// keeps a coarse strip from ruling out what lies within it.
const curvature = 0.06

// kernel is the width of a cell's Gaussian in widths of the cell: wide enough that the sum over neighbouring cells is
// smooth (within 10 %), narrow enough to keep the bounds.
const kernel = 0.4
