package network

import (
	"math"

	"ohmtrail/circuits"
)

// Prediction is what a reading shows under a fault, and how it leans on what nobody knows exactly.
type Prediction struct {
	Status Status
	Why    Reason
	Value  float64   // before the module's steps and limits, for a scan value
	Slope  float64   // change of Value by one e-fold of the fault's ohms
	Sens   []float64 // by parameter: change of Value by one spread (At)
	Leans  []Lean    // the same for those that matter (Leaning)
}

// Value predicts the reading with that many ohms in the fault, without the sensitivities. It costs a few walks to the
// root of the elimination, whatever the circuit's size.
func (c *Case) Value(ohms float64, p *Prediction) { c.predict(ohms, p, math.Inf(1)) }

// Leaning predicts the reading with its sensitivities of least and more, in p.Leans: most of a circuit leans on a
// reading by next to nothing, and is not looked at. least is in the reading's unit.
func (c *Case) Leaning(ohms, least float64, p *Prediction) { c.predict(ohms, p, least) }

// LeaningTo predicts the reading with its sensitivities to some parameters, listed by number, in p.Leans: in a network that is
// looked at once it costs less than to look through all.
func (c *Case) LeaningTo(ohms float64, which []int32, p *Prediction) {
	if c.which = which; which == nil {
		c.which = []int32{}
	}
	c.predict(ohms, p, 0)
	c.which = nil
}

// At predicts the reading with the sensitivities to all parameters, in p.Sens, which is reused where it is long enough.
// What is far below any meter's last digit is left at nothing.
func (c *Case) At(ohms float64, p *Prediction) {
	c.predict(ohms, p, leastLean)
	n := len(c.scene.set.parameters)
	if cap(p.Sens) < n {
		p.Sens = make([]float64, n)
	}
	p.Sens = p.Sens[:n]
	clear(p.Sens)
	for _, l := range p.Leans {
		p.Sens[l.Parameter] = l.Change
	}
}

// leastLean is in volts, ohms and amperes: a thousandth of what any reading is believed to.
const leastLean = 1e-6

// Blown are the fuses that were found blown when the case was last asked, with commas between.
func (c *Case) Blown() string { return c.scene.set.net.blown(c.states) }

// BlownFuses are the same, one by one.
func (c *Case) BlownFuses() []string {
	var out []string
	for _, i := range c.scene.set.fuses {
		if c.states[i] == blown {
			out = append(out, c.scene.set.net.pieces[i].module)
		}
	}
	return out
}

func (c *Case) predict(ohms float64, p *Prediction, least float64) {
	s := c.scene
	*p = Prediction{Sens: p.Sens[:0], Leans: p.Leans[:0]}
	d := s.set.p.desk()
	defer s.set.p.giveBack(d)
	quantity := s.frame.reading.Quantity
	meter := 0.0
	if quantity == circuits.Volts || quantity == circuits.Ohms {
		meter = 1 / s.frame.meter.InputOhms
	}
	m, parted := c.settle(d, ohms, meter)
	if m == nil {
		p.Status, p.Why = NoValue, Reason{Kind: Unsteady}
		return
	}
	raw := d.few.volt(c.plus) + c.lift(m, c.plus) - d.few.volt(c.minus) - c.lift(m, c.minus)
	switch quantity {
	case circuits.Volts:
		if parted && d.few.island(c.plus) >= 0 {
			p.Status, p.Why = NoValue, Reason{Kind: Floating}
			return
		}
	case circuits.ScanVolts:
		if !s.set.net.reports(s.frame.probe, c.states) {
			p.Status, p.Why = NoValue, Reason{Kind: Unpowered}
			return
		}
	case circuits.Ohms:
		if math.Abs(raw) > liveVolts {
			p.Status, p.Why = NoValue, refused(raw)
			return
		}
		c.look(d, m, ohms, ohmmeterSiemens, true)
		raw = d.few.volt(c.plus) - d.few.volt(c.minus)
	}
	p.Value = raw
	d.few.weigh(c.plus, c.minus)
	p.Slope = c.slope(d, m, ohms)
	scale := 1.0
	switch quantity {
	case circuits.Amps:
		scale = s.frame.probe.sign / circuits.AmmeterOhms
		p.Value *= scale
	case circuits.ScanVolts:
		pin := s.set.net.c.Pin(s.frame.reading.Point())
		scale, p.Value = 1+pin.ScanGainPct/100, pin.Converted(raw)
	case circuits.Ohms:
		outcome := ohmsOutcome(s.frame.meter, raw)
		p.Status, p.Value = outcome.Status, outcome.Value
		if p.Status == Fine {
			scale = 1 / ((1 - raw) * (1 - raw)) / ohmmeterSiemens
		}
	}
	p.Slope *= scale
	if !math.IsInf(least, 1) {
		d.weigh()
		c.leanAll(d, m, least/math.Abs(scale))
		for _, i := range d.leans {
			p.Leans = append(p.Leans, Lean{i, d.sum[i] * scale})
		}
		if quantity == circuits.ScanVolts {
			p.convert(s.set.net.c.Pin(s.frame.reading.Point()), raw, s.set.parameters, s.frame.layout.converters)
		}
	}
}

// settle finds the consistent states of the pieces for a fault of that many ohms, and leaves the circuit there on the
// desk; nil where there are none. parted tells whether nothing but the meter joins the leads.
func (c *Case) settle(d *desk, ohms, meter float64) (m *meeting, parted bool) {
	s := c.scene.set
	first := s.sound[0].states // every piece in its first state, or the consistent ones
	if len(c.gone) > 0 {
		c.first = append(c.first[:0], first...)
		for _, i := range c.gone {
			c.first[i] = blown
		}
		first = c.first
	}
	if len(c.states) != len(first) {
		c.states, c.now = make([]byte, len(first)), make([]byte, len(first))
	}
	search := settling{first: first, modules: s.modules, fuses: s.fuses}
	search.look = func(states, now []byte) {
		m = c.meet(d)
		parted = c.look(d, m, ohms, meter, false)
		c.next(d, m, states, now)
	}
	search.overload = func(i int32) float64 {
		p := &s.net.pieces[i]
		return s.net.overload(int(i), d.volt(p.a)-d.volt(p.b))
	}
	found := search.settle(c.states, c.now)
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
//
// Of a low reference it is by one e-fold of the share of its volts, or of the ohms added inside.
func (c *Case) slope(d *desk, m *meeting, ohms float64) float64 {
	if c.kind == sourceCase {
		return c.sourceSlope(d, m)
	}
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

// sourceSlope is that of a low reference: its current is (volts − volts across it)/ohms while it regulates, and any other current
// does not depend on how low it is.
func (c *Case) sourceSlope(d *desk, m *meeting) float64 {
	w, x := &d.few, c.source
	if m.branch(x.branch).siemens == 0 {
		return 0
	}
	if d.silenced {
		x.volts = 0
	}
	amps := x.volts / x.ohms
	if x.added > 0 {
		across := w.volt(c.fault.a) - w.volt(c.fault.b)
		if !d.silenced {
			across += c.lift(m, c.fault.a) - c.lift(m, c.fault.b)
		}
		amps = -(x.volts - across) / x.ohms * x.added / x.ohms
	}
	return amps * (w.weight(c.fault.a) - w.weight(c.fault.b))
}

// next fills in the states that the pieces have at the voltages on the desk. The disturbance that the fault makes is
// followed from it outwards; a part of the circuit is not entered where the disturbance at its edge is too small to
// change any piece in it.
func (c *Case) next(d *desk, m *meeting, states, now []byte) {
	copy(now, states)
	s := c.scene.set
	ask := func(i int32) { now[i] = c.edit.net.next(int(i), states, d.volt, d.joined) }
	if open := c.edit.inside; open.device != "" && open.words == circuits.OpenInside {
		if i := s.net.devices[open.device].piece; i >= 0 && s.net.pieces[i].kind == fusePiece {
			defer func() { now[i] = states[i] }() // it carries nothing
		}
	}
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
	for _, part := range c.edit.moved {
		if i := s.net.devices[part.d.Name].piece; i >= 0 {
			ask(int32(i))
		}
	}
	if s.hasSinks && (len(m.flips) > 0 || len(c.edit.moved) > 0 || c.opens(d)) {
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

// opens tells whether a fault may have left a part of the circuit without a way round for a current.
func (c *Case) opens(d *desk) bool {
	switch c.kind {
	case openCase:
		return d.few.island(c.fault.a) != d.few.island(c.fault.b)
	case plainCase, sourceCase:
		return c.edit.inner() || len(c.edit.removed) > 0
	}
	return false
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
