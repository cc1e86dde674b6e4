package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Readings at which two values were seen. One that was taken while a place was moved saw a fault come or go. One that was taken while a
// sensor was moved from one end to the other (a sweep) is a reading at either end. Any other is a living signal, a sensor that has
// moved by itself, or the fault coming and going. The last two are parted into two observations, one an end.

// comesByItself is the chance that a value which moved by itself did so because the fault came or went, where a fault is there (ours).
const comesByItself = 0.5

// partEnds parts the observations of two values that no hand has moved. The upper ends stand behind all observations, so that these keep
// their order.
func (w *Scales) partEnds() {
	w.taken = len(w.obs)
	for i := range w.taken {
		o := &w.obs[i]
		device, swept := sweptIn(o.r)
		if !o.pair || o.r.Wiggle != "" || w.j.Intermittent && !swept {
			continue
		}
		o.pair = false
		upper := *o
		o.twin, upper.twin = len(w.obs), i
		o.ol, o.clipped = false, o.clips(o.value)
		upper.value, upper.sigma, upper.ol = o.high, o.sigmaHigh, o.r.OL
		upper.clipped = upper.clips(upper.value)
		if swept {
			o.swept, upper.swept = true, true
			from, to, _ := o.r.Sweep(device)
			o.r, upper.r = setTo(o.r, device, from), setTo(o.r, device, to)
		} else if !o.sound {
			w.living = append(w.living, i)
		}
		w.obs = append(w.obs, upper)
	}
}

// sweptIn is the device that was moved from one end to the other during a reading.
func sweptIn(r circuits.Reading) (device string, swept bool) {
	for _, s := range r.State.Set {
		if s.Moved {
			return s.Device, true
		}
	}
	return "", false
}

// setTo is a reading with a device at a stimulus.
func setTo(r circuits.Reading, device string, to float64) circuits.Reading {
	r.State.Set = append([]circuits.SetDevice(nil), r.State.Set...)
	for i := range r.State.Set {
		if r.State.Set[i].Device == device {
			r.State.Set[i] = circuits.SetDevice{Device: device, Set: to}
		}
	}
	return r
}

// orderEnds gives the lower value of a sweep to the end at which a sound machine shows less, or, in scales turned round, more: with two
// ways changed over a sensor may run backwards, and a job does not say which value was seen at which end.
func (w *Scales) orderEnds() {
	for i := range w.taken {
		o := &w.obs[i]
		if !o.swept {
			continue
		}
		upper := &w.obs[o.twin]
		if lower := o.healthy[0].Value <= upper.healthy[0].Value; lower == w.turned {
			o.r, upper.r = upper.r, o.r
			w.prepare(o)
			w.prepare(upper)
		}
	}
}

// turnRound weighs two ways changed over with the ends of the sweeps the other way round too, and keeps what fits better. bench is of
// these scales turned round.
func (w *Scales) turnRound(x *Weighed) {
	if x.Fault.Kind != circuits.Swapped || w.other == nil {
		return
	}
	y := Weighed{Hypothesis: x.Hypothesis, in: w.other}
	newBench(w.other).coarse(&y)
	if y.total() > x.total() {
		*x = y
	}
}

// evaluate weighs one strip of a fault.
func (b *bench) evaluate(f circuits.Single, c *cell) {
	if byStrip(f) {
		f = c.placed(f)
		b.place(f)
	}
	c.away, c.gone = nil, nil
	b.strip(f, c)
	if len(b.w.living) > 0 && f.Kind != circuits.Healthy && !hypothesis.Steady(f) && !readsOff(f) {
		b.byEnds(f, c)
	}
	b.byFuses(f, c)
}

// byEnds adds to a strip that of each reading which moved by itself one end may be what a sound machine shows.
func (b *bench) byEnds(f circuits.Single, c *cell) {
	gain := 0.0
	for _, i := range b.w.living {
		both := c.logL
		sum := both + math.Log(1-comesByItself)
		for _, end := range [2]int{i, b.w.obs[i].twin} {
			away := both
			if b.trays[end].felt {
				one := *c
				one.away = append(append([]int(nil), c.away...), end)
				b.strip(f, &one)
				if away = one.logL; away > c.logL {
					*c = one
				}
			}
			sum = logAdd(sum, away+math.Log(comesByItself/2))
		}
		gain += sum - c.logL
	}
	c.logL += gain
}

// leave makes the ends at which the fault was away what they are of a sound machine, until they are given back.
func (b *bench) leave(away []int) (giveBack func()) {
	kept := make([]tray, len(away))
	for n, i := range away {
		t := &b.trays[i]
		kept[n].felt, kept[n].weak, kept[n].own = t.felt, t.weak, t.own
		t.felt, t.weak, t.own, t.away = false, true, false, true
	}
	return func() {
		for n, i := range away {
			t := &b.trays[i]
			t.felt, t.weak, t.own, t.away = kept[n].felt, kept[n].weak, kept[n].own, false
		}
	}
}

// foldEnds makes one account of the two ends of each reading that was parted.
func (w *Scales) foldEnds(c *Account) {
	for i := range w.taken {
		if k := w.obs[i].twin; k >= 0 {
			c.High[i] = c.Predicts[k]
			c.Misread[i] = max(c.Misread[i], c.Misread[k])
			c.Over[i] = c.Over[i] || c.Over[k]
			if !(math.Abs(c.Gap[k]) <= math.Abs(c.Gap[i])) {
				c.Gap[i] = c.Gap[k]
			}
			if c.Why[i] == (network.Reason{}) {
				c.Why[i] = c.Why[k]
			}
		}
	}
	n := w.taken
	c.Predicts, c.High, c.Misread, c.Over, c.Gap, c.Why = c.Predicts[:n], c.High[:n], c.Misread[:n], c.Over[:n], c.Gap[:n], c.Why[:n]
}
