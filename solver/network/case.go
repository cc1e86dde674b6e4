package network

import (
	"slices"

	"ohmtrail/circuits"
)

// Case is a fault placed in a scene, for one goroutine at a time. It remembers what it has met, and Place uses its room
// again.
type Case struct {
	scene  *Scene
	which  []int32 // the parameters that LeaningTo is asked for; nil for all
	edit   edit
	kept   []int32 // places kept, the leads first
	ties   []tie   // conductances that the fault makes whatever its ohms
	fault  tie     // the conductance of its ohms
	plus   int8    // the leads' rows
	minus  int8
	middle int // wires cut at their middle, each a node of its own
	kind   caseKind
	source source
	within float64 // ohms of the place's own that a series fault adds to

	gone        []int32 // fuses that are gone before anything flows
	first       []byte  // the pieces' first states with them
	states, now []byte
	met         []meeting
	count       int // of met, in use
}

// tie is a conductance between two rows of the reduced circuit.
type tie struct {
	a, b    int8
	siemens float64
}

// meeting is the circuit with the fault's edits in some states of the pieces, seen from the nodes that are kept.
type meeting struct {
	states string
	sound  *sound
	flips  []int32 // pieces that are not in the state that they have there
	patch  patch
	r      reduced
	leans  [2][]leaning // of what has changed, with the sources and silenced
	leaned [2]bool
}

type caseKind uint8

const (
	plainCase  caseKind = iota // the edits say it all
	sourceCase                 // a reference gives other volts, or has other ohms inside
	openCase                   // the place stays open
	seriesCase                 // the place is closed through ohms
	shortCase                  // a conductance between two points
)

// mostMet is how many circuits that it has met a case keeps the room of for the next fault.
const mostMet = 16

// Place puts a fault into a scene. A fault that this reading cannot feel (on the element that the ammeter stands in
// for, on a contact that is apart) is placed as no fault at all.
func (c *Case) Place(s *Scene, f circuits.Single) {
	s.solve()
	if len(c.met) > mostMet { // a search far and wide is rare, and its room is large
		c.met = slices.Clone(c.met[:mostMet])
	}
	*c = Case{scene: s, gone: c.gone[:0], first: c.first[:0], states: c.states, now: c.now, met: c.met, ties: c.ties[:0], edit: edit{removed: c.edit.removed[:0], moved: s.moved, net: s.set.net},
		kept: append(c.kept[:0], s.leads[0].kept...), plus: s.plus, minus: s.minus}
	n := s.set.net
	if len(s.moved) > 0 {
		sound := s.set.sound[0]
		v := sound.spare()
		c.edit.net = n.withMoved(s.moved, v)
		for _, m := range s.moved {
			branches, gains := n.devices[m.d.Name].list(nil, nil)
			sound.restore(v, branches, gains)
		}
		sound.giveBack(v)
	}
	switch f.Kind {
	case circuits.Open, circuits.HighResistance:
		if i, ok := n.series[f.At]; ok && f.At != s.set.ammeter {
			c.placeSeries(f.Kind, i)
		}
	case circuits.ModuleInside:
		if f.Words == circuits.OpenInside {
			c.placeSeries(circuits.Open, n.pin[f.At].joint)
			return
		}
		c.edit.inside = insideFault{pin: f.At, words: f.Words}
		if f.IsLowReference() {
			c.edit.inside.low = f
			c.placeLow(f)
		}
	case circuits.DeviceInside:
		if f.Words != circuits.ReadsWrong {
			c.edit.inside = insideFault{device: f.At.From.Place, words: f.Words}
		}
	case circuits.ShortToGround, circuits.ShortToVoltage, circuits.ShortBetween:
		c.placeShort(f)
	case circuits.Swapped:
		c.placeSwapped(f)
	}
}

// Blow has fuses gone before anything flows, as those are that blew at an earlier reading.
func (c *Case) Blow(fuses []string) {
	c.gone = c.gone[:0]
	n := c.scene.set.net
	for _, name := range fuses {
		if i := n.devices[name].piece; i >= 0 && n.pieces[i].kind == fusePiece {
			c.gone = append(c.gone, int32(i))
		}
	}
}

// keep adds a node to those kept and gives its row.
func (c *Case) keep(node int32) int8 {
	if node < 0 {
		return ground
	}
	place := c.scene.set.p.place[node]
	if at := slices.Index(c.kept, place); at >= 0 {
		return int8(at)
	}
	c.kept = append(c.kept, place)
	return int8(len(c.kept) - 1)
}

func (c *Case) placeSeries(kind circuits.FaultKind, i int) {
	if i < 0 {
		return // the fault is built in already
	}
	b := c.scene.set.net.values.branches[i]
	if b.siemens == 0 {
		return
	}
	c.edit.removed = append(c.edit.removed, int32(i))
	c.fault = tie{a: c.keep(b.a), b: c.keep(b.b)}
	c.kind = openCase
	if kind == circuits.HighResistance {
		c.kind, c.within = seriesCase, 1/b.siemens
	}
}

// placeLow makes a reference low: its piece has other numbers.
func (c *Case) placeLow(f circuits.Single) {
	n := c.edit.net
	i := n.pin[f.At].piece
	c.edit.net = n.lowered(i, f)
	low := &c.edit.net.pieces[i]
	c.kind = sourceCase
	c.fault = tie{a: c.keep(low.a), b: c.keep(low.b)}
	c.source = source{volts: low.volts, ohms: low.ohms, added: f.Ohms, branch: int32(low.branch)}
}

// source is a reference that is low: its volts and ohms, and how much of these the fault has added.
type source struct {
	volts, ohms, added float64
	branch             int32
}

// joint is where a short meets a place: the middle of a wire, or the first side of a contact.
type joint struct {
	node int32
	wire int // cut at its middle; -1 for a contact
}

func (c *Case) jointAt(l circuits.Location) (joint, bool) {
	n := c.scene.set.net
	if !l.IsWire() {
		return joint{n.nodeOf(n.c.Contact(l).First), -1}, true
	}
	if l == c.scene.set.ammeter {
		return joint{}, false
	}
	i, whole := n.series[l]
	if !whole {
		return joint{n.nodeOf(middleOf(l)), -1}, true // a short that is built in has cut it already
	}
	return joint{-1, i}, true
}

func (c *Case) placeShort(f circuits.Single) {
	from, ok := c.jointAt(f.At)
	if !ok {
		return
	}
	to := joint{ground, -1}
	switch f.Kind {
	case circuits.ShortToVoltage:
		to.node = c.scene.set.net.nodes[circuits.BPositive]
	case circuits.ShortBetween:
		if to, ok = c.jointAt(f.To); !ok {
			return
		}
	}
	c.kind = shortCase
	for _, j := range []joint{from, to} { // all that is kept comes before the middles
		if j.wire >= 0 {
			b := c.scene.set.net.values.branches[j.wire]
			c.keep(b.a)
			c.keep(b.b)
		} else {
			c.keep(j.node)
		}
	}
	c.fault.a, c.fault.b = c.cut(from), c.cut(to)
}

// cut gives the row of a joint; a wire is cut in two halves there.
func (c *Case) cut(j joint) int8 {
	if j.wire < 0 {
		return c.keep(j.node)
	}
	if at := slices.Index(c.edit.removed, int32(j.wire)); at >= 0 {
		return int8(len(c.kept) + at) // a wire shorted to itself
	}
	b := c.scene.set.net.values.branches[j.wire]
	middle := int8(len(c.kept) + c.middle)
	c.middle++
	c.edit.removed = append(c.edit.removed, int32(j.wire))
	c.ties = append(c.ties, tie{c.keep(b.a), middle, 2 * b.siemens}, tie{middle, c.keep(b.b), 2 * b.siemens})
	return middle
}

// placeSwapped changes the second ends of two contacts over.
func (c *Case) placeSwapped(f circuits.Single) {
	n := c.scene.set.net
	i, j := n.series[f.At], n.series[f.To]
	a, b := n.values.branches[i], n.values.branches[j]
	if a.siemens == 0 && b.siemens == 0 {
		return
	}
	c.edit.removed = append(c.edit.removed, int32(i), int32(j))
	c.ties = append(c.ties, tie{c.keep(a.a), c.keep(b.b), a.siemens}, tie{c.keep(b.a), c.keep(a.b), b.siemens})
	switch c.scene.set.ammeter { // it goes with its contact
	case f.At:
		c.minus = c.keep(b.b)
	case f.To:
		c.minus = c.keep(a.b)
	}
}

// meet gives the circuit in the case's states.
func (c *Case) meet(d *desk) *meeting {
	for i := range c.count {
		if e := &c.met[i]; e.states == string(c.states) {
			return e
		}
	}
	if c.count == len(c.met) {
		c.met = append(c.met, make([]meeting, 1+len(c.met))...)
	}
	e := &c.met[c.count]
	c.count++
	k := c.scene.set.nearest(c.states)
	e.sound = c.scene.set.sound[k]
	e.states = string(e.sound.states)
	if string(c.states) != e.states {
		e.states = string(c.states)
	}
	e.leaned = [2]bool{}
	e.flips = e.sound.changed(c.states, e.flips[:0])
	e.sound.difference(c.states, e.flips, c.edit, &e.patch)
	e.r.begin(e.sound.f, &c.scene.leads[k], &e.patch)
	e.r.kept = append(e.r.kept[:0], c.kept...)
	e.r.reckon(d, c.scene.set.net, &e.sound.values)
	return e
}

// branch is one of the circuit as it was met.
func (m *meeting) branch(i int32) branch {
	if at := slices.Index(m.patch.branches, i); at >= 0 {
		return m.patch.to[at]
	}
	return m.sound.values.branches[i]
}

// conductance of the fault's ohms.
func (c *Case) conductance(ohms float64) float64 {
	switch c.kind {
	case seriesCase:
		return 1 / (c.within + ohms)
	case shortCase:
		return conductance(ohms)
	}
	return 0
}
