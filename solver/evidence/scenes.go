package evidence

import (
	"math"

	"ohmtrail/solver/network"
)

// first predicts an observation where the search for its unknown stimuli begins, and sees whether one matters to it.
func (b *bench) first(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	preds := b.trays[i].preds
	b.look0(i, ohms, &preds[0])
	b.trays[i].uses = 1
	clear(b.trays[i].wide)
	if b.trays[i].count > 1 {
		matters := b.widen(o, i, 0)
		if !matters && (b.w.scen.two || preds[0].Status != network.Fine) {
			for k := 1; k < min(3, b.trays[i].count) && !matters; k++ {
				b.lookAside(i, k, ohms)
				matters = preds[k].Status != preds[0].Status || math.Abs(preds[k].Value-preds[0].Value) > 0.3*o.sigma
			}
		}
		if matters {
			b.trays[i].uses = b.trays[i].count
		}
	}
	b.bend(i, 0, c)
}

// look0 predicts an observation where the search begins. One that does not feel the fault is what it is of a sound machine, and
// is not asked again for all that it leans on.
func (b *bench) look0(i int, ohms float64, p *network.Prediction) {
	sound := &b.w.obs[i].healthy[0]
	if !b.trays[i].felt {
		copySound(p, sound)
		return
	}
	c := b.caseOf(i, 0)
	if b.w.healthy != nil && b.forced == "" {
		leans := p.Leans
		if c.Value(ohms, p); !feels(&b.w.obs[i], p, sound) {
			copySound(p, sound)
			return
		}
		if near, ok := b.nearBy(i, p); ok {
			p.Leans = append(leans[:0], near...)
			return
		}
	}
	c.Leaning(ohms, b.w.obs[i].least(), p)
	b.trays[i].latest = latest{p.Value, append(b.trays[i].latest.leans[:0], p.Leans...), p.Status == network.Fine}
}

// latest is what an observation was last asked for all that it leans on, in another strip of the fault that is placed.
type latest struct {
	value float64
	leans []network.Lean
	fine  bool
}

// nearBy are the leanings of a prediction next to which one was asked already: of a sound machine, where the fault moves the value by
// little, or of another strip that shows nearly the same.
func (b *bench) nearBy(i int, p *network.Prediction) (leans []network.Lean, ok bool) {
	switch last := &b.trays[i].latest; {
	case p.Status != network.Fine || b.w.j.Intermittent: // of what comes and goes each reading is weighed by itself, and by all it leans on
		return nil, false
	case b.trays[i].weak:
		return b.w.obs[i].healthy[0].Leans, true
	case last.fine && math.Abs(p.Value-last.value) < weakShare*b.w.obs[i].sigma:
		return last.leans, true
	}
	return nil, false
}

// lookAside predicts an observation in a joint setting of the unknown stimuli.
func (b *bench) lookAside(i, k int, ohms float64) {
	o := &b.w.obs[i]
	if !b.trays[i].felt {
		copySound(&b.trays[i].preds[k], &o.healthy[k])
		return
	}
	b.caseOf(i, k).Leaning(ohms, o.least(), &b.trays[i].preds[k])
}

// copySound makes a prediction that of a sound machine, in its own room.
func copySound(p, sound *network.Prediction) {
	leans := p.Leans
	*p = *sound
	p.Slope, p.Leans = 0, append(leans[:0], sound.Leans...)
}

// feels tells whether a prediction differs from that of a sound machine.
func feels(o *observation, p, sound *network.Prediction) bool {
	return p.Status != sound.Status || p.Why != sound.Why || p.Status == network.Fine && math.Abs(p.Value-sound.Value) > unfeltShare*o.sigma
}

// widen marks the unknown stimuli that matter to an observation in a joint setting.
func (b *bench) widen(o *observation, i, k int) bool {
	p := &b.trays[i].preds[k]
	if p.Status != network.Fine {
		return false
	}
	any := false
	for _, l := range p.Leans {
		q, s := int(l.Parameter), l.Change
		if b.w.parameters[q].Kind == network.Stimulus && b.unknownAt(o, q) >= 0 && math.Abs(s)*b.w.span(q) > 0.5*o.sigma {
			b.trays[i].wide[q], any = true, true
		}
	}
	return any
}

// span is the range of a parameter's stimulus.
func (w *Scales) span(q int) float64 {
	d := w.j.Circuit.Device(w.parameters[q].Place.Place)
	return d.Range[1] - d.Range[0]
}

// bend notes how much a prediction changes across a strip.
func (b *bench) bend(i, k int, c *cell) {
	if p := &b.trays[i].preds[k]; p.Status == network.Fine {
		b.trays[i].bends = max(b.trays[i].bends, math.Abs(p.Slope)*c.width/b.w.obs[i].sigma)
	}
}

// hopelessGap is how far below the best evidence, in logarithm, a strip's may be before the rest of it is left out.
const hopelessGap = 17

// others predicts an observation in the joint settings of the unknown stimuli, where one matters.
func (b *bench) others(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	for k := 1; k < b.trays[i].uses; k++ {
		b.lookAside(i, k, ohms)
		b.widen(o, i, k)
		b.bend(i, k, c)
	}
}

// stimulusOf is the parameter of a device's stimulus, -1 where it has none.
func (w *Scales) stimulusOf(device string) int {
	for i, p := range w.parameters {
		if p.Kind == network.Stimulus && p.Place.Place == device {
			return i
		}
	}
	return -1
}

// leansOn tells whether a device's stimulus matters to an observation of the healthy circuit at all.
func (w *Scales) leansOn(o *observation, device string) bool {
	q := w.stimulusOf(device)
	if q < 0 {
		return true // a switch: its two states are tried
	}
	d := w.j.Circuit.Device(device)
	for k := range o.healthy {
		p := &o.healthy[k]
		if p.Status != network.Fine || math.Abs(change(p, q))*(d.Range[1]-d.Range[0]) > unfeltShare*o.sigma {
			return true
		}
	}
	return false
}
