package network_test

import (
	"math"

	"ohmtrail/circuits"
)

// This file holds the insides of modules and devices, as the tables of the contract's section 1 have them.

// States of piecewise parts; 0 is what every part starts in.
const (
	awake, asleep        = 0, 1  // module
	regulating, limited  = 0, 1  // reference
	backFed              = 2     // reference
	sensing, browned     = 0, 1  // ratiometric, switching, current loop
	conducting, blocking = 0, 1  // diode
	intact, melted       = 0, 1  // fuse
	leastReverseAmps     = 1e-12 // a diode's current below it is rounding
)

func internalGround(m *circuits.Module) string { return m.Name + " internal ground" }

// innerNode is the module's side of a pin; "open inside" parts it from the pin.
func innerNode(p circuits.Pin) string { return p.Inside().String() + " inside" }

// feed is the first power pin's inside, or B+ where the module lists none.
func feed(m *circuits.Module) string {
	for _, p := range m.Pins {
		if p.Kind == circuits.PinPower {
			return innerNode(p)
		}
	}
	return "B+"
}

// powered tells whether the module is powered in the assumed states.
func (b *netBuilder) powered(m *circuits.Module) bool {
	return b.state.Key != circuits.KeyOff && b.states["module "+m.Name] == awake
}

func (b *netBuilder) module(m *circuits.Module) {
	inner := internalGround(m)
	var powerPins []string
	grounded := false
	for _, p := range m.Pins {
		pin, in := b.node(p.Inside().From), innerNode(p)
		if !b.inside(p.Inside(), circuits.OpenInside) {
			b.joint(pin, in)
		}
		switch p.Kind {
		case circuits.PinGround:
			grounded = true
			b.resistor("", in, inner, spiceGroundOhms)
		case circuits.PinPower:
			powerPins = append(powerPins, in)
			if b.state.Key != circuits.KeyOff {
				b.resistor("", in, inner, m.SupplyOhms)
			}
		}
	}
	if !grounded {
		b.joint(inner, ground)
	}
	if len(powerPins) > 0 && b.state.Key != circuits.KeyOff {
		b.parts = append(b.parts, spicePart{"module " + m.Name, func(s *spiceSolution) int {
			for _, in := range powerPins {
				if s.between(in, inner) >= spiceAwakeVolts {
					return awake
				}
			}
			return asleep
		}})
	}
	for _, p := range m.Pins {
		b.pin(m, p)
	}
}

func (b *netBuilder) pin(m *circuits.Module, p circuits.Pin) {
	in, zero, on := innerNode(p), internalGround(m), b.powered(m)
	behind := func(volts, ohms float64) { // a source behind a resistance; unpowered its voltage is 0
		if !on {
			volts = 0
		}
		rail := in + " rail"
		b.source("", rail, zero, volts)
		b.resistor("", rail, in, ohms)
	}
	driven := p.On
	if b.inside(p.Inside(), circuits.StuckOn) {
		driven = true
	}
	if b.inside(p.Inside(), circuits.StuckOff) {
		driven = false
	}
	switch p.Kind {
	case circuits.PinReference:
		b.resistor("", in, zero, p.LeakOhms)
		if on && !b.inside(p.Inside(), circuits.ReferenceDead) {
			b.reference(b.low(p), in, zero)
		}
	case circuits.PinInput:
		if p.PullUpOhms > 0 && !b.inside(p.Inside(), circuits.PullUpLost) {
			behind(p.PullUpVolts, p.PullUpOhms)
		}
		if p.PullDownOhms > 0 {
			b.resistor("", in, zero, p.PullDownOhms)
		}
		b.resistor("", in, zero, p.InputOhms)
	case circuits.PinReturn:
		behind(p.OffsetVolts, p.Ohms)
	case circuits.PinLowSide:
		if driven && on {
			b.resistor("", in, zero, p.OnOhms)
		} else {
			behind(p.SenseVolts, p.SenseOhms)
		}
	case circuits.PinHighSide:
		if driven && on {
			b.resistor("", in, feed(m), p.OnOhms)
		} else {
			b.resistor("", in, zero, spiceHighSideOff)
		}
	case circuits.PinCANHigh, circuits.PinCANLow:
		behind(p.BiasVolts, p.BiasOhms)
	case circuits.PinLIN:
		b.resistor("", in, feed(m), p.LINOhms)
	}
}

// reference sources current only: regulated up to its limit, then a constant current, none when back-fed.
// low is a reference that gives too little: its volts are a share of what they should be (0.74, the middle of 0.5 to 0.98, where nothing
// is said), or there are ohms in front of them.
func (b *netBuilder) low(p circuits.Pin) circuits.Pin {
	for _, s := range b.singles() {
		switch {
		case s.Kind != circuits.ModuleInside || s.Words != circuits.ReferenceLow || s.At != p.Inside():
		case s.HasOhms:
			p.SourceOhms += s.Ohms
		case s.Share > 0:
			p.Volts *= s.Share
		default:
			p.Volts *= 0.74
		}
	}
	return p
}

func (b *netBuilder) reference(p circuits.Pin, in, zero string) {
	id, limit := "reference "+p.Point().String(), p.LimitMA/1000
	state := b.states[id]
	switch state {
	case regulating:
		b.source(id, in+" regulator", zero, p.Volts)
		b.resistor("", in+" regulator", in, p.SourceOhms)
	case limited:
		b.current(id, zero, in, limit)
	}
	b.parts = append(b.parts, spicePart{id, func(s *spiceSolution) int {
		volts, supplied := s.between(in, zero), -s.amps[id]
		switch {
		case state == regulating && supplied > limit:
			return limited
		case state == regulating && supplied < -leastReverseAmps, state != regulating && volts > p.Volts:
			return backFed
		case state == limited && volts > p.Volts-limit*p.SourceOhms, state == backFed && volts < p.Volts:
			return regulating
		}
		return state
	}})
}

// stimulus is what the part is set to.
func (k spiceCase) stimulus(d *circuits.Device) float64 {
	if v, ok := k.stimuli[d.Name]; ok {
		return v
	}
	return d.Nominal()
}

func (b *netBuilder) device(d *circuits.Device) {
	pins := make([]string, len(d.Terminals)) // the part's own pins
	for i, role := range d.Kind.Roles() {
		p := d.Terminal(role)
		p.Side = "device"
		pins[i] = b.node(p)
	}
	loc := circuits.PointLocation(circuits.Point{Place: d.Name})
	open, short := b.inside(loc, circuits.OpenInside), b.inside(loc, circuits.ShortedInside)
	if len(pins) == 2 {
		if !open {
			b.twoTerminal(d, pins[0], pins[1])
		}
		if short {
			b.resistor("", pins[0], pins[1], spiceInsideShort)
		}
		return
	}
	output := d.Name + " output lead"
	if !open {
		b.joint(output, pins[1])
	}
	b.threeTerminal(d, pins[0], output, pins[2])
	if short {
		b.resistor("", pins[1], pins[2], spiceInsideShort)
	}
}

func (b *netBuilder) twoTerminal(d *circuits.Device, one, two string) {
	set, id := b.stimulus(d), "device "+d.Name
	switch d.Kind {
	case circuits.Resistor, circuits.Load:
		b.resistor("", one, two, d.Ohms)
	case circuits.Thermistor:
		b.resistor("", one, two, (1+d.LawShare)*thermistorOhms(d, set)) // the machine's own law
	case circuits.RTD:
		b.resistor("", one, two, platinumOhms(d.Ohms0, set))
	case circuits.Switch:
		if set == 1 {
			b.resistor("", one, two, d.ClosedOhms)
		}
	case circuits.Zirconia:
		b.source("", d.Name+" cell", two, set)
		b.resistor("", d.Name+" cell", one, d.Ohms)
	case circuits.Fuse:
		if b.states[id] == intact {
			b.resistor("", one, two, 0.07/d.Amps)
			b.fuses = append(b.fuses, spiceFuse{id, func(s *spiceSolution) float64 {
				return math.Abs(s.between(one, two)) / (0.07 / d.Amps) / (1.35 * d.Amps)
			}})
		}
	case circuits.CurrentLoop:
		b.loop(d, id, one, two, set/1000)
	case circuits.Diode:
		state := b.states[id]
		if state == conducting {
			b.source(id, one, two, d.ForwardVolts)
		}
		b.parts = append(b.parts, spicePart{id, func(s *spiceSolution) int {
			if state == conducting && s.amps[id] < -leastReverseAmps {
				return blocking
			}
			if state == blocking && s.joined(one, two) && s.between(one, two) > d.ForwardVolts {
				return conducting
			}
			return state
		}})
	}
}

// loop sinks a constant current while it has its least voltage; one that stands between two islands has none.
func (b *netBuilder) loop(d *circuits.Device, id, one, two string, amps float64) {
	if amps == 0 {
		return
	}
	state := b.states[id]
	if state == sensing {
		b.current(id, one, two, amps)
	} else {
		b.resistor("", one, two, d.MinVolts/amps)
	}
	b.parts = append(b.parts, spicePart{id, func(s *spiceSolution) int {
		if s.joined(one, two) && s.between(one, two) >= d.MinVolts {
			return sensing
		}
		return browned
	}})
}

func (b *netBuilder) threeTerminal(d *circuits.Device, supply, output, ret string) {
	set, id := b.stimulus(d), "device "+d.Name
	state := b.states[id]
	supplied := spicePart{id, func(s *spiceSolution) int {
		if s.between(supply, ret) >= d.MinSupply {
			return sensing
		}
		return browned
	}}
	switch d.Kind {
	case circuits.Potentiometer:
		tap := d.Name + " tap"
		b.resistor("", tap, ret, d.Ohms*set)
		b.resistor("", supply, tap, d.Ohms*(1-set))
		b.resistor("", tap, output, d.WiperOhms)
	case circuits.Ratiometric:
		b.parts = append(b.parts, supplied)
		b.resistor("", supply, ret, d.SupplyOhms)
		if state == sensing {
			b.controlled("", d.Name+" amplifier", ret, supply, ret, d.Low+set*(d.High-d.Low)+d.OutputPct/100)
			b.resistor("", d.Name+" amplifier", output, d.OutputOhms)
		} else {
			b.resistor("", output, ret, d.UnpoweredOhms)
		}
	case circuits.Switching:
		b.parts = append(b.parts, supplied)
		b.resistor("", supply, ret, d.SupplyOhms)
		if state == sensing && set == 1 {
			b.resistor("", output, ret, d.OnOhms)
		}
	}
}

// thermistorOhms has ln R linear in 1/K between the rows of the table, and beyond its ends, or the Beta law from 25 °C.
func thermistorOhms(d *circuits.Device, celsius float64) float64 {
	x := func(c float64) float64 { return 1 / (c + 273.15) }
	if d.Table == nil {
		return d.Ohms25 * math.Exp(d.Beta*(x(celsius)-x(25)))
	}
	upper := 1
	for upper+1 < len(d.Table) && d.Table[upper].Celsius < celsius {
		upper++
	}
	p, q := d.Table[upper-1], d.Table[upper]
	slope := math.Log(q.Ohms/p.Ohms) / (x(q.Celsius) - x(p.Celsius))
	return p.Ohms * math.Exp(slope*(x(celsius)-x(p.Celsius)))
}

// platinumOhms is the Callendar-Van Dusen equation with the coefficients of IEC 60751.
func platinumOhms(ohms0, t float64) float64 {
	const a, b, c = 3.9083e-3, -5.775e-7, -4.183e-12
	if t >= 0 {
		return ohms0 * (1 + a*t + b*t*t)
	}
	return ohms0 * (1 + a*t + b*t*t + c*(t-100)*t*t*t)
}
