package view

import (
	"fmt"

	"ohmtrail/circuits"
)

// Cautions are the words of care that a job asks for, common practice without a source where no line says otherwise.
// Those of a maker's own procedure come before any of them.
func Cautions(j *circuits.Job) []string {
	if j.Circuit.Pyrotechnic {
		return []string{
			"Stop: this is a pyrotechnic circuit. No ohms, no lamp, no load and no jumper, for a meter's current can fire it. " +
				"Follow the maker's procedure with the maker's equipment.",
		}
	}
	var out []string
	ohms, running, led := false, false, false
	for _, r := range j.Readings {
		ohms = ohms || r.Quantity == circuits.Ohms
		running = running || r.State.Key == circuits.KeyRun
		led = led || len(r.State.Loads) > 0 || len(r.State.Jumpers) > 0
	}
	if ohms {
		out = append(out, "Ohms only on a dead circuit: key off, and the part or the battery apart. On a live one the meter shows nonsense.")
	}
	if pins := modulePins(j.Circuit); pins {
		words := "No test lamp on a module's pin"
		if milliamps := leastLimit(j.Circuit); milliamps > 0 {
			words += fmt.Sprintf(" or on its reference: a lamp draws far more than the %s mA that it gives", plainNumber(milliamps))
		}
		out = append(out, words+".")
	}
	if led {
		out = append(out, "A jumper or load goes only where the circuit allows its current, and with a fuse in the lead.")
	}
	if running {
		out = append(out, "Engine running: keep leads, sleeves and hands clear of hot and moving parts.")
	}
	return out
}

// modulePins tells whether a module has pins that a lamp would harm.
func modulePins(c *circuits.Circuit) bool {
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind != circuits.PinGround && p.Kind != circuits.PinPower {
				return true
			}
		}
	}
	return false
}

// leastLimit is the least current limit of any reference, in mA; 0 where there is no reference.
func leastLimit(c *circuits.Circuit) float64 {
	least := 0.0
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinReference && (least == 0 || p.LimitMA < least) {
				least = p.LimitMA
			}
		}
	}
	return least
}
