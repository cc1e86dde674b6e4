package exercise

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/network"
	"ohmtrail/solver/safety"
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
	if a.Lamp {
		if f := lampOnModule(c, r); f != nil {
			return f
		}
	}
	stands := map[string]float64{}
	for _, s := range append(append([]circuits.SetDevice(nil), m.x.Stands...), r.State.Set...) {
		stands[s.Device] = s.Set
	}
	if words := view.Dangers(c, safety.Look(c, r, stands)); words != "" {
		return &refusal{words, true}
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

// lampOnModule tells of a test lamp that hangs on a module's pin: cold it is a tenth of its ohms, and no reckoning with the warm ones
// makes it good.
func lampOnModule(c *circuits.Circuit, r circuits.Reading) *refusal {
	copper := circuits.Join(c.Joints(r.State.Unplugged))
	for _, l := range r.State.Loads {
		for _, p := range []circuits.Point{l.From, l.To} {
			for i := range c.Modules {
				for k := range c.Modules[i].Pins {
					pin := &c.Modules[i].Pins[k]
					inside := pin.Point()
					inside.Side = "device"
					switch pin.Kind {
					case circuits.PinPower, circuits.PinGround, circuits.PinHighSide:
						continue
					}
					if copper.Joined(p, inside) {
						return &refusal{fmt.Sprintf("a lamp at %s hangs on the module's pin %s: no test lamp on a module's pin; take a resistor, or unplug the module", p, pin.Point()), true}
					}
				}
			}
		}
	}
	return nil
}
