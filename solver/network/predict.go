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

// Case is a fault placed in a scene. Its zero ohms fields do not matter for a fault that takes none.
type Case struct {
	scene  *Scene
	edit   edit
	port   port
	kind   caseKind
	within float64 // ohms of the place's own that a series fault adds to
}

type caseKind uint8

const (
	plainCase  caseKind = iota // the edit says it all
	openCase                   // the chain stays open
	seriesCase                 // the chain is closed through ohms
	shortCase                  // a conductance between two points
)

// Place prepares a fault. A fault that this reading cannot feel (on the element that the ammeter stands in for, on a
// contact that is apart) is placed as no fault at all.
func (s *Scene) Place(f circuits.Single) Case {
	n := s.net
	none := Case{scene: s}
	switch f.Kind {
	case circuits.Open, circuits.HighResistance:
		i := n.series[f.At]
		return s.placeSeries(f.Kind, i)
	case circuits.ModuleInside:
		if f.Words == circuits.OpenInside {
			return s.placeSeries(circuits.Open, n.pin[f.At].joint)
		}
		return Case{scene: s, edit: edit{inside: insideFault{pin: f.At, words: f.Words}}}
	case circuits.DeviceInside:
		if f.Words == circuits.ReadsWrong {
			return none
		}
		return Case{scene: s, edit: edit{inside: insideFault{device: f.At.From.Place, words: f.Words}}}
	case circuits.ShortToGround, circuits.ShortToVoltage, circuits.ShortBetween:
		return s.placeShort(f)
	case circuits.Swapped:
		return Case{scene: s.swapped(f)}
	}
	return none
}

func (s *Scene) placeSeries(kind circuits.FaultKind, i int) Case {
	rep := s.frame.chain[i]
	if rep < 0 {
		return Case{scene: s}
	}
	b := s.net.values.branches[rep]
	c := Case{scene: s, edit: edit{removed: rep + 1}, kind: openCase}
	if kind == circuits.HighResistance {
		c.kind, c.within = seriesCase, 1/b.siemens
		c.port = port{a: [2]int32{b.a, b.a}, b: [2]int32{b.b, b.b}}
	}
	return c
}

func (s *Scene) placeShort(f circuits.Single) Case {
	c := Case{scene: s, kind: shortCase}
	here, ohms, ok := s.joins(f.At)
	if !ok {
		return Case{scene: s}
	}
	c.port.a, c.port.series = here, ohms
	switch f.Kind {
	case circuits.ShortToGround:
		c.port.b = [2]int32{ground, ground}
	case circuits.ShortToVoltage:
		plus := s.net.nodes[circuits.BPositive]
		c.port.b = [2]int32{plus, plus}
	default:
		if c.port.b, ohms, ok = s.joins(f.To); !ok {
			return Case{scene: s}
		}
		c.port.series += ohms
	}
	return c
}

// joins is where a short meets a place: the middle of a wire, which is half of either end behind a quarter of its
// ohms, or the first side of a contact.
func (s *Scene) joins(l circuits.Location) (nodes [2]int32, ohms float64, ok bool) {
	if !l.IsWire() {
		first := s.net.node(s.net.c.Contact(l).First)
		return [2]int32{first, first}, 0, true
	}
	if s.frame.reading.Quantity == circuits.Amps && s.frame.reading.At == l {
		return nodes, 0, false
	}
	b := s.net.values.branches[s.net.series[l]]
	return [2]int32{b.a, b.b}, 1 / b.siemens / 4, true
}

// swapped is the scene with two terminals crossed: another network altogether.
func (s *Scene) swapped(f circuits.Single) *Scene {
	s.mu.Lock()
	defer s.mu.Unlock()
	if sw, ok := s.swaps[f]; ok {
		return sw
	}
	fr := newFrame(s.net.c, s.frame.meter, s.frame.reading, s.frame.parameters, faults{f})
	stimuli := map[string]float64{}
	for i := range s.net.c.Devices {
		d := &s.net.c.Devices[i]
		stimuli[d.Name] = s.stimuli(d)
	}
	sw := fr.Scene(stimuli)
	s.swaps[f] = sw
	return sw
}

// Class tells which faults a reading cannot tell apart at all: series faults in one chain have the same class in every
// scene of a frame. It is 0 for a fault that the reading cannot feel.
func (c Case) Class() int32 { return c.edit.removed }

// conductance of the fault at its port.
func (c Case) conductance(ohms float64) float64 {
	switch c.kind {
	case seriesCase:
		return 1 / (c.within + ohms)
	case shortCase:
		return conductance(ohms)
	}
	return 0
}

// At predicts the reading with that many ohms in the fault. p.Sens is reused where it is long enough.
func (c Case) At(ohms float64, p *Prediction) {
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
	states, steady := c.settle(ohms, asMeasured)
	if !steady {
		p.Status, p.Why = NoValue, WhyUnsteady
		return
	}
	b := s.base(baseKey{c.edit, states, asMeasured})
	switch s.frame.reading.Quantity {
	case circuits.Volts:
		if !b.joined && b.f.at(s.frame.probe.plus) >= 0 && !c.joinsLeads(b) {
			p.Status, p.Why = NoValue, WhyFloating
			return
		}
	case circuits.ScanVolts:
		if !s.net.reports(s.frame.probe, []byte(states)) {
			p.Status, p.Why = NoValue, WhyUnpowered
			return
		}
	}
	c.fill(b, ohms, p)
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
func (c Case) direct(ohms float64, p *Prediction) {
	const h = 0.01
	plain := Case{scene: c.scene, edit: edit{removed: c.edit.removed, ohms: c.within + ohms}}
	nearby := plain
	nearby.edit.ohms = c.within + ohms*math.Exp(h)
	var q Prediction
	nearby.At(0, &q)
	plain.At(0, p)
	if p.Status == Fine && q.Status == Fine {
		p.Slope = (q.Value - p.Value) / h
	}
}

// joinsLeads tells whether the fault itself joins the piece that the meter's leads are on to something.
func (c Case) joinsLeads(b *base) bool {
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

// settle finds the consistent states of the pieces for a fault of that many ohms.
func (c Case) settle(ohms float64, m mode) (string, bool) {
	states := make([]byte, len(c.scene.net.pieces))
	if len(states) == 0 {
		return "", true
	}
	for _, allAtOnce := range []bool{true, false} {
		clear(states)
		if c.settleBy(ohms, m, states, allAtOnce) {
			return string(states), true
		}
	}
	return "", false
}

func (c Case) settleBy(ohms float64, m mode, states []byte, allAtOnce bool) bool {
	s := c.scene
	old := make([]byte, len(states))
	for range maxRounds {
		b := s.base(baseKey{c.edit, string(states), m})
		volt := c.volt(b, ohms)
		copy(old, states)
		changed := false
		for i := range s.net.pieces {
			if now := s.net.next(i, old, volt, c.joined(b)); now != old[i] {
				states[i], changed = now, true
				if !allAtOnce {
					break
				}
			}
		}
		if !changed {
			return true
		}
	}
	return false
}

// through is the current that the fault's conductance draws at its port per volt... in amperes, and the factor that
// carries it into the transposed weights.
func (c Case) through(b *base, ohms float64) (ps *portSolution, amps, share, y float64) {
	if c.kind != seriesCase && c.kind != shortCase {
		return nil, 0, 0, 0
	}
	ps = c.scene.port(b, c.port)
	if !ps.carries {
		return nil, 0, 0, 0
	}
	y = c.conductance(ohms)
	share = y / (1 + y*ps.ohms)
	return ps, share * ps.across, share, y
}

// volt gives node voltages with the fault in place.
func (c Case) volt(b *base, ohms float64) func(int32) float64 {
	ps, amps, _, _ := c.through(b, ohms)
	if ps == nil {
		return func(i int32) float64 { return at(b.volts, i) }
	}
	return func(i int32) float64 {
		if i < 0 {
			return 0
		}
		return b.volts[i] - amps*ps.volts[i]
	}
}

// joined tells which nodes have a path between them with the fault in place.
func (c Case) joined(b *base) func(a, z int32) bool {
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
func (c Case) fill(b *base, ohms float64, p *Prediction) {
	ps, amps, share, y := c.through(b, ohms)
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

// liveAt is the voltage between the leads without the meter, 0 where nothing joins them.
func (c Case) liveAt(b *base, ohms float64) float64 {
	plus, minus := c.scene.frame.probe.plus, c.scene.frame.probe.minus
	if !c.joined(b)(plus, minus) {
		return 0
	}
	volt := c.volt(b, ohms)
	live := volt(plus) - volt(minus)
	if b.f.joined(plus, minus) {
		return live
	}
	// The fault alone joins the two parts. It carries no current, so its ends are at one voltage.
	if b.f.joined(plus, c.port.a[0]) {
		return live - c.port.of(b.volts)
	}
	return live + c.port.of(b.volts)
}

// ohmsAt predicts an ohms reading: the states are those without the meter, the sources silenced.
func (c Case) ohmsAt(ohms float64, p *Prediction) {
	s := c.scene
	states, steady := c.settle(ohms, atRest)
	if !steady {
		p.Status, p.Why = NoValue, WhyUnsteady
		return
	}
	rest := s.base(baseKey{c.edit, states, atRest})
	if live := c.liveAt(rest, ohms); math.Abs(live) > liveVolts {
		p.Status, p.Why = NoValue, Live(live)
		return
	}
	b := s.base(baseKey{c.edit, states, byOhmmeter})
	c.fill(b, ohms, p)
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
