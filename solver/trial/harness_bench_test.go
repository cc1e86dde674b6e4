package trial

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// harnessJob is ten readings of a made harness with one of its faults: a scan value of eight inputs, the first of which is one that the
// fault moves, and two volts beside that pin's way.
func harnessJob(tb testing.TB, wires int, seed uint64) *circuits.Job {
	tb.Helper()
	c, problems := read.Circuit("made", []byte(made.Harness(1, wires)))
	if c == nil {
		tb.Fatal(problems)
	}
	random := rand.New(rand.NewPCG(seed, uint64(wires)))
	var pins []circuits.Point
	for m := range c.Modules {
		for p := range c.Modules[m].Pins {
			if pin := &c.Modules[m].Pins[p]; pin.Kind == circuits.PinInput {
				pins = append(pins, pin.Point())
			}
		}
	}
	random.Shuffle(len(pins), func(i, k int) { pins[i], pins[k] = pins[k], pins[i] })
	pins = pins[:min(8, len(pins))]
	var way circuits.Wire
	for _, w := range c.Wires {
		if w.From == pins[0] || w.To == pins[0] {
			way = w
		}
	}
	v := NewVehicle(c, circuits.Fault{First: circuits.Single{Kind: circuits.HighResistance, At: way.Location, Ohms: 3000, HasOhms: true}}, 0, random)
	j := &circuits.Job{File: "bench", Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
	ask := func(at circuits.Point, q circuits.Quantity) {
		r := circuits.Reading{At: circuits.PointLocation(at), To: circuits.BNegative, Quantity: q, State: circuits.State{Key: circuits.KeyOn}}
		if r, ok := v.Answer(j.Meter, r); ok {
			j.Readings = append(j.Readings, r)
		}
	}
	for _, p := range pins {
		ask(p, circuits.ScanVolts)
	}
	ask(way.From, circuits.Volts)
	ask(way.To, circuits.Volts)
	return j
}

// BenchmarkHarness ranks all faults on ten readings of whole harnesses, and takes the next step there. Larger ones take minutes.
func BenchmarkHarness(b *testing.B) {
	for _, wires := range []int{42, 85, 163, 313} {
		j := harnessJob(b, wires, 1)
		b.Run(fmt.Sprintf("rank/%d", wires), func(b *testing.B) {
			for b.Loop() {
				rank.Rank(j)
			}
		})
		b.Run(fmt.Sprintf("next/%d", wires), func(b *testing.B) {
			r := rank.Rank(j)
			for b.Loop() {
				plan.Next(&r)
			}
		})
	}
}
