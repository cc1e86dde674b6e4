package evidence

import (
	"math"

	"ohmtrail/solver/network"
)

// first predicts an observation in the first scenario and sees whether an unknown stimulus matters to it.
func (b *bench) first(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	preds := b.preds[i]
	b.cases[i][0].At(ohms, &preds[0])
	b.uses[i] = 1
	clear(b.wide[i])
	if len(preds) > 1 {
		matters := b.widen(o, i, 0)
		if !matters && (b.w.scen.two || preds[0].Status != network.Fine) {
			b.cases[i][1].At(ohms, &preds[1])
			matters = preds[1].Status != preds[0].Status || math.Abs(preds[1].Value-preds[0].Value) > 0.3*o.sigma
		}
		if matters {
			b.uses[i] = len(preds)
		}
	}
	b.bend(i, 0, c)
}

// widen marks the unknown stimuli that matter to an observation in a scenario.
func (b *bench) widen(o *observation, i, k int) bool {
	p := &b.preds[i][k]
	if p.Status != network.Fine {
		return false
	}
	any := false
	for q := range b.w.parameters {
		if b.unknown(o, q) && math.Abs(p.Sens[q])*b.w.scen.span[q] > 0.5*o.sigma {
			b.wide[i][q], any = true, true
		}
	}
	return any
}

// bend notes how much a prediction changes across a strip.
func (b *bench) bend(i, k int, c *cell) {
	p := &b.preds[i][k]
	if p.Status != network.Fine {
		return
	}
	slope := p.Slope
	if b.wrong >= 0 {
		slope = p.Sens[b.wrong]
	}
	b.bends[i] = max(b.bends[i], math.Abs(slope)*c.width/b.w.obs[i].sigma)
}

// hopelessGap is how far below the best evidence, in logarithm, a strip's may be before the rest of it is left out.
const hopelessGap = 17

// hopeless weighs the observations that no unknown stimulus moves, and tells whether they alone rule the strip out; its
// likelihood is then at most that.
func (b *bench) hopeless(c *cell) bool {
	b.member = b.member[:0]
	for i := range b.w.obs {
		if b.uses[i] == 1 {
			b.member = append(b.member, i)
		}
	}
	if len(b.member) == 0 || len(b.member) == len(b.w.obs) {
		return false
	}
	bound := b.component(c)
	best := b.w.best
	for i := range b.w.obs {
		if b.uses[i] > 1 {
			bound += math.Log(2 / b.w.obs[i].sigma) // no density is higher
			c.mean[i] = math.NaN()
			if p := &b.preds[i][0]; p.Status == network.Fine {
				c.mean[i] = p.Value
			}
		}
	}
	if b.prior+bound > best-b.w.hopeless {
		for i := range c.miss {
			c.miss[i] = 0
		}
		return false
	}
	c.logL = bound
	return true
}

// others predicts an observation in the scenarios beside the first, where a stimulus matters.
func (b *bench) others(i int, ohms float64, c *cell) {
	o := &b.w.obs[i]
	for k := 1; k < b.uses[i]; k++ {
		b.cases[i][k].At(ohms, &b.preds[i][k])
		b.widen(o, i, k)
		b.bend(i, k, c)
	}
}

// unknown tells whether a parameter is a stimulus that nobody knows at an observation.
func (b *bench) unknown(o *observation, p int) bool {
	return b.w.scen.span[p] > 0 && !o.known[p] && p != b.wrong
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
		if p.Status != network.Fine || math.Abs(p.Sens[q])*(d.Range[1]-d.Range[0]) > unfeltShare*o.sigma {
			return true
		}
	}
	return false
}

// components groups the observations that share an unknown stimulus which matters to both; those that lean on none
// form one group, in which tolerances keep them correlated.
func (b *bench) components() {
	n := len(b.w.obs)
	steady := -1
	for i := range n {
		b.part[i] = i
		if b.uses[i] == 1 {
			if steady < 0 {
				steady = i
			}
			b.part[i] = steady
		}
	}
	for i := range n {
		for j := range i {
			if b.part[i] != b.part[j] && b.uses[i] > 1 && b.uses[j] > 1 && b.shareStimulus(i, j) {
				from, to := max(b.part[i], b.part[j]), min(b.part[i], b.part[j])
				for k := range n {
					if b.part[k] == from {
						b.part[k] = to
					}
				}
			}
		}
	}
}

func (b *bench) shareStimulus(i, j int) bool {
	any := false
	for p := range b.w.parameters {
		if b.wide[i][p] && b.wide[j][p] {
			return true
		}
		any = any || b.wide[i][p] || b.wide[j][p]
	}
	return b.w.scen.two && !any
}
