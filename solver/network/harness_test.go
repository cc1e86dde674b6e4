package network

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
)

// Whole harnesses take the same way through the solver as small circuits: faults of all places, drawn by a fixed seed, in closed
// form against the network built anew with the fault in it.
func TestClosedFormOnHarnesses(t *testing.T) {
	for _, x := range []struct{ wires, faults int }{{163, 120}, {1014, 40}} {
		c := madeHarness(t, x.wires)
		random := rand.New(rand.NewPCG(3, uint64(x.wires)))
		all := someFaults(c)
		layout := NewWideLayout(c)
		var k Case
		var p Prediction
		compared, worst := 0, 0.0
		for _, r := range harnessReadings(c, 6) {
			s := layout.Frame(circuits.DefaultMeter(), r).Scene(nil)
			for range x.faults {
				f := all[random.IntN(len(all))]
				want := Read(c, circuits.DefaultMeter(), r, nil, circuits.Fault{First: f})
				k.Place(s, f)
				k.Value(f.Ohms, &p)
				got := p.Value
				if p.Status == Fine && r.Quantity == circuits.ScanVolts {
					got = Report(*c.Pin(r.Point()), got)
				}
				if p.Status != want.Status || p.Why != want.Why {
					t.Errorf("%d wires: %s at %s under %s: %d %+v, want %d %+v", x.wires, r.Quantity, r.At, f, p.Status, p.Why, want.Status, want.Why)
					continue
				}
				compared++
				gap := math.Abs(got-want.Value) / (1 + math.Abs(want.Value))
				worst = max(worst, gap)
				if gap > 1e-6 {
					t.Errorf("%d wires: %s at %s under %s: %.9g, want %.9g", x.wires, r.Quantity, r.At, f, got, want.Value)
				}
			}
		}
		t.Logf("%d wires: %d compared, worst gap %.2g", x.wires, compared, worst)
	}
}

// Opens of a harness's wires and contacts of milliohms, with inputs of 1 TΩ, against the reference of ninety digits.
func TestHarnessAgainstNinetyDigits(t *testing.T) {
	c := madeHarness(t, 85)
	for m := range c.Modules {
		for i := range c.Modules[m].Pins {
			if p := &c.Modules[m].Pins[i]; p.Kind == circuits.PinInput {
				p.InputOhms = 1e12
			}
		}
	}
	meter := circuits.DefaultMeter()
	meter.InputOhms = 1e12
	random := rand.New(rand.NewPCG(4, 85))
	all := referenceFaults(c)
	layout := NewWideLayout(c)
	var k Case
	var p Prediction
	worst, compared := 0.0, 0
	for _, r := range harnessReadings(c, 8) {
		if r.Quantity != circuits.Volts {
			continue
		}
		scene := layout.Frame(meter, r).Scene(nil)
		for range 6 {
			f := all[random.IntN(len(all))]
			k.Place(scene, f)
			k.Value(f.Ohms, &p)
			n := build(c, building{state: r.State, stimuli: nominal(nil), fault: faults{f}, joints: true})
			point := n.nodeOf(r.At.From)
			n.resistor(point, ground, meter.InputOhms)
			s, steady := n.solve(newPattern(n))
			if !steady || p.Status != Fine {
				continue // floating, say: no number to compare
			}
			want := referenceVolts(n, s.values, func(i int32) bool { return s.f.at(i) < 0 })[point]
			gap := math.Abs(p.Value - want)
			worst = max(worst, gap)
			compared++
			if gap > 2e-12 {
				t.Errorf("%s under %s: %.17g V, want %.17g V", r.At, f, p.Value, want)
			}
		}
	}
	t.Logf("%d predictions, worst %.2g V off", compared, worst)
	if compared < 15 {
		t.Errorf("only %d predictions compared", compared)
	}
}
