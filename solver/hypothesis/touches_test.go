package hypothesis

import (
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// At a cavity with nothing mated there is no contact to fail: what is seen or moved there is the end of its wire. Where a
// contact is mated, the cavity is the contact alone.
func TestCavityWithNothingMatedIsTheEndOfItsWire(t *testing.T) {
	c, problems := read.Circuit("socket.circuit.toml", []byte(`format = 1
[module.M]
pins.1 = { kind = "input" }
[connector.C]
[connector.DLC]
[device.D]
kind = "resistor"
ohms = 100
terminals = { a = "1", b = "2" }
[ground.G]
[[run]]
path = ["M:1", "S1", "C:1", "D:1"]
[[run]]
path = ["DLC:6", "S1"]
[[run]]
path = ["D:2", "G"]
`))
	for _, p := range problems {
		if !p.Warning {
			t.Fatal(p)
		}
	}
	for _, test := range []struct {
		at, fault string
		want      bool
	}{
		{"DLC:6", "open DLC:6>S1", true},
		{"DLC:6", "open M:1>S1", false},
		{"DLC:5", "open DLC:6>S1", false},
		{"DLC", "open DLC:6>S1", true},
		{"C:1", "open C:1", true},
		{"C:1", "open C:1>D:1", false},
	} {
		at, err := circuits.ParseLocation(test.at)
		if err != nil {
			t.Fatal(err)
		}
		f, err := circuits.ParseFault(test.fault)
		if err != nil {
			t.Fatal(err)
		}
		if got := Touches(c, at, f.First); got != test.want {
			t.Errorf("%s meets %s: %v, want %v", test.at, test.fault, got, test.want)
		}
	}
}
