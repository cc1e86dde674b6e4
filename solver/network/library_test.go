package network_test

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/network"
)

// stimulusEnds are settings of all unknown stimuli of a circuit: nominal, all at the low end, all at the high end, and
// each by itself at either end.
func stimulusEnds(c *circuits.Circuit) []map[string]float64 {
	nominal, low, high := map[string]float64{}, map[string]float64{}, map[string]float64{}
	var free []circuits.Device
	for _, d := range c.Devices {
		if !d.Kind.HasStimulus() {
			continue
		}
		nominal[d.Name], low[d.Name], high[d.Name] = d.Nominal(), d.Nominal(), d.Nominal()
		if !d.HasSet {
			low[d.Name], high[d.Name] = d.Range[0], d.Range[1]
			free = append(free, d)
		}
	}
	out := []map[string]float64{nominal, low, high}
	for _, d := range free {
		for _, v := range d.Range {
			one := map[string]float64{}
			for k, x := range nominal {
				one[k] = x
			}
			one[d.Name] = v
			out = append(out, one)
		}
	}
	return out
}

// codesSet are the codes that a fault sets with the key on and everything plugged in.
func codesSet(c *circuits.Circuit, stimuli map[string]float64, f circuits.Fault) map[string]bool {
	out := map[string]bool{}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind != circuits.PinInput || p.Below == nil && p.Above == nil {
				continue
			}
			r := circuits.Reading{At: circuits.PointLocation(p.Point()), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
			got := network.Read(c, circuits.DefaultMeter(), r, stimuli, f)
			if got.Status != network.Fine {
				continue
			}
			if p.Below != nil && got.Value < p.Below.Volts {
				out[p.Below.Code] = true
			}
			if p.Above != nil && got.Value > p.Above.Volts {
				out[p.Above.Code] = true
			}
		}
	}
	return out
}

// Every library circuit, healthy, keeps every module input inside its limits over the whole range of every sensor.
func TestLibraryIsHealthyWithinItsLimits(t *testing.T) {
	if n := len(library.Names()); n < 24 {
		t.Errorf("the library has %d circuits, want 24 or more", n)
	}
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, set := range stimulusEnds(c) {
			if _, steady := network.Voltages(c, circuits.State{Key: circuits.KeyOn}, set, circuits.Fault{}); !steady {
				t.Errorf("%s at %v: no steady state", name, set)
			}
			for code := range codesSet(c, set, circuits.Fault{}) {
				t.Errorf("%s at %v: sets %s with nothing wrong", name, set, code)
			}
		}
	}
}

// Every note of a library circuit claims what a fault does; the claim holds: the code is set at every stimulus of the
// range, the reading has the value claimed.
func TestLibraryNotesHold(t *testing.T) {
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		if len(c.FaultNotes) < 4 {
			t.Errorf("%s has %d notes, want 4 or more", name, len(c.FaultNotes))
		}
		for _, n := range c.FaultNotes {
			if n.Sets != "" {
				for _, set := range stimulusEnds(c) {
					if !codesSet(c, set, n.Fault)[n.Sets] {
						t.Errorf("%s:%d: %s does not set %s at %v", name, n.Line, n.Fault, n.Sets, set)
						break
					}
				}
			}
			if n.Expect.At.IsZero() {
				continue
			}
			stimuli := map[string]float64{}
			for _, s := range n.Expect.State.Set {
				stimuli[s.Device] = s.Set
			}
			got := network.Read(c, circuits.DefaultMeter(), n.Expect, stimuli, n.Fault)
			if n.Expect.OL != (got.Status == network.OverRange) || got.Status == network.NoValue {
				t.Errorf("%s:%d: %s: %s is %+v, the note claims %g", name, n.Line, n.Fault, n.Expect.At, got, n.Expect.Value)
			} else if !n.Expect.OL && math.Abs(got.Value-n.Expect.Value) > n.Within {
				t.Errorf("%s:%d: %s: %s shows %.4g, the note claims %g ± %g", name, n.Line, n.Fault, n.Expect.At, got.Value, n.Expect.Value, n.Within)
			}
		}
	}
}
