package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// scenario is the logarithm of the likelihood of the observations in b.member under one scenario, with what each is
// predicted to be and the share in which it is misread.
func (b *bench) scenario(c *cell, k int, mean, miss []float64) float64 {
	w := b.w
	leading := b.leadingStimulus()
	b.gaussian = b.gaussian[:0]
	sum := 0.0
	for m, i := range b.member {
		o := &w.obs[i]
		p := &b.preds[i][min(k, b.uses[i]-1)]
		mean[m], miss[m] = math.NaN(), 0
		if p.Status != network.Fine {
			l := b.alone(o, p, &o.healthy[min(k, len(o.healthy)-1)], o.sigma, &miss[m])
			sum += math.Log(l)
			continue
		}
		value, variance := b.spread(i, min(k, b.uses[i]-1), leading, c.width)
		mean[m] = value
		if o.ol || o.clipped != 0 || o.pair {
			shifted := *p
			shifted.Value = value
			healthy := &o.healthy[min(k, len(o.healthy)-1)]
			l := b.alone(o, &shifted, healthy, math.Sqrt(variance), &miss[m])
			sum += math.Log(l)
			continue
		}
		b.gaussian = append(b.gaussian, m)
	}
	if len(b.gaussian) == 0 {
		return sum
	}
	return sum + b.together(b.gaussian, mean, miss)
}

// leadingStimulus is the unknown stimulus that moves the observations of b.member most; scenarios are its cells. -1
// where none matters.
func (b *bench) leadingStimulus() int {
	leading, most := -1, 0.0
	for _, i := range b.member {
		for p := range b.w.parameters {
			if !b.wide[i][p] {
				continue
			}
			for k := range b.uses[i] {
				if q := &b.preds[i][k]; q.Status == network.Fine {
					if move := math.Abs(q.Sens[p]) * b.w.scen.span[p] / b.w.obs[i].sigma; move > most {
						leading, most = p, move
					}
				}
			}
		}
	}
	return leading
}

// spread is the mean and variance of one observation's prediction in a scenario, the meter's error included; it leaves
// the scaled sensitivities in b.sd. The leading stimulus keeps to the scenario's cell, every other unknown one is moved
// to the middle of its range and spread over all of it.
func (b *bench) spread(i, k, leading int, width float64) (mean, variance float64) {
	w := b.w
	o, p, sd := &w.obs[i], &b.preds[i][k], b.sd[i]
	mean, variance = p.Value, o.sigma*o.sigma
	for q := range w.parameters {
		sd[q] = 0
		s := p.Sens[q]
		if s == 0 {
			continue
		}
		switch {
		case w.parameters[q].Kind != network.Stimulus:
			if !w.off.Tolerances {
				sd[q] = s
			}
		case q == b.wrong:
			sd[q] = s * kernel * b.wrongWidth
		case !b.unknown(o, q):
		case q == leading && b.uses[i] > 1:
			sd[q] = s * kernel * w.scen.span[q] / float64(len(w.scen.sets))
		default:
			mean += s * (w.scen.mid[q] - w.scen.sets[k][w.scen.parts[q]])
			sd[q] = s * uniformSD(w.scen.span[q])
		}
		variance += sd[q] * sd[q]
	}
	if w.off.Position {
		width = 0
	}
	last := len(w.parameters)
	sd[last] = p.Slope * kernel * width
	b.curve[i] = sq(curvature * p.Slope * width * width)
	return mean, variance + sd[last]*sd[last] + b.curve[i]
}

// curvature is how far a reading strays from its straight line across a strip, as a share of the slope times the width
// squared: an eighth of the second derivative, which for a divider is at most the slope, at its rms over the strip. It
// keeps a coarse strip from ruling out what lies within it.
const curvature = 0.06

// together is the joint density of the observations at these positions of b.member.
func (b *bench) together(positions []int, mean, miss []float64) float64 {
	g := &b.joint
	n := len(positions)
	g.resize(n)
	for x, m := range positions {
		i := b.member[m]
		o := &b.w.obs[i]
		g.gap[x] = o.value - mean[m]
		g.share[x], g.broad[x] = b.w.misread(o), o.broad(o.value)
		for y := range x + 1 {
			sum := 0.0
			other := b.sd[b.member[positions[y]]]
			for q, s := range b.sd[i] {
				sum += s * other[q]
			}
			if x == y {
				sum += o.sigma*o.sigma + b.curve[i]
			}
			g.cov[x*n+y], g.cov[y*n+x] = sum, sum
		}
	}
	for len(b.miss) < n {
		b.miss, b.noise, b.shift = append(b.miss, 0), append(b.noise, 0), append(b.shift, 0)
	}
	l := g.log(b.miss[:n])
	for x, m := range positions {
		sigma := b.w.obs[b.member[m]].sigma
		b.noise[x] = sigma * sigma
	}
	g.smooth(b.noise[:n], b.miss[:n], b.shift[:n])
	for x, m := range positions {
		miss[m] = b.miss[x]
		mean[m] += b.shift[x]
	}
	return l
}

// alone is the likelihood of an observation that is no plain Gaussian: out of range, clipped, or seen at two values.
func (b *bench) alone(o *observation, p, healthy *network.Prediction, sd float64, miss *float64) float64 {
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
	if w.off.Tolerances {
		return 0
	}
	sum := 0.0
	for i, s := range p.Sens {
		if w.parameters[i].Kind != network.Stimulus {
			sum += s * s
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
	if f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong && !x.Unfelt {
		b.place(f, best.logOhms)
	}
	var p network.Prediction
	for i := range b.w.obs {
		if x.Unfelt {
			p = b.w.obs[i].healthy[0]
		} else {
			b.cases[i][0].At(math.Exp(best.logOhms), &p)
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
