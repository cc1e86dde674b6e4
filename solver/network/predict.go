package network

import (
	"math"

	"ohmtrail/circuits"
)

// Prediction is what a reading shows under a fault, and how it leans on what nobody knows exactly.
type Prediction struct {
	Status Status
	Why    string
	Value  float64   // before the module's steps and limits, for a scan value
	Slope  float64   // change of Value by one e-fold of the fault's ohms
	Sens   []float64 // by parameter: change of Value by one spread
}

// Value predicts the reading with that many ohms in the fault, without the sensitivities. It costs a few walks to the
// root of the elimination, whatever the circuit's size.
func (c *Case) Value(ohms float64, p *Prediction) { c.predict(ohms, p, false, nil) }

// At predicts the reading with that many ohms in the fault, with the sensitivities to all parameters: it costs as much
// as the circuit is large. p.Sens is reused where it is long enough.
func (c *Case) At(ohms float64, p *Prediction) { c.predict(ohms, p, true, nil) }

// AtWith predicts the reading with the sensitivities to some parameters, listed by number; the others are left at
// nothing. Each costs a walk.
func (c *Case) AtWith(ohms float64, which []int32, p *Prediction) {
	if len(which) == 0 {
		which = []int32{}
	}
	c.predict(ohms, p, true, which)
}

func (c *Case) predict(ohms float64, p *Prediction, sens bool, which []int32) {
	s := c.scene
	*p = Prediction{Sens: p.Sens}
	d := s.set.p.desk()
	defer s.set.p.giveBack(d)
	quantity := s.frame.reading.Quantity
	meter := 0.0
	if quantity == circuits.Volts || quantity == circuits.Ohms {
		meter = 1 / s.frame.meter.InputOhms
	}
	m, parted := c.settle(d, ohms, meter)
	if m == nil {
		p.Status, p.Why = NoValue, WhyUnsteady
		return
	}
	raw := d.few.volt(c.plus) + c.lift(m, c.plus) - d.few.volt(c.minus) - c.lift(m, c.minus)
	switch quantity {
	case circuits.Volts:
		if parted && d.few.island(c.plus) >= 0 {
			p.Status, p.Why = NoValue, WhyFloating
			return
		}
	case circuits.ScanVolts:
		if !s.set.net.reports(s.frame.probe, c.states) {
			p.Status, p.Why = NoValue, WhyUnpowered
			return
		}
	case circuits.Ohms:
		if math.Abs(raw) > liveVolts {
			p.Status, p.Why = NoValue, Live(raw)
			return
		}
		c.look(d, m, ohms, ohmmeterSiemens, true)
		raw = d.few.volt(c.plus) - d.few.volt(c.minus)
	}
	p.Value = raw
	d.few.weigh(c.plus, c.minus)
	p.Slope = c.slope(d, m, ohms)
	if sens {
		d.weigh()
		c.lean(d, m, which, p)
	}
	switch quantity {
	case circuits.Amps:
		p.scale(s.frame.probe.sign / circuits.AmmeterOhms)
		p.Value *= s.frame.probe.sign / circuits.AmmeterOhms
	case circuits.ScanVolts:
		p.convert(s.set.net.c.Pin(s.frame.reading.Point()), s.set.parameters, s.frame.layout.converters)
	case circuits.Ohms:
		outcome := ohmsOutcome(s.frame.meter, raw)
		p.Status, p.Value = outcome.Status, outcome.Value
		if p.Status == Fine {
			p.scale(1 / ((1 - raw) * (1 - raw)) / ohmmeterSiemens)
		}
	}
}

// scale turns changes of the raw reading into changes of the value.
func (p *Prediction) scale(k float64) {
	p.Slope *= k
	for i := range p.Sens {
		p.Sens[i] *= k
	}
}

// settle finds the consistent states of the pieces for a fault of that many ohms, and leaves the circuit there on the
// desk; nil where there are none. parted tells whether nothing but the meter joins the leads.
func (c *Case) settle(d *desk, ohms, meter float64) (m *meeting, parted bool) {
	s := c.scene.set
	first := s.sound[0].states // every piece in its first state, or the consistent ones
	if len(c.states) != len(first) {
		c.states, c.now = make([]byte, len(first)), make([]byte, len(first))
	}
	copy(c.states, first)
	found := settle(c.states, c.now, func(states, now []byte) {
		m = c.meet(d)
		parted = c.look(d, m, ohms, meter, false)
		c.next(d, m, states, now)
	})
	if !found {
		return nil, false
	}
	return m, parted
}

// look solves the circuit that was met with the fault's ohms and the meter in it, and lays it out on the desk.
func (c *Case) look(d *desk, m *meeting, ohms, meter float64, silenced bool) (parted bool) {
	w := &d.few
	w.take(&m.r, c.middle, silenced)
	tie := func(a, b int8, siemens, emf float64) {
		if siemens == 0 {
			return
		}
		if !silenced {
			emf += c.lift(m, b) - c.lift(m, a)
		}
		w.tie(a, b, siemens, siemens*emf)
	}
	for _, t := range c.ties {
		tie(t.a, t.b, t.siemens, 0)
	}
	tie(c.fault.a, c.fault.b, c.conductance(ohms), 0)
	if meter != 0 {
		w.findParts()
		parted = w.island(c.plus) != w.island(c.minus)
		emf := 0.0
		if silenced {
			emf = 1
		}
		tie(c.plus, c.minus, meter, emf)
	}
	w.findParts()
	w.solve()
	d.show(&m.r, silenced)
	return parted
}

// lift is the offset of a row's node.
func (c *Case) lift(m *meeting, row int8) float64 {
	offset := m.r.offset()
	if offset == nil || row < 0 || int(row) >= len(c.kept) {
		return 0
	}
	return offset[m.r.f.p.node[c.kept[row]]]
}

// slope is the change of the raw reading by one e-fold of the fault's ohms: with y the conductance of the fault,
// dv/dy = −(voltage at the fault)·(its weight in the reading), and d ln y/d ln R is −1 for a short and −R/(R + own ohms)
// for a series fault.
func (c *Case) slope(d *desk, m *meeting, ohms float64) float64 {
	y := c.conductance(ohms)
	if y == 0 {
		return 0
	}
	w := &d.few
	volts := w.volt(c.fault.a) - w.volt(c.fault.b)
	if !d.silenced {
		volts += c.lift(m, c.fault.a) - c.lift(m, c.fault.b)
	}
	slope := y * volts * (w.weight(c.fault.a) - w.weight(c.fault.b))
	if c.kind == seriesCase {
		slope *= ohms / (ohms + c.within)
	}
	return slope
}

// lean fills in the sensitivities of the raw reading; which lists the parameters wanted, nil for all.
func (c *Case) lean(d *desk, m *meeting, which []int32, p *Prediction) {
	s := c.scene.set
	if cap(p.Sens) < len(s.parameters) {
		p.Sens = make([]float64, len(s.parameters))
	}
	p.Sens = p.Sens[:len(s.parameters)]
	clear(p.Sens)
	leanings := s.leaningsOf(c, m, which, d.silenced)
	for i := range leanings {
		l := &leanings[i]
		if l.branch >= 0 && c.takes(l.branch) {
			continue
		}
		if weight := d.weightOf(l.la) - d.weightOf(l.lb); weight != 0 {
			p.Sens[l.parameter] -= weight * (l.slope*(d.volt(l.va)-d.volt(l.vb)) + l.amps)
		}
	}
}

// takes tells whether the fault takes a branch away.
func (c *Case) takes(branch int32) bool {
	for _, i := range c.edit.removed {
		if i == branch {
			return true
		}
	}
	return false
}

// leaningsOf are those of the circuit that a case has met.
func (s *setting) leaningsOf(c *Case, m *meeting, which []int32, silenced bool) []leaning {
	x := m.sound
	if len(m.flips) > 0 || c.edit.inside != (insideFault{}) {
		v := x.spare()
		defer x.giveBack(v)
		branches, gains := x.edited(c.states, m.flips, c.edit, v)
		out := s.leanings(v, c.states, which, silenced)
		x.restore(v, branches, gains)
		return out
	}
	if which != nil {
		return s.leanings(x.values, x.states, which, silenced)
	}
	k := 0
	if silenced {
		k = 1
	}
	x.leaned[k].Do(func() { x.leans[k] = s.leanings(x.values, x.states, nil, silenced) })
	return x.leans[k]
}

// next fills in the states that the pieces have at the voltages on the desk. The disturbance that the fault makes is
// followed from it outwards; a part of the circuit is not entered where the disturbance at its edge is too small to
// change any piece in it.
func (c *Case) next(d *desk, m *meeting, states, now []byte) {
	copy(now, states)
	s := c.scene.set
	ask := func(i int32) { now[i] = s.net.next(int(i), states, d.volt, d.joined) }
	if !s.steady {
		for i := range states {
			ask(int32(i))
		}
		return
	}
	if len(states) == 0 {
		return
	}
	for _, i := range m.flips {
		ask(i)
		for _, k := range s.owned[i] {
			ask(k)
		}
	}
	if s.hasSinks && (len(m.flips) > 0 || c.kind != shortCase && c.kind != seriesCase) {
		for i := range s.net.pieces {
			if s.net.pieces[i].kind == loopPiece {
				ask(int32(i))
			}
		}
	}
	for i := len(m.r.fronts) - 1; i >= 0; i-- {
		f := &s.p.fronts[m.r.fronts[i]]
		for _, k := range f.pieces {
			ask(k)
		}
		for _, b := range f.below {
			if b >= 0 && !d.isOwn(b) {
				c.spread(d, m, b, ask)
			}
		}
	}
	for _, at := range m.r.roots {
		if !d.isOwn(at) {
			c.spread(d, m, at, ask)
		}
	}
}

// spread looks into a part of the circuit that the fault lies outside of, as far as what it does there can matter.
func (c *Case) spread(d *desk, m *meeting, at int32, ask func(int32)) {
	s := c.scene.set
	f := &s.p.fronts[at]
	moved := 0.0
	for _, place := range f.stays {
		node := s.p.node[place]
		moved = max(moved, math.Abs(d.volt(node)-m.sound.f.volts[node]))
	}
	if owner, w := d.rowOf(d.top, at); w != nil { // a lead is in there
		for i, place := range owner.kept {
			if w.kept>>i&1 != 0 {
				node := s.p.node[place]
				moved = max(moved, math.Abs(d.volt(node)-m.sound.f.volts[node]))
			}
		}
	}
	if moved < m.sound.margins[at] {
		return
	}
	for _, k := range f.pieces {
		ask(k)
	}
	for _, b := range f.below {
		if b >= 0 {
			c.spread(d, m, b, ask)
		}
	}
}
