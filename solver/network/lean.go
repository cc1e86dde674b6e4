package network

import (
	"math"
	"math/bits"
	"slices"
	"sync"
)

// leans are the leanings of a sound circuit by front, with bounds on what those below a front can come to.
type leans struct {
	once  sync.Once
	all   []leaning // those of one front together
	from  []int32   // by front, and one more: where its leanings begin
	reach []reach   // by front: of all below, its own included
}

// reach bounds what the leanings below a front can change of a reading. A resistance changes it by the current that the
// reading's weights drive through it, times the voltage across it, times its relative change; a source by its amperes
// times the difference of the weights at its ends.
type reach struct {
	drop     float64 // the greatest voltage across a resistance times its relative change
	relative float64 // the greatest relative change
	amps     float64 // the greatest change of a source
	stage    float64 // the greatest change of an output stage for each volt of its supply
	grounded bool    // something below is tied to B-
	none     bool    // no leanings at all
}

// stageReach is how much more a weight below an output stage may be than at the edge: its supply feels what its output
// does, and more where the supply comes through a resistance.
const stageReach = 32

// lean sorts the leanings of a sound circuit.
func (s *setting) lean(x *sound, silenced bool) *leans {
	k := 0
	if silenced {
		k = 1
	}
	l := &x.leans[k]
	l.once.Do(func() {
		l.all = s.leanings(x.values, x.states, nil, silenced, edit{})
		p := s.p
		frontOf := func(l *leaning) int32 { return max(p.first(l.la, l.lb, l.va, l.vb), 0) }
		slices.SortStableFunc(l.all, func(a, b leaning) int { return int(frontOf(&a)) - int(frontOf(&b)) })
		l.from = make([]int32, len(p.fronts)+1)
		for i := range l.all {
			l.from[frontOf(&l.all[i])+1]++
		}
		for i := range p.fronts {
			l.from[i+1] += l.from[i]
		}
		l.bound(x, silenced)
	})
	return l
}

func (l *leans) bound(x *sound, silenced bool) {
	p := x.f.p
	l.reach = make([]reach, len(p.fronts))
	for i := range p.fronts {
		r, f := &l.reach[i], &p.fronts[i]
		r.none = l.from[i] == l.from[i+1]
		for k := l.from[i]; k < l.from[i+1]; k++ {
			a := &l.all[k]
			switch {
			case a.slope == 0:
				r.amps = max(r.amps, math.Abs(a.amps))
			case a.branch >= 0:
				relative := math.Abs(a.slope) / x.values.branches[a.branch].siemens
				r.relative = max(r.relative, relative)
				if !silenced { // with its source: both stand across it
					r.drop = max(r.drop, relative*math.Abs(x.volt(a.va)-x.volt(a.vb)+a.amps/a.slope))
				}
			default:
				r.stage = max(r.stage, math.Abs(a.slope)*stageReach)
				if !silenced {
					r.amps = max(r.amps, stageReach*math.Abs(a.slope*(x.volt(a.va)-x.volt(a.vb))))
				}
			}
		}
		for _, k := range f.branches {
			if b := &x.values.branches[k]; b.siemens != 0 && (b.a < 0 || b.b < 0) {
				r.grounded = true
			}
		}
		for _, k := range f.gains {
			g := &x.values.gains[k]
			r.grounded = r.grounded || g.siemens != 0 && (g.out < 0 || g.ret < 0 || g.sup < 0)
		}
		for _, b := range f.below {
			if b < 0 {
				continue
			}
			below := &l.reach[b]
			r.drop, r.relative, r.amps = max(r.drop, below.drop), max(r.relative, below.relative), max(r.amps, below.amps)
			r.stage, r.grounded, r.none = max(r.stage, below.stage), r.grounded || below.grounded, r.none && below.none
		}
	}
}

// Lean is the change of a reading by one spread of a parameter, by its number.
type Lean struct {
	Parameter int32
	Change    float64
}

// leanAll adds up the sensitivities of the raw reading, in d.sum; those below least can be left out.
func (c *Case) leanAll(d *desk, m *meeting, least float64) {
	s := c.scene.set
	d.begin(len(s.parameters))
	changed := c.changed(m)
	if c.which != nil {
		changed = c.which
	}
	add := func(a *leaning) {
		weight := d.weightOf(a.la) - d.weightOf(a.lb)
		if weight == 0 {
			return
		}
		d.add(a.parameter, -weight*(a.slope*(d.volt(a.va)-d.volt(a.vb))+a.amps))
	}
	var l *leans
	var walk func(at int32)
	walk = func(at int32) {
		if l.reach[at].none || !d.isOwn(at) && c.leansBelow(d, m, at, &l.reach[at]) <= least {
			return
		}
		for k := l.from[at]; k < l.from[at+1]; k++ {
			a := &l.all[k]
			if a.branch >= 0 && c.takes(a.branch) || len(changed) > 0 && slices.Contains(changed, a.parameter) {
				continue
			}
			add(a)
		}
		for _, b := range s.p.fronts[at].below {
			if b >= 0 {
				walk(b)
			}
		}
	}
	if c.which == nil {
		l = s.lean(m.sound, d.silenced)
		for _, at := range m.r.roots {
			walk(at)
		}
	}
	if len(changed) == 0 {
		return
	}
	again := c.leansAgain(m, changed, d.silenced)
	for i := range again {
		if a := &again[i]; a.branch < 0 || !c.takes(a.branch) {
			add(a)
		}
	}
}

// leansAgain are the leanings of what has changed, in the circuit as it was met.
func (c *Case) leansAgain(m *meeting, changed []int32, silenced bool) []leaning {
	k := 0
	if silenced {
		k = 1
	}
	if !m.leaned[k] || c.which != nil { // what LeaningTo is asked for is another list each time
		x := m.sound
		v := x.spare()
		branches, gains := x.edited(c.states, m.flips, c.edit, v)
		m.leans[k] = c.scene.set.leanings(v, c.states, changed, silenced, c.edit)
		x.restore(v, branches, gains)
		x.giveBack(v)
		m.leaned[k] = c.which == nil
	}
	return m.leans[k]
}

// changed are the parameters of the parts, pins and modules that the fault, or what it switches, changes inside.
func (c *Case) changed(m *meeting) []int32 {
	s := c.scene.set
	var out []int32
	var seen []string
	take := func(name string) {
		if name != "" && !slices.Contains(seen, name) {
			seen = append(seen, name)
			out = append(out, s.byPlace[name]...)
		}
	}
	for _, i := range m.flips {
		take(s.pieceAt[i])
		for _, k := range s.owned[i] {
			take(s.pieceAt[k])
		}
	}
	for _, part := range c.edit.moved {
		take(part.d.Name)
	}
	take(c.edit.inside.device)
	take(pinName(c.edit.inside.pin.From))
	return out
}

// leansBelow bounds the change of the reading by any leaning below a front that the fault lies outside of.
func (c *Case) leansBelow(d *desk, m *meeting, at int32, r *reach) float64 {
	p := c.scene.set.p
	stays := p.fronts[at].stays
	var places [64]int32
	edge := places[:0]
	message, size := m.sound.f.message[p.fronts[at].message:], len(stays)
	if owner, w := d.rowOf(d.top, at); w != nil {
		message, size = owner.numbers[w.message:], int(w.size)
		for k := w.kept; k != 0; k &= k - 1 {
			edge = append(edge, owner.kept[bits.TrailingZeros32(k)])
		}
	}
	edge = append(edge, stays...)
	if len(edge) == 0 {
		return 0
	}
	var weights [64]float64
	lowWeight, highWeight, lowVolt, highVolt := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	if r.grounded {
		lowWeight, highWeight, lowVolt, highVolt = 0, 0, 0, 0
	}
	for i, place := range edge {
		w, v := d.weightAt(place), d.above(place)
		if !d.silenced {
			v -= m.sound.f.above(place)
		}
		weights[i] = w
		lowWeight, highWeight = min(lowWeight, w), max(highWeight, w)
		lowVolt, highVolt = min(lowVolt, v), max(highVolt, v)
	}
	weight, volts := highWeight-lowWeight, highVolt-lowVolt
	inflow := 0.0
	for i := range edge {
		amps := message[i*size+i] * weights[i]
		for j := range edge {
			amps += message[i*size+j] * (weights[i] - weights[j])
		}
		inflow += math.Abs(amps)
	}
	return max(inflow*(r.drop+r.relative*volts), weight*(r.amps+r.stage*volts))
}

// above is a node's voltage less its offset, by place.
func (f *factors) above(place int32) float64 {
	node := f.p.node[place]
	return f.volts[node] - at(f.offset, node)
}
