package hypothesis

import (
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// TestSlips: what work on one way of a plug may leave, on a plug of two ways.
func TestSlips(t *testing.T) {
	circuit, problems := read.Circuit("x.circuit.toml", []byte(`format = 1
[module.M]
pins.1 = { kind = "reference", volts = 5 }
pins.2 = { kind = "return" }
[device.S]
kind = "resistor"
terminals = { a = "1", b = "2" }
ohms = 500
[[run]]
path = ["M:1", "S:1"]
[[run]]
path = ["M:2", "S:2"]
`))
	if circuit == nil {
		t.Fatal(problems)
	}
	for way, want := range map[string][]string{
		"1": {"open S:1", "high-resistance S:1", "open S:2", "swapped S:1 S:2", "short-between S:1 S:2"},
		"2": {"open S:2", "high-resistance S:2", "open S:1", "swapped S:1 S:2", "short-between S:1 S:2"},
	} {
		at := circuits.PointLocation(circuits.Point{Place: "S", Cavity: way})
		var got []string
		for _, s := range Slips(circuit, []circuits.Location{at}, circuits.Fault{First: circuits.Single{Kind: circuits.Open, At: at}}) {
			got = append(got, s.Fault.String())
		}
		if !slices.Equal(got, want) {
			t.Errorf("slips of way %s: %q, not %q", way, got, want)
		}
	}
}
