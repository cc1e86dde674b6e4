package evidence

import (
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
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
		look := &b.trays[i].preds[0]
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
			b.put(c, scene, i, f)
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
	if !b.trays[i].felt || sound.Status != network.Fine {
		return sound
	}
	p := &b.trays[i].aside
	*p = *sound
	p.Value += b.trays[i].preds[0].Value - b.w.obs[i].healthy[0].Value
	return p
}
