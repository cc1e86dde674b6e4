package read

import (
	"testing"

	"ohmtrail/circuits"
)

// The contract's rule, reckoned by hand for the mast circuit, in which MCU takes 6 minutes to reach, C7 3 and S2 15 by
// the file, and a device 2, a stud 3 and the battery 0 by default; 1 for the reading, 1 for each connector unplugged, 2
// for each jumper or load.
func TestMinutesOfReadings(t *testing.T) {
	c := mast(t)
	for _, test := range []struct {
		name    string
		reading string
		reached []string
		want    float64
	}{
		{"a sensor", `at = "MHS:2"`, nil, 2 + 1},
		{"the same place again", `at = "MHS:1"`, []string{"MHS"}, 1},
		{"a connector", `at = "C7:3/mast"`, []string{"MHS"}, 3 + 1},
		{"two places", `at = "MCU:A3"
to = "C7:3"`, nil, 6 + 3 + 1},
		{"two places, one of them reached", `at = "MCU:A3"
to = "C7:3"`, []string{"MCU"}, 3 + 1},
		{"both leads on one part", `at = "MHS:1"
to = "MHS:3"`, nil, 2 + 1},
		{"a splice", `at = "S2"`, nil, 15 + 1},
		{"a stud", `at = "G1"`, nil, 3 + 1},
		{"the battery", `at = "B+"`, nil, 0 + 1},
		{"unplugged", `at = "MHS:1"
unplugged = ["MHS"]`, nil, 2 + 1 + 1},
		{"unplugged elsewhere", `at = "MHS:1"
unplugged = ["C7"]`, nil, 2 + 3 + 1 + 1},
		{"a module with two connectors unplugged", `at = "MHS:1"
unplugged = ["MCU"]`, nil, 2 + 6 + 1 + 2},
		{"a jumper", `at = "MCU:A2"
unplugged = ["MHS"]
jumper = [["MHS:1", "MHS:2"]]`, nil, 6 + 2 + 1 + 1 + 2},
		{"two jumpers", `at = "MHS:1"
jumper = [["MHS:1", "MHS:2"], ["C7:1", "C7:2"]]`, nil, 2 + 3 + 1 + 2 + 2},
		{"a load from the battery", `at = "MHS:3"
load = [{ from = "B+", to = "MHS:3", ohms = 50 }]`, nil, 2 + 1 + 2},
		{"amps at a stud", `at = "G1"
quantity = "amps"`, nil, 3 + 1},
		{"a scan value", `at = "MCU:A2"
quantity = "scan_volts"`, nil, 0.5},
	} {
		j := jobOn(t, c, "[[reading]]\n"+test.reading+"\n")
		reached := map[string]bool{}
		for _, place := range test.reached {
			reached[place] = true
		}
		if got := c.Minutes(j.Readings[0], reached); got != test.want {
			t.Errorf("%s costs %g minutes, want %g", test.name, got, test.want)
		}
	}
}

// Planned readings reach nothing; taken ones do, a scan value included only for what it touches besides.
func TestPlacesThatTakenReadingsReached(t *testing.T) {
	j := jobOn(t, mast(t), `
[[reading]]
at = "MHS:1"
volts = 5.0
[[reading]]
at = "MCU:A2"
scan_volts = 2.0
[[reading]]
at = "C7:1"
to = "G1"
volts = 5.0
unplugged = ["MTS"]
[[reading]]
at = "S2"
`)
	got := j.Reached()
	for place, want := range map[string]bool{"MHS": true, "C7": true, "G1": true, "MTS": true, "MCU": false, "S2": false, "B-": false} {
		if got[place] != want {
			t.Errorf("%s reached: %v, want %v", place, got[place], want)
		}
	}
}

// The accesses that the contract gives by default: device 2, in-line connector 3, module 6, splice 15, stud 3, battery 0.
func TestDefaultAccess(t *testing.T) {
	c := circuitOf(t, `format = 1
[module.M]
pins.1 = { kind = "power" }
pins.2 = { kind = "ground" }
[device.D]
kind = "fuse"
terminals = { a = "1", b = "2" }
amps = 5
[connector.C]
[splice.S]
[ground.G]
[[run]]
path = ["B+", "D:1"]
[[run]]
path = ["D:2", "C:1", "S", "X:1", "U", "M:1"]
[[run]]
path = ["M:2", "G"]
`)
	for name, want := range map[string]float64{"M": 6, "D": 2, "C": 3, "S": 15, "G": 3, "B+": 0, "B-": 0, "X": 3, "U": 15} {
		if got := c.AccessMin(name); got != want {
			t.Errorf("%s takes %g minutes to reach, want %g", name, got, want)
		}
	}
}

// jobOn parses the readings of a job on a circuit file of testdata.
func jobOn(t *testing.T, c *circuits.Circuit, text string) *circuits.Job {
	t.Helper()
	j, problems := Job("x.job.toml", []byte("format = 1\ncircuit = \""+c.File+"\"\n"+text), openTestdata)
	if j == nil {
		t.Fatal(problems)
	}
	return j
}
