package safety

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

const bench = `format = 1
[battery]
volts = 12.6
source_ohms = 0.01
[module.ECU]
pins.A1 = { kind = "reference", volts = 5.0, limit_ma = 40 }
pins.A2 = { kind = "input", pull_up_ohms = "10k" }
pins.A3 = { kind = "return" }
pins.B1 = { kind = "power" }
pins.B2 = { kind = "ground" }
pins.B3 = { kind = "low_side", on = true }
pins.B4 = { kind = "high_side", on = true }
[device.S]
kind = "ratiometric"
terminals = { supply = "1", output = "2", return = "3" }
[device.K]
kind = "load"
ohms = 80
terminals = { a = "1", b = "2" }
[device.H]
kind = "load"
ohms = 1800
terminals = { a = "1", b = "2" }
[device.F3]
kind = "fuse"
amps = 15
terminals = { a = "1", b = "2" }
[ground.G101]
[[run]]
path = ["ECU:A1", "S:1"]
[[run]]
path = ["ECU:A2", "S:2"]
[[run]]
path = ["ECU:A3", "S:3"]
[[run]]
path = ["B+", "F3:1"]
[[run]]
path = ["F3:2", "S9"]
[[run]]
path = ["S9", "ECU:B1"]
[[run]]
path = ["S9", "K:1"]
[[run]]
path = ["ECU:B3", "K:2"]
[[run]]
path = ["ECU:B4", "H:1"]
[[run]]
path = ["H:2", "G101"]
[[run]]
path = ["ECU:B2", "G101"]
`

func point(t *testing.T, s string) circuits.Point {
	t.Helper()
	p, err := circuits.ParsePoint(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// What a workshop would refuse, and what it does every day.
func TestLook(t *testing.T) {
	c, problems := read.Circuit("bench", []byte(bench))
	if c == nil {
		t.Fatal(problems)
	}
	jumper := func(a, b string) circuits.State {
		return circuits.State{Key: circuits.KeyOn, Jumpers: [][2]circuits.Point{{point(t, a), point(t, b)}}}
	}
	load := func(a, b string, ohms float64) circuits.State {
		return circuits.State{Key: circuits.KeyOn, Loads: []circuits.LoadLead{{From: point(t, a), To: point(t, b), Ohms: ohms}}}
	}
	apart := func(s circuits.State, plugs ...string) circuits.State {
		s.Unplugged = plugs
		return s
	}
	for _, x := range []struct {
		name  string
		state circuits.State
		kinds []Kind
		amps  float64 // of the first, by hand; 0 where it is not held against
	}{
		// 12.6 V over 0.01 Ω of battery and 0.1 Ω: 114.5 A.
		{"0.1 Ω across the battery", load("B+", "B-", 0.1), []Kind{LoadAmps}, 12.6 / 0.11},
		{"a lead across the battery", jumper("B+", "B-"), []Kind{JumperAmps}, 12.6 / 0.03},
		// What 5 Ω would draw from 5 V behind 0.2 Ω, two contacts of 5 mΩ and 1 m of 0.5 mm² (37.1 mΩ) left out: near 0.95 A.
		{"5 Ω on a 40 mA reference", load("S:1", "B-", 5), []Kind{ReferenceAmps}, 0},
		{"a feed to ground behind its fuse", jumper("ECU:B1", "G101"), []Kind{JumperAmps, FuseAmps}, 0},
		{"battery onto a module's return", jumper("B+", "ECU:A3"), []Kind{JumperAmps, PinVolts}, 0},
		{"battery onto a 5 V reference", jumper("B+", "S:1"), []Kind{PinVolts, PinVolts}, 0},
		{"battery onto a 5 V input", jumper("B+", "S:2"), []Kind{PinVolts}, 0},
		{"a coil jumpered", jumper("K:1", "K:2"), []Kind{JumperAmps, FuseAmps, DriverAmps}, 0},
		{"reference to return", apart(jumper("S:1", "S:3"), "S"), []Kind{JumperAmps, ReferenceAmps}, 0},
		{"22 Ω on a 7 mA feed", load("H:1", "B-", 22), []Kind{DriverAmps}, 0},
		{"signal to return", apart(jumper("S:2", "S:3"), "S"), nil, 0},
		{"signal to reference", apart(jumper("S:2", "S:1"), "S"), nil, 0},
		{"220 Ω on the reference", apart(load("S:1", "S:3", 220), "S"), nil, 0},
		{"a consumer switched on by a lead", jumper("K:2", "B-"), nil, 0},
		{"a load on a fused feed", load("K:1", "B-", 22), nil, 0},
	} {
		r := circuits.Reading{At: circuits.PointLocation(point(t, "ECU:A2")), To: circuits.BNegative, Quantity: circuits.Volts, State: x.state}
		got := Look(c, r, nil)
		ok := len(got) == len(x.kinds)
		for i := range got {
			ok = ok && got[i].Kind == x.kinds[i]
		}
		if !ok || x.amps > 0 && math.Abs(got[0].Amps-x.amps) > 0.01*x.amps {
			t.Errorf("%s: %+v, want kinds %v", x.name, got, x.kinds)
		}
	}
	meter := circuits.Reading{At: circuits.PointLocation(point(t, "K:1")), To: circuits.BNegative, Quantity: circuits.Amps, State: circuits.State{Key: circuits.KeyOn}}
	if got := Look(c, meter, nil); len(got) > 0 {
		t.Errorf("0.16 A through a meter: %+v", got)
	}
}

// A starter's current is no reading for a meter in the circuit.
func TestAmpsBeyondTheMeter(t *testing.T) {
	c, problems := read.Circuit("big", []byte(`format = 1
[battery]
volts = 12.6
[device.M]
kind = "load"
ohms = 0.1
terminals = { a = "1", b = "2" }
[ground.G1]
[[run]]
path = ["B+", "M:1"]
size_mm2 = 6
[[run]]
path = ["M:2", "G1"]
size_mm2 = 6
`))
	if c == nil {
		t.Fatal(problems)
	}
	r := circuits.Reading{At: circuits.PointLocation(point(t, "M:1")), To: circuits.BNegative, Quantity: circuits.Amps, State: circuits.State{Key: circuits.KeyOn}}
	got := Look(c, r, nil)
	if len(got) != 1 || got[0].Kind != MeterAmps || got[0].Amps < 60 || got[0].Amps > 126 {
		t.Errorf("12.6 V over a little more than 0.1 Ω: %+v", got)
	}
}

// A module whose driver feeds 2 Ω through 3 Ω of feed: on, it gets 12.6 V·2/(3 + 2) = 5 V at the most, less than the 6 V that it works with; off, all of
// it, and so on. What cannot be reckoned is not called safe.
func TestWhatFindsNoSteadyStateIsNotSafe(t *testing.T) {
	c, problems := read.Circuit("brownout", []byte(`format = 1
[battery]
volts = 12.6
[module.ECU]
pins.1 = { kind = "power" }
pins.2 = { kind = "ground" }
pins.3 = { kind = "high_side", on = true }
[device.R]
kind = "resistor"
ohms = 3
terminals = { a = "1", b = "2" }
[ground.G1]
[[run]]
path = ["B+", "R:1"]
[[run]]
path = ["R:2", "ECU:1"]
[[run]]
path = ["ECU:2", "G1"]
[[run]]
path = ["ECU:3", "X:1"]
`))
	if c == nil {
		t.Fatal(problems)
	}
	r := circuits.Reading{At: circuits.PointLocation(point(t, "ECU:3")), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn,
		Loads: []circuits.LoadLead{{From: point(t, "ECU:3"), To: point(t, "B-"), Ohms: 2}}}}
	if got := Look(c, r, nil); len(got) != 1 || got[0].Kind != Unsteady {
		t.Errorf("%+v", got)
	}
}
