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

// Case is a fault placed in a scene, for one goroutine at a time. It remembers what it has met, and Place uses its room
// again.
type Case struct {
	scene  *Scene
	edit   edit
	port   port
	kind   caseKind
	within float64 // ohms of the place's own that a series fault adds to

	states, old []byte
	met         []meeting
	count       int // of met, in use
}

// meeting is a base that a case has come to, with the case's port solved in it.
type meeting struct {
	states string
	mode   mode
	base   *base
	solved bool
	port   portSolution
}

// meet gives the base of the case's states in a mode.
func (c *Case) meet(m mode) *meeting {
	for i := range c.count {
		if e := &c.met[i]; e.mode == m && e.states == string(c.states) {
			return e
		}
	}
	if c.count == len(c.met) {
		c.met = append(c.met, meeting{})
	}
	e := &c.met[c.count]
	c.count++
	e.states, e.mode, e.solved = string(c.states), m, false
	e.base = c.scene.base(baseKey{c.edit, e.states, m})
	return e
}

type caseKind uint8

const (
	plainCase  caseKind = iota // the edit says it all
	openCase                   // the chain stays open
	seriesCase                 // the chain is closed through ohms
	shortCase                  // a conductance between two points
)

// Place puts a fault into a scene. A fault that this reading cannot feel (on the element that the ammeter stands in
// for, on a contact that is apart) is placed as no fault at all. Two swapped terminals are another network: they are
// placed in a frame made for them (Layout.Swapped).
func (c *Case) Place(s *Scene, f circuits.Single) {
	*c = Case{scene: s, states: c.states, old: c.old, met: c.met}
	pieces := len(s.net.pieces)
	if cap(c.states) < pieces {
		c.states, c.old = make([]byte, pieces), make([]byte, pieces)
	}
	c.states, c.old = c.states[:pieces], c.old[:pieces]
	n := s.net
	switch f.Kind {
	case circuits.Open, circuits.HighResistance:
		c.placeSeries(f.Kind, n.series[f.At])
	case circuits.ModuleInside:
		if f.Words == circuits.OpenInside {
			c.placeSeries(circuits.Open, n.pin[f.At].joint)
			return
		}
		c.edit.inside = insideFault{pin: f.At, words: f.Words}
	case circuits.DeviceInside:
		if f.Words != circuits.ReadsWrong {
			c.edit.inside = insideFault{device: f.At.From.Place, words: f.Words}
		}
	case circuits.ShortToGround, circuits.ShortToVoltage, circuits.ShortBetween:
		c.placeShort(f)
	}
}

func (c *Case) placeSeries(kind circuits.FaultKind, i int) {
	s := c.scene
	if i < 0 {
		return // the fault is built in already
	}
	rep := s.frame.chain[i]
	if rep < 0 {
		return
	}
	b := s.net.values.branches[rep]
	c.edit.removed, c.kind = rep+1, openCase
	if kind == circuits.HighResistance {
		c.kind, c.within = seriesCase, 1/b.siemens
		c.port = port{a: [2]int32{b.a, b.a}, b: [2]int32{b.b, b.b}}
	}
}

func (c *Case) placeShort(f circuits.Single) {
	s := c.scene
	here, ohms, ok := s.joins(f.At)
	if !ok {
		return
	}
	p := port{a: here, series: ohms}
	switch f.Kind {
	case circuits.ShortToGround:
		p.b = [2]int32{ground, ground}
	case circuits.ShortToVoltage:
		plus := s.net.nodes[circuits.BPositive]
		p.b = [2]int32{plus, plus}
	default:
		if p.b, ohms, ok = s.joins(f.To); !ok {
			return
		}
		p.series += ohms
	}
	c.port, c.kind = p, shortCase
}

// joins is where a short meets a place: the middle of a wire, which is half of either end behind a quarter of its
// ohms, or the first side of a contact.
func (s *Scene) joins(l circuits.Location) (nodes [2]int32, ohms float64, ok bool) {
	if !l.IsWire() {
		first := s.net.nodeOf(s.net.c.Contact(l).First)
		return [2]int32{first, first}, 0, true
	}
	if s.frame.reading.Quantity == circuits.Amps && s.frame.reading.At == l {
		return nodes, 0, false
	}
	b := s.net.values.branches[s.net.series[l]]
	return [2]int32{b.a, b.b}, 1 / b.siemens / 4, true
}

// Class tells which places are one to a reading: series faults on places of one class are the same fault to it. It is 0
// where the reading feels no series fault at all.
func (s *Scene) Class(at circuits.Location) int32 {
	i := s.net.series[at]
	return s.frame.chain[i] + 1
}

// conductance of the fault at its port.
func (c *Case) conductance(ohms float64) float64 {
	switch c.kind {
	case seriesCase:
		return 1 / (c.within + ohms)
	case shortCase:
		return conductance(ohms)
	}
	return 0
}

// At predicts the reading with that many ohms in the fault. p.Sens is reused where it is long enough.
func (c *Case) At(ohms float64, p *Prediction) {
	s := c.scene
	*p = Prediction{Sens: p.Sens}
	if c.kind == seriesCase && s.torn(c.edit) {
		c.direct(ohms, p)
		return
	}
	if s.frame.reading.Quantity == circuits.Ohms {
		c.ohmsAt(ohms, p)
		return
	}
	e := c.settle(ohms, asMeasured)
	if e == nil {
		p.Status, p.Why = NoValue, WhyUnsteady
		return
	}
	b := e.base
	switch s.frame.reading.Quantity {
	case circuits.Volts:
		if !b.joined && b.f.at(s.frame.probe.plus) >= 0 && !c.joinsLeads(b) {
			p.Status, p.Why = NoValue, WhyFloating
			return
		}
	case circuits.ScanVolts:
		if !s.net.reports(s.frame.probe, c.states) {
			p.Status, p.Why = NoValue, WhyUnpowered
			return
		}
	}
	c.fill(e, ohms, p)
	if s.frame.reading.Quantity == circuits.Amps {
		p.scale(s.frame.probe.sign / circuits.AmmeterOhms)
	}
}

// torn tells whether taking the chain away leaves a current source without a way round.
func (s *Scene) torn(e edit) bool {
	m := asMeasured
	if s.frame.reading.Quantity == circuits.Ohms {
		m = atRest
	}
	return s.hasSinks && s.base(baseKey{e, string(make([]byte, len(s.net.pieces))), m}).torn
}

// direct solves a series fault of that many ohms with the ohms built in, for the few networks that have no answer
// without them. The slope is a difference quotient.
func (c *Case) direct(ohms float64, p *Prediction) {
	const h = 0.01
	var plain, nearby Case
	for _, x := range []*Case{&plain, &nearby} {
		x.Place(c.scene, circuits.Single{})
		x.edit = edit{removed: c.edit.removed, ohms: c.within + ohms}
	}
	nearby.edit.ohms = c.within + ohms*math.Exp(h)
	var q Prediction
	nearby.At(0, &q)
	plain.At(0, p)
	if p.Status == Fine && q.Status == Fine {
		p.Slope = (q.Value - p.Value) / h
	}
}

// joinsLeads tells whether the fault itself joins the piece that the meter's leads are on to something.
func (c *Case) joinsLeads(b *base) bool {
	if c.kind != shortCase && c.kind != seriesCase {
		return false
	}
	return b.f.at(c.port.a[0]) != b.f.at(c.port.b[0])
}

func (p *Prediction) scale(k float64) {
	p.Value *= k
	p.Slope *= k
	for i := range p.Sens {
		p.Sens[i] *= k
	}
}

// settle finds the consistent states of the pieces for a fault of that many ohms; nil where there are none.
func (c *Case) settle(ohms float64, m mode) *meeting {
	n := c.scene.net
	var e *meeting
	found := settle(c.states, c.old, func(states, now []byte) {
		e = c.meet(m)
		volt, joined := c.volt(e, ohms), c.joined(e.base)
		for i := range n.pieces {
			now[i] = n.next(i, states, volt, joined)
		}
	})
	if !found {
		return nil
	}
	return e
}

// through is the current that the fault's conductance draws at its port, and the factor that carries it into the
// transposed weights; nil where none flows.
func (c *Case) through(e *meeting, ohms float64) (ps *portSolution, amps, share, y float64) {
	if c.kind != seriesCase && c.kind != shortCase {
		return nil, 0, 0, 0
	}
	ps = e.base.chain
	if ps == nil {
		if !e.solved {
			c.scene.solvePort(e.base, c.port, &e.port)
			e.solved = true
		}
		ps = &e.port
	}
	if !ps.carries {
		return nil, 0, 0, 0
	}
	y = c.conductance(ohms)
	share = y / (1 + y*ps.ohms)
	return ps, share * ps.across, share, y
}

// volt gives node voltages with the fault in place.
func (c *Case) volt(e *meeting, ohms float64) func(int32) float64 {
	b := e.base
	ps, amps, _, _ := c.through(e, ohms)
	if ps == nil {
		return c.shifted(b)
	}
	return func(i int32) float64 {
		if i < 0 {
			return 0
		}
		return b.volts[i] - amps*ps.volts[i]
	}
}

// shifted gives node voltages where the fault alone joins two parts: it carries no current, so its ends are at one
// voltage, and the part without a path to B- is lifted to make them so.
func (c *Case) shifted(b *base) func(int32) float64 {
	if c.kind != seriesCase && c.kind != shortCase {
		return func(i int32) float64 { return at(b.volts, i) }
	}
	lifted, lift := b.f.at(c.port.b[0]), c.port.of(b.volts)
	if lifted < 0 {
		lifted, lift = b.f.at(c.port.a[0]), -lift
	}
	return func(i int32) float64 {
		if i >= 0 && b.f.island[i] == lifted {
			return b.volts[i] + lift
		}
		return at(b.volts, i)
	}
}

// joined tells which nodes have a path between them with the fault in place.
func (c *Case) joined(b *base) func(a, z int32) bool {
	if c.kind != seriesCase && c.kind != shortCase {
		return b.f.joined
	}
	ends := [2]int32{b.f.at(c.port.a[0]), b.f.at(c.port.b[0])}
	side := func(i int32) int32 {
		if at := b.f.at(i); at != ends[1] {
			return at
		}
		return ends[0]
	}
	return func(a, z int32) bool { return side(a) == side(z) }
}

// fill computes value, slope and sensitivities of the raw reading v_plus − v_minus.
//
// With the port's conductance y in place the voltages are v − i·u and the weights λ − k·w, where i = y·v_port/(1 + y·z)
// and k = y·λ_port/(1 + y·z): the Sherman–Morrison formula, for the system and its transpose.
func (c *Case) fill(e *meeting, ohms float64, p *Prediction) {
	b := e.base
	ps, amps, share, y := c.through(e, ohms)
	p.Value = b.raw
	if ps != nil {
		p.Value -= amps * ps.raw
		// d ln y/d ln R is −1 for a short and −R/(R + own ohms) for a series fault.
		p.Slope = amps * ps.raw / (1 + y*ps.ohms)
		if c.kind == seriesCase {
			p.Slope *= ohms / (ohms + c.within)
		}
	}
	count := len(c.scene.frame.parameters)
	if cap(p.Sens) < count {
		p.Sens = make([]float64, count)
	}
	p.Sens = p.Sens[:count]
	clear(p.Sens)
	for i := range b.leanings {
		l := &b.leanings[i]
		weight := at(b.weights, l.la) - at(b.weights, l.lb)
		volts := at(b.volts, l.va) - at(b.volts, l.vb)
		if ps != nil {
			weight -= share * ps.raw * (at(ps.weights, l.la) - at(ps.weights, l.lb))
			volts -= amps * (at(ps.volts, l.va) - at(ps.volts, l.vb))
		}
		p.Sens[l.parameter] -= weight * (l.slope*volts + l.amps)
	}
}

// liveAt is the voltage that a voltmeter would show between the leads.
func (c *Case) liveAt(e *meeting, ohms float64) float64 {
	volt := c.volt(e, ohms)
	return volt(c.scene.frame.probe.plus) - volt(c.scene.frame.probe.minus)
}

// ohmsAt predicts an ohms reading: the states are those with a voltmeter on the leads, the sources silenced.
func (c *Case) ohmsAt(ohms float64, p *Prediction) {
	s := c.scene
	rest := c.settle(ohms, atRest)
	if rest == nil {
		p.Status, p.Why = NoValue, WhyUnsteady
		return
	}
	if live := c.liveAt(rest, ohms); math.Abs(live) > liveVolts {
		p.Status, p.Why = NoValue, Live(live)
		return
	}
	c.fill(c.meet(byOhmmeter), ohms, p)
	outcome := ohmsOutcome(s.frame.meter, p.Value)
	p.Status = outcome.Status
	rest1 := 1 - p.Value
	p.Value = outcome.Value
	if p.Status != Fine {
		return
	}
	k := 1 / (rest1 * rest1) / ohmmeterSiemens
	p.Slope *= k
	for i := range p.Sens {
		p.Sens[i] *= k
	}
}
