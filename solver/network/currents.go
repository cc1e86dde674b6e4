package network

import (
	"math"

	"ohmtrail/circuits"
)

// CurrentIn says what carries a current.
type CurrentIn uint8

// What can carry a current.
const (
	InJumper  CurrentIn = iota
	InLoad              // a test load or lamp
	InAmmeter           // the meter in the place of a contact or wire
	InFuse
	InPin // of a module
)

// Current is what something carries in a sound circuit as drawn.
type Current struct {
	In    CurrentIn
	Index int            // of the jumper or load in the reading's state
	Place circuits.Point // of a pin; of a fuse its part
	Amps  float64        // through it, without a sign; of a reference at its limit what is asked of it
	Volts float64        // of a load across it; of a pin above its module's internal ground
}

// unlimitedMA stands for a reference that gives what is asked of it.
const unlimitedMA = 1e6

// Currents are the currents and pin voltages in a sound circuit as drawn, with the leads of a reading where it wants them, at nominal numbers.
// Fuses hold, and references give what is asked of them: what flows is what would flow before anything gives way. steady is
// false where the circuit has no steady state; nothing is said then. stimuli are by device; one that is not in it has its nominal stimulus.
func Currents(c *circuits.Circuit, r circuits.Reading, stimuli map[string]float64) (currents []Current, steady bool) {
	b := building{state: r.State, stimuli: nominal(stimuli), joints: true}
	if r.Quantity == circuits.Amps {
		b.ammeter = r.At
	}
	n := build(unlimited(c), b)
	for i := range n.pieces {
		n.pieces[i].rests = n.pieces[i].rests || n.pieces[i].kind == fusePiece
	}
	s, steady := n.solve(newPattern(n))
	if !steady {
		return nil, false
	}
	through := func(branch int) float64 {
		x := &s.values.branches[branch]
		return math.Abs(x.siemens*(s.volt(x.a)-s.volt(x.b)-x.emf) + x.amps)
	}
	for i, branch := range n.jumpers {
		currents = append(currents, Current{In: InJumper, Index: i, Amps: through(branch)})
	}
	for i, branch := range n.loads {
		l := r.State.Loads[i]
		currents = append(currents, Current{In: InLoad, Index: i, Amps: through(branch), Volts: math.Abs(s.volt(n.nodeOf(l.From)) - s.volt(n.nodeOf(l.To)))})
	}
	if r.Quantity == circuits.Amps {
		if branch, ok := n.series[r.At]; ok {
			currents = append(currents, Current{In: InAmmeter, Amps: through(branch)})
		}
	}
	for i := range n.pieces {
		if p := &n.pieces[i]; p.kind == fusePiece {
			currents = append(currents, Current{In: InFuse, Place: circuits.Point{Place: p.module}, Amps: through(p.branch)})
		}
	}
	for mi := range c.Modules {
		for k := range c.Modules[mi].Pins {
			p := &c.Modules[mi].Pins[k]
			slots := n.pin[p.Inside()]
			if slots.joint < 0 {
				continue
			}
			currents = append(currents, Current{In: InPin, Place: p.Point(), Amps: through(slots.joint), Volts: s.volt(slots.inner) - s.volt(n.modules[slots.module].ground)})
		}
	}
	return currents, true
}

// unlimited is the circuit with references that give what is asked of them.
func unlimited(c *circuits.Circuit) *circuits.Circuit {
	out := Machine(c, nil, nil)
	for i := range out.Modules {
		for k := range out.Modules[i].Pins {
			if p := &out.Modules[i].Pins[k]; p.Kind == circuits.PinReference {
				p.LimitMA = unlimitedMA
			}
		}
	}
	return out
}
