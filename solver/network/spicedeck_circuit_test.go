package network_test

import (
	"ohmtrail/circuits"
)

// This file turns a circuit, the state of a reading and a fault into a linear network: battery, wires, contacts,
// studs, leads. The insides of modules and devices are in spicedeck_parts_test.go.

// Resistances of joints, from the contract's defaults.
const (
	spiceGroundOhms  = 0.001 // of a module's ground pin to its internal ground
	spiceInsideShort = 0.5   // "shorted inside"
	spiceJumperOhms  = 0.02
	spiceAmmeterOhms = 0.02
	spiceHighSideOff = 100e3
	spiceAwakeVolts  = 6 // least supply of a module with power pins
)

// spiceProbe is what stands between the leads.
type spiceProbe struct {
	kind   byte // 0: nothing; 'v': a voltmeter; 'a': an ammeter in place of a contact or wire; 'o': a test current of 1 A
	at, to circuits.Point
	loc    circuits.Location
	ohms   float64 // of the voltmeter
}

// spiceCase is one circuit in one state with one fault and one meter.
type spiceCase struct {
	c       *circuits.Circuit
	state   circuits.State
	stimuli map[string]float64
	fault   circuits.Fault
	probe   spiceProbe
}

// netBuilder builds one network for an assumed vector of states of its piecewise parts (absent: state 0).
type netBuilder struct {
	spiceNet
	spiceCase
	states map[string]int
}

// build is the linear network of the case.
func (k spiceCase) build(states map[string]int) *spiceNet {
	b := &netBuilder{spiceCase: k, states: states}
	b.battery()
	for i := range k.c.Wires {
		b.wire(&k.c.Wires[i])
	}
	b.contacts()
	for _, s := range k.c.Studs {
		loc := circuits.PointLocation(circuits.Point{Place: s.Name})
		if extra, open := b.series(loc); !open {
			b.resistor("stud "+s.Name, s.Name, ground, s.Ohms+extra)
		}
	}
	b.shorts()
	for i := range k.c.Modules {
		b.module(&k.c.Modules[i])
	}
	for i := range k.c.Devices {
		b.device(&k.c.Devices[i])
	}
	b.leads()
	if k.probe.kind == 'o' {
		b.incremental()
	}
	return &b.spiceNet
}

// node is the name of a point's node; an in-line connector without a side means its first side.
func (k spiceCase) node(p circuits.Point) string {
	if in := k.c.Connector(p.Place); in != nil && p.Side == "" {
		p.Side = in.Sides[0]
	}
	return p.String()
}

func (b *netBuilder) battery() {
	volts := b.c.Battery.Volts
	if b.state.Key == circuits.KeyRun {
		volts = b.c.Battery.RunningVolts
	}
	b.source("battery", "battery/inside", ground, volts)
	b.resistor("battery ohms", "battery/inside", "B+", b.c.Battery.SourceOhms)
}

// singles are the faults that are there.
func (k spiceCase) singles() []circuits.Single {
	return []circuits.Single{k.fault.First, k.fault.Second}
}

// series is what the fault adds in series at a place.
func (k spiceCase) series(loc circuits.Location) (extra float64, open bool) {
	for _, s := range k.singles() {
		if s.At == loc && s.Kind == circuits.Open {
			open = true
		}
		if s.At == loc && s.Kind == circuits.HighResistance {
			extra += s.Ohms
		}
	}
	return extra, open
}

// shorted tells whether a short of the fault touches the place.
func (k spiceCase) shorted(loc circuits.Location) bool {
	for _, s := range k.singles() {
		switch s.Kind {
		case circuits.ShortToGround, circuits.ShortToVoltage, circuits.ShortBetween:
			if s.At == loc || s.To == loc {
				return true
			}
		}
	}
	return false
}

// replaced tells whether the ammeter stands in place of the contact or wire.
func (k spiceCase) replaced(loc circuits.Location) bool {
	return k.probe.kind == 'a' && k.probe.loc == loc
}

func (b *netBuilder) wire(w *circuits.Wire) {
	from, to, name := b.node(w.From), b.node(w.To), "wire "+w.Location.String()
	if b.replaced(w.Location) {
		b.resistor(meterName, from, to, spiceAmmeterOhms) // the wire is out, and its middle with it
		return
	}
	extra, open := b.series(w.Location)
	if !b.shorted(w.Location) {
		if !open {
			b.resistor(name, from, to, w.Ohms+extra)
		}
		return
	}
	middle := b.middle(w.Location)
	b.resistor(name+" first half", from, middle, w.Ohms/2)
	if !open {
		b.resistor(name+" second half", middle, to, w.Ohms/2+extra)
	}
}

func (k spiceCase) middle(loc circuits.Location) string { return "middle of " + loc.String() }

// contacts joins the mated pairs. Two swapped terminals have changed their second sides.
func (b *netBuilder) contacts() {
	second := map[circuits.Location]string{}
	for _, c := range b.c.Contacts {
		second[c.Location] = b.node(c.Second)
	}
	for _, s := range b.singles() {
		if s.Kind == circuits.Swapped {
			second[s.At], second[s.To] = second[s.To], second[s.At]
		}
	}
	apart := map[string]bool{}
	for _, u := range b.state.Unplugged {
		for _, plug := range b.c.PlugsNamed(u) {
			apart[plug] = true
		}
	}
	for _, c := range b.c.Contacts {
		first := b.node(c.First)
		if b.replaced(c.Location) {
			b.resistor(meterName, first, second[c.Location], spiceAmmeterOhms)
			continue
		}
		extra, open := b.series(c.Location)
		if !open && !apart[b.c.PlugOf(c.First)] {
			b.resistor("contact "+c.Location.String(), first, second[c.Location], c.Ohms+extra)
		}
	}
}

// shorts joins the middle of a wire or the first side of a contact to what it touches.
func (b *netBuilder) shorts() {
	place := func(loc circuits.Location) string {
		if loc.IsWire() {
			if b.replaced(loc) {
				return ""
			}
			return b.middle(loc)
		}
		return b.node(b.c.Contact(loc).First)
	}
	for _, s := range b.singles() {
		var at, to string
		switch s.Kind {
		case circuits.ShortToGround:
			at, to = place(s.At), ground
		case circuits.ShortToVoltage:
			at, to = place(s.At), "B+"
		case circuits.ShortBetween:
			at, to = place(s.At), place(s.To)
		}
		if at != "" && to != "" {
			b.resistor("short", at, to, s.Ohms)
		}
	}
}

// leads adds jumpers, loads and the meter.
func (b *netBuilder) leads() {
	for _, j := range b.state.Jumpers {
		b.resistor("jumper", b.node(j[0]), b.node(j[1]), spiceJumperOhms)
	}
	for _, l := range b.state.Loads {
		b.resistor("load", b.node(l.From), b.node(l.To), l.Ohms)
	}
	if b.probe.kind == 'v' {
		b.resistor(meterName, b.node(b.probe.at), b.node(b.probe.to), b.probe.ohms)
	}
}

// incremental keeps what a small change of current meets: every source at zero, the states of the parts as they are,
// and 1 A through the leads, so that the volts between them are the ohms.
func (b *netBuilder) incremental() {
	var kept []spiceElement
	for _, e := range b.elements {
		if e.kind == 'V' {
			e.value = 0
		}
		if e.kind != 'I' {
			kept = append(kept, e)
		}
	}
	b.elements, b.parts = kept, nil
	b.current("test", b.node(b.probe.to), b.node(b.probe.at), 1)
}

// inside tells whether a fault with those words is inside the device or module pin.
func (k spiceCase) inside(loc circuits.Location, words string) bool {
	for _, s := range k.singles() {
		if (s.Kind == circuits.DeviceInside || s.Kind == circuits.ModuleInside) && s.At == loc && s.Words == words {
			return true
		}
	}
	return false
}
