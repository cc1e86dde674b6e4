package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// strip weighs one strip of a fault that is placed.
func (b *bench) strip(f circuits.Single, c *cell) {
	w := b.w
	if len(c.away) > 0 {
		defer b.leave(c.away)()
	}
	if b.gone = c.gone; len(c.gone) > 0 {
		b.renew()
		defer func() { b.gone = nil; b.renew() }()
	}
	n := len(w.obs)
	c.mean, c.miss = b.floats(n), b.floats(n)
	c.bend, c.logL = 0, 0
	for i := range n {
		b.trays[i].bends = 0
	}
	for i := range n {
		b.first(i, c.ohms(f), c)
	}
	b.setSwitches(f, c)
	b.part()
	bound := b.bound(f, c)
	if b.prior+bound < w.best-w.hopeless && !b.exactly {
		c.logL = bound
		b.explain(&b.other, f, c, false)
		return
	}
	l := &b.laid
	exact := b.exactly || !b.rough && b.prior+bound > w.best-w.coarse
	b.locate(l, f, b.plain, c.ohms(f), c.width, exact)
	l.logL += b.throw(l, f, c, exact)
	c.logL = l.logL
	l.squares, l.count = l.joint.distance(l.miss)
	for x, i := range l.members {
		c.miss[i], c.mean[i] = l.miss[x], l.smoothed(x)
	}
	b.explain(l, f, c, exact)
	for _, i := range b.rest {
		b.others(i, c.ohms(f), c)
		c.logL += math.Log(b.alone(l, f, c, i))
	}
	for i := range n {
		if first := w.obs[i].same; first >= 0 {
			c.mean[i], c.miss[i] = c.mean[first], c.miss[first]
		}
		c.bend = max(c.bend, b.trays[i].bends*(1-c.miss[i])) // a reading that is taken for a misreading gains nothing by a finer strip
	}
}

// explain leaves a strip laid to those readings alone that the fault can explain, and says what it predicts of the others. These have
// had their say on how likely the fault is; left in, they would pull the machine's numbers beyond anything a machine has, and what
// the fault predicts of every reading with them.
func (b *bench) explain(l *laid, f circuits.Single, c *cell, exact bool) {
	var dropped []int
	for {
		out := l.joint.contradicts()
		if len(out) == 0 {
			break
		}
		b.member = b.member[:0]
		for x, i := range l.members {
			if slices.Contains(out, x) {
				dropped = append(dropped, i)
			} else {
				b.member = append(b.member, i)
			}
		}
		b.locate(l, f, append([]int(nil), b.member...), c.ohms(f), c.width, exact)
		for x, i := range l.members {
			c.miss[i], c.mean[i] = l.miss[x], l.smoothed(x)
		}
	}
	for _, i := range dropped {
		b.others(i, c.ohms(f), c)
		b.alone(l, f, c, i)
	}
}

// part parts the observations into plain numbers, which are weighed together, and the rest: out of range, clipped, without a
// value, or seen at two values. One that only repeats an earlier one is neither.
func (b *bench) part() {
	b.plain, b.rest = b.plain[:0], b.rest[:0]
	for i := range b.w.obs {
		o := &b.w.obs[i]
		switch {
		case o.same >= 0:
		case b.trays[i].preds[0].Status == network.Fine && !o.ol && o.clipped == 0 && !o.pair:
			b.plain = append(b.plain, i)
		default:
			b.rest = append(b.rest, i)
		}
	}
}

// bound is the most that the likelihood of a strip can come to: that of the plain numbers which no unknown stimulus moves, and the
// highest density of every other reading.
func (b *bench) bound(f circuits.Single, c *cell) float64 {
	b.member = b.member[:0]
	sum := 0.0
	for _, i := range b.plain {
		if b.trays[i].uses == 1 {
			b.member = append(b.member, i)
			continue
		}
		sum -= math.Log(b.w.obs[i].sigma)
		c.mean[i] = b.trays[i].preds[0].Value
	}
	for _, i := range b.rest {
		if c.mean[i] = math.NaN(); b.trays[i].preds[0].Status == network.Fine && !b.w.obs[i].pair {
			c.mean[i] = b.trays[i].preds[0].Value
		}
		sum += max(0, -math.Log(b.w.obs[i].sigma))
	}
	if len(b.member) == 0 {
		b.other.members, b.other.joint.n = b.other.members[:0], 0
		return sum
	}
	b.locate(&b.other, f, b.member, c.ohms(f), c.width, false)
	for x, i := range b.member {
		c.mean[i], c.miss[i] = b.other.smoothed(x), b.other.miss[x]
	}
	return sum + b.other.logL
}

// smoothed is what a member's true value is reckoned to be once all readings are known.
func (l *laid) smoothed(x int) float64 {
	n := len(l.members)
	value := l.value[x]
	for y := range n {
		if y != x {
			value += l.joint.cov[x*n+y] * l.joint.pull[y]
		}
	}
	if l.miss[x] <= 0.5 { // one that is not believed pulls nothing, and its variance has been made so
		value += (l.joint.cov[x*n+x] - l.own[x]) * l.joint.pull[x]
	}
	return value
}

// throw tries the unknown switches the other way, one after the other, and leaves each as the readings have it. It gives what
// the other way adds to the likelihood: both are equally likely beforehand. Which of them are decided by far is found by straight laws.
func (b *bench) throw(l *laid, f circuits.Single, c *cell, exact bool) float64 {
	w, added := b.w, 0.0
	decided := slices.Clone(c.decided)
	for k := range w.switches {
		moved, own := false, false
		for _, i := range l.members {
			b.trays[i].minds[k] = b.trays[i].minds[k] || b.switched(i, k, f, c)
			moved = moved || b.trays[i].minds[k]
			own = own || b.trays[i].minds[k] && !b.like(i)
		}
		switch {
		case !moved:
			continue
		case slices.Contains(c.decided, k) || !own && w.healthy != nil && slices.Contains(w.healthy.decided, k):
			added -= math.Ln2
			continue
		}
		other := &b.thrown
		b.on[k] = 1 - b.on[k]
		b.member = append(b.member[:0], l.members...)
		b.locate(other, f, b.member, c.ohms(f), c.width, false)
		if exact && other.logL > l.logL {
			b.locate(other, f, b.member, c.ohms(f), c.width, true)
		}
		if other.logL > l.logL {
			*l, *other = *other, *l
		} else {
			b.on[k] = 1 - b.on[k]
		}
		apart := math.Abs(other.logL - l.logL)
		if added += math.Log1p(math.Exp(-apart)) - math.Ln2; apart > decidedGap {
			decided = append(decided, k)
		}
	}
	if b.rough || f.Kind == circuits.Healthy {
		c.on, c.decided = slices.Clone(b.on), decided
	}
	return added
}

// decidedGap is how much likelier, in logarithm, one way of a switch must be by straight laws for the other one not to be tried again.
const decidedGap = 8

// setSwitches puts the unknown switches the way that the strip was found with.
func (b *bench) setSwitches(f circuits.Single, c *cell) {
	copy(b.on, b.w.on)
	for k := range c.on {
		if c.on[k] == b.w.on[k] {
			continue
		}
		for i := range b.w.obs {
			b.trays[i].minds[k] = b.switched(i, k, f, c)
		}
		b.on[k] = c.on[k]
	}
}

// like tells whether an observation is what it is of a sound machine, or nearly so.
func (b *bench) like(i int) bool { return !b.trays[i].felt || b.trays[i].weak }

// switched tells whether an unknown switch moves an observation under the fault placed. One that does not feel the fault minds a
// switch as a sound machine does.
func (b *bench) switched(i, k int, f circuits.Single, c *cell) bool {
	o := &b.w.obs[i]
	way, has := o.thrown[k]
	if !has {
		return false
	}
	p := &b.trays[i].preds[0]
	if b.like(i) {
		return way.minded
	}
	scene := way.scene
	if b.forced != "" {
		b.on[k] = 1 - b.on[k]
		scene = b.sceneAt(i, b.w.start)
		b.on[k] = 1 - b.on[k]
	}
	b.put(&b.single, scene, i, f)
	b.single.Value(c.ohms(f), &b.pred)
	return minds(o, &b.pred, p)
}

// minds tells whether a switch thrown the other way matters to an observation.
func minds(o *observation, thrown, p *network.Prediction) bool {
	return thrown.Status != p.Status || thrown.Status == network.Fine && math.Abs(thrown.Value-p.Value) > 0.3*o.sigma
}
