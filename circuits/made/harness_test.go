package made_test

import (
	"fmt"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
)

// TestHarness reads harnesses of all sizes: valid, of the size that was asked for, the same for the same seed, with
// connectors, splices and modules within the bounds that the package states.
func TestHarness(t *testing.T) {
	kinds := map[circuits.DeviceKind]int{}
	for _, wires := range []int{40, 41, 85, 163, 313, 1014, 3013} {
		for seed := range uint64(4) {
			text := made.Harness(seed, wires)
			if text != made.Harness(seed, wires) {
				t.Fatalf("%d wires, seed %d: two harnesses of one seed differ", wires, seed)
			}
			c, problems := read.Circuit("made", []byte(text))
			if c == nil {
				t.Fatalf("%d wires, seed %d: %v\n%s", wires, seed, problems, text)
			}
			if len(c.Wires) != wires {
				t.Errorf("%d wires asked for, seed %d: %d made", wires, seed, len(c.Wires))
			}
			for _, m := range c.Modules {
				if len(m.Pins) > 40 {
					t.Errorf("%d wires, seed %d: %s has %d pins", wires, seed, m.Name, len(m.Pins))
				}
			}
			for _, s := range c.Splices {
				if s.Legs < 2 || s.Legs > 8 {
					t.Errorf("%d wires, seed %d: %d wires meet at %s", wires, seed, s.Legs, s.Name)
				}
			}
			for _, d := range c.Devices {
				kinds[d.Kind]++
			}
		}
	}
	for _, k := range circuits.DeviceKinds() {
		if kinds[circuits.DeviceKind(k)] == 0 {
			t.Errorf("no harness has a %s", k)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	for _, wires := range []int{313, 1014, 3013} {
		text := []byte(made.Harness(1, wires))
		b.Run(fmt.Sprint(wires), func(b *testing.B) {
			for b.Loop() {
				read.Circuit("made", text)
			}
		})
	}
}
