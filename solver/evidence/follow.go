package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
)

// Where the unknown stimuli lie. A precise reading pins a stimulus to a thousandth of its range, over which no law is a straight
// line; so the network is solved again where the readings pull the unknowns, until they stay (an iterated Kalman update: Bell
// and Cathey, IEEE Transactions on Automatic Control 38, 1993, show that it is the Gauss–Newton step). The evidence is then that of the
// straight line there, with what an even spread over the range differs from the Gaussian that stood for it.

const (
	// locateSteps bounds the steps of one search, locateStride the share of its range that a stimulus moves in one.
	locateSteps  = 8
	locateStride = 0.35
	// locateSettled is the change of a prediction, in standard deviations of its reading, up to which the straight law is believed: a law
	// whose slope changes e-fold over a volt is 0.02 mV off after 2 of 3 mV.
	locateSettled = 2
	// locateNear is the share of its range that an unknown may move along a straight law whose bend is known.
	locateNear = 0.05
	// locateAside is likewise how much a reading may change with an unknown that moves for another one's sake.
	locateAside = 0.3
)

// active are the unknowns that some member leans on by more than half its own error.
func (b *bench) active(l *laid) []int {
	b.live = b.live[:0]
	first := b.w.unknownColumn(0)
	for x, i := range l.members {
		r := &l.rows[x]
		for n, c := range r.column[r.numbers:] {
			if k := int(c) - first; k < len(b.w.unknowns) && math.Abs(r.by[r.numbers+n]) > 0.5*b.w.obs[i].sigma && !slices.Contains(b.live, k) {
				b.live = append(b.live, k)
			}
		}
	}
	slices.Sort(b.live)
	return b.live
}

// posterior is where the believed members put an unknown, in its own unit, and one standard deviation.
func (b *bench) posterior(l *laid, k int) (mean, sd float64) {
	u := &b.w.unknowns[k]
	column, n := b.w.unknownColumn(k), len(l.members)
	shift, left := 0.0, 1.0
	for x := range n {
		s := l.rows[x].of(column)
		if s == 0 {
			continue
		}
		shift += s * l.joint.pull[x]
		for y := range n {
			left -= s * l.joint.precision[x*n+y] * l.rows[y].of(column)
		}
	}
	return u.mid() + shift*u.sd(), u.sd() * math.Sqrt(max(left, 1e-12))
}

// follow moves the unknowns to where the readings pull them until they stay, and lays the strip there.
func (b *bench) follow(l *laid, f circuits.Single, ohms, width float64) {
	moved := false
	for range locateSteps {
		going := b.stride(l, b.active(l))
		if len(going) == 0 {
			break
		}
		moved = true
		b.before = append(b.before[:0], l.at...)
		before := slices.Clone(l.at)
		copy(l.at, b.next)
		b.replace(l, f, going)
		if !b.lay(l, ohms, width, true) {
			b.before = append(b.before[:0], b.next...) // a part has changed its state on the way: the last law stands
			copy(l.at, before)
			b.replace(l, f, going)
			break
		}
	}
	if moved {
		b.lay(l, ohms, width, false)
	}
}

// stride puts into b.next where the readings pull the unknowns that are alive, and lists those that go far enough to matter.
func (b *bench) stride(l *laid, live []int) (going []int) {
	b.next = append(b.next[:0], l.at...)
	for _, k := range live {
		u, column := &b.w.unknowns[k], b.w.unknownColumn(k)
		mean, _ := b.posterior(l, k)
		stride := locateStride * (u.high - u.low)
		next, far := min(max(mean, u.low, l.at[k]-stride), u.high, l.at[k]+stride), 0.0
		for x, i := range l.members {
			o := &b.w.obs[i]
			move := math.Abs(l.rows[x].of(column)/u.sd()*(next-l.at[k])) / o.sigma
			if share := math.Abs(next-l.at[k]) / (u.high - u.low); o.even[k] && share < locateNear && o.curve[k]*sq(share)/2 < locateAside*o.sigma {
				move = 0
			}
			far = max(far, move)
		}
		if far >= locateSettled {
			b.next[k] = next
			going = append(going, k)
		}
	}
	return going
}

// replace puts the fault into networks with the unknowns where l has them, for the members that lean on one of these.
func (b *bench) replace(l *laid, f circuits.Single, going []int) {
	for x, i := range l.members {
		move := 0.0
		for _, k := range going {
			move += math.Abs(l.rows[x].of(b.w.unknownColumn(k)) / b.w.unknowns[k].sd() * (l.at[k] - b.before[k]))
		}
		if move > locateAside*b.w.obs[i].sigma {
			b.put(&l.moved[i], b.sceneAt(i, l.at), i, f)
			l.cases[x], l.fresh[x], l.stale[x] = &l.moved[i], true, true
		}
	}
}

// evenly is the logarithm of what an even spread of the unknowns over their ranges differs from the Gaussians that stood for
// them: the density where they lie, as far as the readings say where, and the share that lies within the range.
func (b *bench) evenly(l *laid) float64 {
	sum := 0.0
	for _, k := range b.active(l) {
		u := &b.w.unknowns[k]
		mean, sd := b.posterior(l, k)
		told := 1 - sq(sd/u.sd())
		z := (min(max(mean, u.low), u.high) - u.mid()) / u.sd()
		sum += told * (z*z/2 + logTwoPi/2 - math.Log(math.Sqrt(12)))
		within := above(u.low, mean, sd) - above(u.high, mean, sd)
		whole := (1-told)*evenWithin + told // of the Gaussian before any reading, this lies within the range
		sum += math.Log(max(within, 1e-30) / whole)
	}
	return sum
}

// evenWithin is the share of a Gaussian that lies within the range of an even spread of its mean and variance: erf(√1.5).
const evenWithin = 0.9167354833364496
