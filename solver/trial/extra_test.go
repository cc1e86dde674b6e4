package trial

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// A machine with an extra differs from the same machine without one as the extra says, and in nothing else; as written, all of
// its numbers are the file's.
func TestExtrasAreWhatTheySay(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[Extra]bool{}
	for n := range 40 {
		v, _ := trialMachine(c, c.File, Setup{Seed: 1, AsWritten: true, Extras: 1}, n)
		seen[v.Extra] = true
		contacts, wires := 0.0, 0.0
		for i, k := range v.Own().Contacts {
			contacts += k.Ohms - c.Contacts[i].Ohms
		}
		for i, w := range v.Own().Wires {
			wires += w.Ohms - c.Wires[i].Ohms
		}
		want := map[Extra][2]float64{PoorContacts: {0.1 * float64(len(c.Contacts)), 0}, UndrawnSplice: {0, 1}}[v.Extra]
		if math.Abs(contacts-want[0])+math.Abs(wires-want[1]) > 1e-9 {
			t.Errorf("%q adds %.3f Ω of contacts and %.3f Ω of wires, want %v", v.Extra, contacts, wires, want)
		}
		if (v.gain != 1) != (v.Extra == MeterOff) {
			t.Errorf("%q has a meter of %g", v.Extra, v.gain)
		}
		v.Fault = circuits.Fault{}
		for _, p := range c.Modules[0].Pins {
			if p.Kind != circuits.PinInput {
				continue
			}
			r := circuits.Reading{At: circuits.PointLocation(p.Point()), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
			exact, low, high := v.Exact(circuits.DefaultMeter(), r).Value, math.Inf(1), math.Inf(-1)
			for range 20 {
				got, _ := v.Answer(circuits.DefaultMeter(), r)
				low, high = min(low, got.Value), max(high, got.Value)
			}
			if jumps := high-low > 0.02*exact+0.03; jumps != (v.Extra == MovingStimulus) {
				t.Errorf("%q reads %.3f to %.3f V at %s where %.3f V stand", v.Extra, low, high, p.Point(), exact)
			}
		}
	}
	for _, e := range extras {
		if !seen[e] {
			t.Errorf("none of 40 machines has %q", e)
		}
	}
	if v, _ := trialMachine(c, c.File, Setup{Seed: 1, AsWritten: true}, 0); v.Extra != NoExtra || v.Own() != c {
		t.Error("a machine as written is not the file's")
	}
}
