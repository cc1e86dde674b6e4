package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// leadingStimulus is the unknown stimulus that moves an observation most over the settings that were looked at, by parameter;
// the settings are its cells. -1 where none matters.
func (b *bench) leadingStimulus(i int) int {
	leading, most := -1, 0.0
	for p := range b.w.parameters {
		if !b.trays[i].wide[p] {
			continue
		}
		for k := range b.trays[i].uses {
			if q := &b.trays[i].preds[k]; q.Status == network.Fine {
				if move := math.Abs(change(q, p)) * b.w.span(p) / b.w.obs[i].sigma; move > most {
					leading, most = p, move
				}
			}
		}
	}
	return leading
}

// spread is the mean and variance of one observation's prediction in a joint setting of the unknown stimuli, the meter's error
// included. The leading stimulus keeps to the setting's cell, every other unknown one is moved to the middle of its range and
// spread over all of it.
func (b *bench) spread(i, k, leading int, width float64, calibrated bool) (mean, variance float64) {
	w := b.w
	o, p := &w.obs[i], &b.trays[i].preds[k]
	mean, variance = p.Value, o.sigma*o.sigma
	if w.rest != nil {
		shift, sd := w.numbers(&b.scratch, i, p, calibrated)
		mean, variance = mean+shift, variance+sq(sd)
	}
	for _, l := range p.Leans {
		q, s := int(l.Parameter), l.Change
		switch {
		case w.parameters[q].Kind != network.Stimulus:
			if !w.exact[q] && w.rest == nil {
				variance += sq(s)
				mean += s * w.offset[q]
			}
		case b.unknownAt(o, q) < 0:
		default:
			u := b.unknownAt(o, q)
			span := w.unknowns[u].high - w.unknowns[u].low
			if q == leading && k > 0 {
				variance += sq(s * kernel * span / scenarioCount)
				continue
			}
			mean += s * (w.unknowns[u].mid() - b.cellOf(k, u))
			variance += sq(s * uniformSD(span))
		}
	}
	if w.off.Position {
		width = 0
	}
	return mean, variance + sq(p.Slope*kernel*width) + sq(curvature*p.Slope*width*width)
}

// cellOf is where an unknown stimulus is in the k-th network of an observation: where the search begins, or in its cell of the
// k-th joint setting.
func (b *bench) cellOf(k, u int) float64 {
	x := &b.w.unknowns[u]
	switch {
	case k == 0:
		return b.w.start[u]
	case x.wrong:
		return x.low + (float64(k)-0.5)/scenarioCount*(x.high-x.low)
	}
	return b.w.scen.sets[min(k, len(b.w.scen.sets))-1][x.device.Name]
}

// alone is the likelihood of an observation that is no plain number under a strip laid to those that are. Where they put the
// unknown stimuli it is looked at there; else over their ranges.
func (b *bench) alone(l *laid, f circuits.Single, c *cell, i int) float64 {
	o := &b.w.obs[i]
	if b.trays[i].uses == 1 || b.pinned(l, i) {
		p, healthy := &b.trays[i].preds[0], o.healthy[0]
		if b.movedFar(l, i) {
			b.put(&b.single, b.sceneAt(i, l.at), i, f)
			b.single.Leaning(c.ohms(f), o.least(), p)
			if f.Kind != circuits.Healthy {
				healthy = network.Prediction{}
				b.single.Place(b.w.soundScene(o, l.at, b.on), circuits.Single{})
				b.single.Leaning(0, o.least(), &healthy)
			} else {
				healthy = *p
			}
		}
		if p.Status == network.Fine {
			mean, variance := b.given(&b.scratch, l, o, p, l.at, c.width)
			shifted := *p
			shifted.Value = mean
			c.mean[i] = mean
			return b.lone(o, &shifted, &healthy, math.Sqrt(variance), &c.miss[i])
		}
		c.mean[i] = math.NaN()
		return b.lone(o, p, &healthy, o.sigma, &c.miss[i])
	}
	leading := b.leadingStimulus(i)
	sum, fine, mean := 0.0, 0.0, 0.0
	count := float64(b.trays[i].uses - 1)
	for k := 1; k < b.trays[i].uses; k++ {
		p, miss := &b.trays[i].preds[k], 0.0
		var term float64
		if p.Status == network.Fine {
			value, variance := b.spread(i, k, leading, c.width, false)
			shifted := *p
			shifted.Value = value
			term = b.lone(o, &shifted, &o.healthy[min(k, len(o.healthy)-1)], math.Sqrt(variance), &miss)
			fine += term
			mean += term * value
		} else {
			term = b.lone(o, p, &o.healthy[min(k, len(o.healthy)-1)], o.sigma, &miss)
		}
		sum += term
		c.miss[i] += term * miss
	}
	c.miss[i] /= sum
	c.mean[i] = math.NaN()
	if fine > sum/2 {
		c.mean[i] = mean / fine
	}
	return sum / count
}

// pinnedShare is the share of what was known beforehand of a stimulus to which the plain numbers must narrow it for the rest to
// be looked at there alone.
const pinnedShare = 0.3

// pinned tells whether the plain numbers say where every unknown stimulus lies that moves an observation.
func (b *bench) pinned(l *laid, i int) bool {
	any := false
	for p, wide := range b.trays[i].wide {
		if !wide {
			continue
		}
		any = true
		k := b.unknownAt(&b.w.obs[i], p)
		if _, sd := b.posterior(l, k); sd > pinnedShare*b.w.unknowns[k].sd() {
			return false
		}
	}
	return any // a switch is never pinned
}

// movedFar tells whether an observation is to be predicted anew, for an unknown stimulus has moved from where it was looked at.
func (b *bench) movedFar(l *laid, i int) bool {
	for _, k := range b.w.obs[i].unknowns {
		if l.at[k] != b.w.start[k] {
			return true
		}
	}
	return b.wrong >= 0 && l.at[b.wrong] != b.w.start[b.wrong]
}

// scratch is room for predicting one observation from others.
type scratch struct {
	row    row
	dense  []float64 // by column, zero between uses
	toward []float64
}

// given is the mean and variance of an observation's prediction with all that the plain numbers say, the meter's error included.
func (b *bench) given(room *scratch, l *laid, o *observation, p *network.Prediction, at []float64, width float64) (mean, variance float64) {
	r := &room.row
	mean, variance = b.lean(r, o, p, at, width)
	for _, by := range r.by {
		variance += sq(by)
	}
	mean, variance = room.towards(b.w, l, r, mean, variance)
	return mean, max(variance, sq(o.sigma)-sq(gainSD(b.w.j.Meter, o.quantity, o.value)))
}

// lone is the likelihood of an observation that is no plain Gaussian: out of range, clipped, or seen at two values.
func (b *bench) lone(o *observation, p, healthy *network.Prediction, sd float64, miss *float64) float64 {
	maxOhms := b.w.j.Meter.MaxOhms
	tolerance := b.w.toleranceSD(healthy)
	under := func(value, sigma float64, ol bool) (fault, well float64) {
		own := math.Sqrt(max(sd*sd-sq(o.sigma), 0) + sq(sigma))
		return o.density(value, ol, p, own, maxOhms), o.density(value, ol, healthy, math.Hypot(sigma, tolerance), maxOhms)
	}
	m := b.w.misread(o)
	var good, broad float64
	if o.pair {
		lowFault, lowWell := under(o.value, o.sigma, false)
		highFault, highWell := under(o.high, o.sigmaHigh, o.r.OL)
		good = 0.5 * (lowFault*highWell + lowWell*highFault)
		broad = o.broad(o.value) * o.broadHigh()
	} else {
		good, _ = under(o.value, o.sigma, o.ol)
		broad = o.broad(o.value)
	}
	l := (1-m)*good + m*broad
	*miss = m * broad / l
	return l
}

// toleranceSD is the spread of a prediction from tolerances alone.
func (w *Scales) toleranceSD(p *network.Prediction) float64 {
	sum := 0.0
	for _, l := range p.Leans {
		if w.parameters[l.Parameter].Kind != network.Stimulus && !w.exact[l.Parameter] {
			sum += sq(l.Change)
		}
	}
	return math.Sqrt(sum)
}

// misread is the prior share of misreadings among values of an observation's kind.
func (w *Scales) misread(o *observation) float64 {
	if w.off.Misreads {
		return 1e-12 // not nothing, so that no reading is impossible
	}
	return o.misread()
}

// unlisted is the likelihood of anything at all: every reading anywhere in its span.
func (b *bench) unlisted() cell {
	n := len(b.w.obs)
	c := cell{mean: make([]float64, n), miss: make([]float64, n)}
	for i := range b.w.obs {
		o := &b.w.obs[i]
		c.mean[i] = math.NaN()
		if o.same >= 0 {
			continue
		}
		l := o.broad(o.value)
		if o.pair {
			l *= o.broadHigh()
		}
		c.logL += math.Log(l)
	}
	return c
}

// statuses say, at a hypothesis's best strip, which observations it predicts no value for and why.
func (b *bench) statuses(x *Weighed) {
	best := x.bestCell()
	f := x.Fault
	if byStrip(f) && !x.Unfelt {
		b.place(best.placed(f))
	}
	if b.gone = best.gone; len(b.gone) > 0 {
		b.renew()
		defer func() { b.gone = nil; b.renew() }()
	}
	var p network.Prediction
	for i := range b.w.obs {
		if x.Unfelt || slices.Contains(best.away, i) {
			p = b.w.obs[i].healthy[0]
		} else {
			b.caseOf(i, 0).Value(best.ohms(f), &p)
		}
		switch p.Status {
		case network.NoValue:
			x.why[i] = p.Why
		case network.OverRange:
			x.overs[i] = true
		}
	}
}

func sq(x float64) float64 { return x * x }
