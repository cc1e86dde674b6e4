package evidence

import (
	"math"

	"ohmtrail/circuits"
)

// poorFit is the distance a reading, in squares of standard deviations, above which a search begins again from the ends of the ranges.
const poorFit = 4

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
			even := b.forced == "" && (!b.trays[i].felt || b.trays[i].weak) && b.w.obs[i].even[k]
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
		if b.on[k] != b.w.on[k] && b.trays[i].minds[k] {
			last = k
			count++
		}
	}
	return last, count
}
