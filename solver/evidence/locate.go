package evidence

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
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
	// poorFit is the distance a reading, in squares of standard deviations, above which a search begins again from the ends of
	// the ranges.
	poorFit = 4
)

// laid is a strip laid to the readings that are plain numbers: the straight laws around where the unknown stimuli were found.
type laid struct {
	at      []float64 // by unknown
	members []int     // the observations
	rows    []row     // by member, and likewise below
	value   []float64 // predicted with the unknowns in the middle of what was known beforehand
	own     []float64 // variance that no other reading shares
	miss    []float64
	logL    float64
	joint   joint
	squares float64 // the distance of the believed members, with all of them pulling, and their number
	count   int

	cases  []*network.Case       // by member: the network that it is predicted in; nil where that is looked at already
	looked []*network.Prediction // by member: what was looked at already
	fresh  []bool                // by member: put into another network since it was last predicted
	stale  []bool                // by member: put there since it was last asked for the machine's own numbers
	moved  []network.Case        // by observation: room for networks with the unknowns elsewhere
}

// kept is what of a strip laid is needed to predict other readings from it, and no network.
func (l *laid) kept() *laid {
	out := &laid{at: slices.Clone(l.at), members: slices.Clone(l.members), rows: make([]row, len(l.members))}
	for x := range l.members {
		out.rows[x] = row{slices.Clone(l.rows[x].column), slices.Clone(l.rows[x].by), l.rows[x].numbers, l.rows[x].shift}
	}
	n := l.joint.n
	out.joint = joint{n: n, precision: slices.Clone(l.joint.precision[:n*n]), pull: slices.Clone(l.joint.pull[:n])}
	return out
}

// weighLaid fills in the joint density of the members from their rows.
func (b *bench) weighLaid(l *laid) {
	n, w := len(l.members), b.w
	g := &l.joint
	g.resize(n)
	for len(l.miss) < n {
		l.miss = append(l.miss, 0)
	}
	for x, i := range l.members {
		o := &w.obs[i]
		g.gap[x] = o.value - l.value[x]
		g.share[x], g.broad[x] = w.misread(o), o.broad(o.value)
		for k, c := range l.rows[x].column {
			b.scratch.dense[c] = l.rows[x].by[k]
		}
		for y := range x + 1 {
			sum := 0.0
			for k, c := range l.rows[y].column {
				sum += b.scratch.dense[c] * l.rows[y].by[k]
			}
			if x == y {
				sum += l.own[x]
			}
			g.cov[x*n+y], g.cov[y*n+x] = sum, sum
		}
		for _, c := range l.rows[x].column {
			b.scratch.dense[c] = 0
		}
	}
	l.logL = g.log(l.miss[:n])
	g.condition(l.miss[:n])
}

// lay predicts the members that were put elsewhere, with the unknowns where l has them. ok is false where one of them has no value
// there. On the way to where the unknowns lie the machine's own numbers are not asked for again.
func (b *bench) lay(l *laid, ohms, width float64, onTheWay bool) (ok bool) {
	for x, i := range l.members {
		if !l.fresh[x] && (onTheWay || !l.stale[x]) {
			continue
		}
		p, o := l.looked[x], &b.w.obs[i]
		if c := l.cases[x]; c != nil {
			p = &b.pred
			switch {
			case onTheWay:
				c.LeaningTo(ohms, b.w.stimuli, p)
			case l.rows[x].numbers == 0:
				c.Leaning(ohms, o.least(), p)
			default:
				c.LeaningTo(ohms, b.asked(&l.rows[x]), p)
			}
			if p.Status != network.Fine {
				return false
			}
		}
		l.fresh[x], l.stale[x] = false, onTheWay
		if onTheWay {
			l.value[x], l.own[x] = b.leanAgain(&l.rows[x], o, p, l.at, width)
		} else {
			l.value[x], l.own[x] = b.lean(&l.rows[x], o, p, l.at, width)
		}
	}
	b.weighLaid(l)
	return true
}

// asked are the parameters that a member is asked for which is predicted again: the stimuli, and what it leant on before.
func (b *bench) asked(r *row) []int32 {
	b.ask = append(b.ask[:0], b.w.stimuli...)
	for _, c := range r.column[:r.numbers] {
		if int(c) < len(b.w.parameters) {
			b.ask = append(b.ask, c)
		}
	}
	return b.ask
}

// begin makes room for the members, in the networks with the unknowns where the search begins.
func (l *laid) begin(b *bench, f circuits.Single, members []int) {
	l.at = append(l.at[:0], b.w.start...)
	l.members, l.cases, l.looked = append(l.members[:0], members...), l.cases[:0], l.looked[:0]
	l.fresh, l.stale = l.fresh[:0], l.stale[:0]
	for _, i := range members {
		var c *network.Case
		look := &b.preds[i][0]
		k, count := b.threw(i)
		switch {
		case count == 1 && b.like(i) && b.forced == "":
			look = b.shifted(i, k)
		case count > 0:
			scene := b.w.obs[i].thrown[k].scene
			if count > 1 || b.forced != "" {
				scene = b.sceneAt(i, l.at)
			}
			c = &l.moved[i]
			c.Place(scene, b.faultAt(i, f))
		}
		l.cases, l.looked = append(l.cases, c), append(l.looked, look)
		l.fresh, l.stale = append(l.fresh, true), append(l.stale, true)
	}
	for len(l.rows) < len(members) {
		l.rows, l.value, l.own = append(l.rows, row{}), append(l.value, 0), append(l.own, 0)
	}
	for x := range members {
		l.rows[x].numbers = 0
	}
}

// shifted is what an observation is with an unknown switch the other way, of a fault that moves it by little: by as much.
func (b *bench) shifted(i, k int) *network.Prediction {
	sound := &b.w.obs[i].thrown[k].sound
	if !b.felt[i] || sound.Status != network.Fine {
		return sound
	}
	p := &b.aside[i]
	*p = *sound
	p.Value += b.preds[i][0].Value - b.w.obs[i].healthy[0].Value
	return p
}

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
			l.moved[i].Place(b.sceneAt(i, l.at), b.faultAt(i, f))
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

// locate lays a strip to the members, with the unknown stimuli where these put them; where it need not be exact, at their start.
func (b *bench) locate(l *laid, f circuits.Single, members []int, ohms, width float64, exact bool) {
	l.begin(b, f, members)
	if !b.lay(l, ohms, width, false) {
		l.logL = math.Inf(-1)
		return
	}
	if straight := l.logL + b.evenly(l); !exact || b.behind(straight) {
		l.logL = straight
		return
	}
	b.follow(l, f, ohms, width)
	if b.exactly || !b.straight && b.prior+l.logL+b.evenly(l) > b.w.whole-straightenGap {
		b.straighten(l, f, ohms, width)
	}
	l.logL += b.evenly(l) + b.beyond(l)
	squares, count := l.joint.distance(l.miss)
	if count == len(members) && squares < poorFit*float64(count) || b.behind(l.logL) {
		return
	}
	live := b.astray(l)
	if len(live) == 0 {
		return
	}
	for _, end := range [2]float64{0.06, 0.94} { // the law may bend back, or be flat where the search began
		other := &b.other
		other.begin(b, f, members)
		for x := range members {
			r := &l.rows[x]
			other.rows[x] = row{append(other.rows[x].column[:0], r.column...), append(other.rows[x].by[:0], r.by...), r.numbers, r.shift}
			other.value[x], other.own[x] = l.value[x], l.own[x]
		}
		b.before = append(b.before[:0], other.at...)
		for _, k := range live {
			u := &b.w.unknowns[k]
			other.at[k] = u.low + end*(u.high-u.low)
		}
		b.replace(other, f, live)
		if !b.lay(other, ohms, width, true) || !b.crosses(l, other) {
			continue
		}
		b.follow(other, f, ohms, width)
		if !b.straight && other.logL > l.logL {
			b.straighten(other, f, ohms, width)
		}
		if other.logL += b.evenly(other) + b.beyond(other); other.logL > l.logL {
			*l, *other = *other, *l
		}
	}
}

// crosses tells whether a reading that does not fit lies between what two places of the unknowns predict.
func (b *bench) crosses(l, other *laid) bool {
	for x, i := range l.members {
		if b.poor(l, x) {
			value := b.w.obs[i].value
			here, there := l.value[x]+b.fromMiddle(&l.rows[x], l.at), other.value[x]+b.fromMiddle(&other.rows[x], other.at)
			if (here-value)*(there-value) < 0 {
				return true
			}
		}
	}
	return false
}

// poor tells whether a member does not fit.
func (b *bench) poor(l *laid, x int) bool {
	return l.miss[x] > 0.5 || sq(l.joint.pull[x]) > poorFit*l.joint.precision[x*len(l.members)+x]
}

// astray are the unknowns that are alive at a member which does not fit, and might fit with them far from where they are: for their
// law there is not the even one of a sound machine.
func (b *bench) astray(l *laid) []int {
	var out []int
	for _, k := range b.active(l) {
		column := b.w.unknownColumn(k)
		for x, i := range l.members {
			even := b.forced == "" && (!b.felt[i] || b.weak[i]) && b.w.obs[i].even[k]
			if b.poor(l, x) && !even && math.Abs(l.rows[x].of(column)) > 0.5*b.w.obs[i].sigma {
				out = append(out, k)
				break
			}
		}
	}
	return out
}

// behind tells whether a likelihood is so far below the best, by the straight law for the unknown stimuli, that it need not be
// followed: twice as far as what stays coarse.
func (b *bench) behind(logL float64) bool {
	return !b.exactly && b.prior+logL < b.w.best-2*b.w.coarse
}

// threw is an unknown switch that matters to an observation and is the other way than where the search begins, and how many are.
func (b *bench) threw(i int) (last, count int) {
	for _, k := range b.w.obs[i].switches {
		if b.on[k] != b.w.on[k] && b.minds[i][k] {
			last = k
			count++
		}
	}
	return last, count
}
