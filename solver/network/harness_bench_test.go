package network

import (
	"fmt"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
)

// madeHarness is a harness of that many wires.
func madeHarness(tb testing.TB, wires int) *circuits.Circuit {
	c, problems := read.Circuit("made", []byte(made.Harness(1, wires)))
	if c == nil {
		tb.Fatal(problems)
	}
	return c
}

// harnessReadings are readings of a harness: at so many module inputs, in volts and in what the module reports.
func harnessReadings(c *circuits.Circuit, most int) []circuits.Reading {
	var out []circuits.Reading
	on := circuits.State{Key: circuits.KeyOn}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				at := circuits.PointLocation(p.Point())
				at.From, _ = c.Resolve(p.Point())
				out = append(out, circuits.Reading{At: at, To: circuits.BNegative, Quantity: circuits.Volts, State: on},
					circuits.Reading{At: at, To: circuits.BNegative, Quantity: circuits.ScanVolts, State: on})
			}
		}
	}
	every := max(1, len(out)/most)
	var some []circuits.Reading
	for i := 0; i < len(out) && len(some) < most; i += every {
		some = append(some, out[i])
	}
	return some
}

// wireFaults are the faults of every wire: open, high resistance, short to ground.
func wireFaults(c *circuits.Circuit) []circuits.Single {
	var out []circuits.Single
	for _, w := range c.Wires {
		out = append(out, circuits.Single{Kind: circuits.Open, At: w.Location}, circuits.Single{Kind: circuits.HighResistance, At: w.Location},
			circuits.Single{Kind: circuits.ShortToGround, At: w.Location})
	}
	return out
}

var benchSizes = []int{40, 313, 1014, 3013}

// BenchmarkSetting makes a setting ready: one order, one factorisation a look.
func BenchmarkSetting(b *testing.B) {
	for _, wires := range benchSizes {
		c := madeHarness(b, wires)
		r := harnessReadings(c, 1)[0]
		b.Run(fmt.Sprintf("order/%d", wires), func(b *testing.B) {
			n := NewWideLayout(c).topology(r.State).net
			for b.Loop() {
				newPattern(n)
			}
		})
		b.Run(fmt.Sprintf("factor/%d", wires), func(b *testing.B) {
			n := NewWideLayout(c).topology(r.State).net
			f := newFactors(newPattern(n))
			for b.Loop() {
				f.factor(n.values)
			}
		})
		b.Run(fmt.Sprintf("setting/%d", wires), func(b *testing.B) {
			l := NewWideLayout(c)
			f := l.Frame(circuits.DefaultMeter(), r)
			for b.Loop() {
				f.Scene(nil).solve()
			}
		})
	}
}

// BenchmarkFaults asks one reading about all faults of the wires, at five resistances each; ns/op is for one fault.
func BenchmarkFaults(b *testing.B) {
	for _, least := range []float64{-1, 1e-4} {
		for _, wires := range benchSizes {
			name := fmt.Sprintf("value/%d", wires)
			if least > 0 {
				name = fmt.Sprintf("leaning/%d", wires)
			}
			c := madeHarness(b, wires)
			layout := NewWideLayout(c)
			var scenes []*Scene
			for _, r := range harnessReadings(c, 8) {
				scenes = append(scenes, layout.Frame(circuits.DefaultMeter(), r).Scene(nil))
			}
			faults := wireFaults(c)
			b.Run(name, func(b *testing.B) {
				var k Case
				var p Prediction
				for i := 0; b.Loop(); i++ {
					s := scenes[i%len(scenes)]
					k.Place(s, faults[i/len(scenes)%len(faults)])
					for _, ohms := range []float64{0, 10, 300, 1e4, 3e5} {
						if least > 0 {
							k.Leaning(ohms, least, &p)
						} else {
							k.Value(ohms, &p)
						}
					}
				}
			})
		}
	}
}

// BenchmarkScreen asks one reading about the worst of all faults of the wires; ns/op is for one fault.
func BenchmarkScreen(b *testing.B) {
	for _, wires := range benchSizes {
		c := madeHarness(b, wires)
		layout := NewWideLayout(c)
		var scenes []*Scene
		for _, r := range harnessReadings(c, 8) {
			scenes = append(scenes, layout.Frame(circuits.DefaultMeter(), r).Scene(nil))
		}
		faults := wireFaults(c)
		b.Run(fmt.Sprint(wires), func(b *testing.B) {
			cases := make([]Case, len(scenes))
			var p Prediction
			for i := 0; b.Loop(); i++ {
				k := &cases[i%len(scenes)]
				k.Place(scenes[i%len(scenes)], faults[i/len(scenes)%len(faults)])
				k.Value(0, &p)
			}
		})
	}
}
