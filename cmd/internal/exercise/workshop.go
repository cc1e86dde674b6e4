package exercise

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/network"
)

// refusal is why a workshop would not let something be done; unsafe where it could hurt somebody or something.
type refusal struct {
	words  string
	unsafe bool
}

// refuse looks at a reading before it is taken.
func (m *Machine) refuse(a Action, left circuits.Fault) *refusal {
	r, c := a.Reading, m.x.Circuit
	if c.Pyrotechnic {
		return &refusal{"this is a pyrotechnic circuit: nothing is measured here; follow the maker's procedure", true}
	}
	if r.Quantity == circuits.Ohms && r.State.Key != circuits.KeyOff {
		return &refusal{"ohms with the key on: the circuit is live, the meter shows nonsense and may be hurt; say key off", true}
	}
	n := copperNet{circuits.Join(c.Joints(r.State.Unplugged)), c}
	for _, l := range r.State.Loads {
		if f := n.load(l, a.Lamp); f != nil {
			return f
		}
	}
	for _, j := range r.State.Jumpers {
		if f := n.jumper(j); f != nil {
			return f
		}
	}
	for _, s := range r.State.Set {
		if d := c.Device(s.Device); d != nil && d.Kind.HasStimulus() && !d.Kind.Type().Stimulus.ByHand {
			return &refusal{fmt.Sprintf("%s cannot be set by hand: take the machine as it stands", s.Device), false}
		}
	}
	if r.Quantity == circuits.Ohms {
		if out := m.with(left).Exact(m.x.Meter, r); out.Status == network.NoValue && out.Why.Kind != network.Floating {
			return &refusal{"ohms on a " + view.NoValue(out.Why) + "; part the circuit from what feeds it first", true}
		}
	}
	return nil
}

// copperNet is the copper of a circuit as it stands in a state.
type copperNet struct {
	*circuits.Copper
	c *circuits.Circuit
}

// pin is the first module pin on a point's copper whose kind is one of those, nil where there is none.
func (n copperNet) pin(p circuits.Point, kinds ...circuits.PinKind) *circuits.Pin {
	for i := range n.c.Modules {
		for k := range n.c.Modules[i].Pins {
			pin := &n.c.Modules[i].Pins[k]
			inside := pin.Point()
			inside.Side = "device"
			if !n.Joined(p, inside) {
				continue
			}
			for _, kind := range kinds {
				if pin.Kind == kind {
					return pin
				}
			}
		}
	}
	return nil
}

// delicate are the pins that a low resistance hurts.
var delicate = []circuits.PinKind{circuits.PinInput, circuits.PinCANHigh, circuits.PinCANLow, circuits.PinLIN}

// leastSignalOhms is the least that may be put on a signal pin: 12 V across it stay near 10 mA (common practice, no
// source).
const leastSignalOhms = 1000

// load looks at a test load before it is put on.
func (n copperNet) load(l circuits.LoadLead, lamp bool) *refusal {
	for _, p := range []circuits.Point{l.From, l.To} {
		if lamp {
			if pin := n.pin(p, append(delicate, circuits.PinReference, circuits.PinLowSide, circuits.PinReturn)...); pin != nil {
				return &refusal{fmt.Sprintf("a lamp at %s hangs on the module's pin %s: no test lamp on a module's pin; take a resistor, or unplug the module", p, pin.Point()), true}
			}
		}
		if pin := n.pin(p, circuits.PinReference); pin != nil && l.Ohms < pin.Volts/(pin.LimitMA/1000) {
			return &refusal{fmt.Sprintf("%s at %s asks more of %s than the %g mA that it gives", models.SI(l.Ohms, "Ω"), p, pin.Point(), pin.LimitMA), true}
		}
		if pin := n.pin(p, delicate...); pin != nil && l.Ohms < leastSignalOhms {
			return &refusal{fmt.Sprintf("%s at %s is too much for the module's pin %s: a signal bears %s at the least", models.SI(l.Ohms, "Ω"), p, pin.Point(), models.SI(leastSignalOhms, "Ω")), true}
		}
	}
	return nil
}

// jumper looks at a lead before it joins two points.
func (n copperNet) jumper(j [2]circuits.Point) *refusal {
	for k := range j {
		a, b := j[k], j[1-k]
		zero := n.Joined(b, circuits.BNegative) || n.pin(b, circuits.PinGround, circuits.PinReturn) != nil
		switch {
		case n.Joined(a, b):
			continue
		case n.Joined(a, circuits.BPositive) && zero:
			return &refusal{fmt.Sprintf("a lead from %s to %s is a dead short across the battery", a, b), true}
		case n.Joined(a, circuits.BPositive) && n.pin(b, append(delicate, circuits.PinReference, circuits.PinLowSide)...) != nil:
			return &refusal{fmt.Sprintf("a lead from %s to %s puts battery voltage on a module's pin, which may not bear it", a, b), true}
		case n.pin(a, circuits.PinReference) != nil && zero:
			return &refusal{fmt.Sprintf("a lead from %s to %s shorts the module's supply to its return: nothing is learned by it that a voltmeter does not show", a, b), true}
		case n.pin(a, circuits.PinHighSide) != nil && zero:
			return &refusal{fmt.Sprintf("a lead from %s to %s shorts the module's driver", a, b), true}
		}
	}
	return nil
}
