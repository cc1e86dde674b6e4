package read

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// openTestdata opens the circuits of testdata.
func openTestdata(name string) (string, []byte, error) {
	text, err := os.ReadFile(filepath.Join("testdata", name))
	return name, text, err
}

// The contract's table of module pins, each kind with nothing but its kind.
func TestDefaultsOfPins(t *testing.T) {
	want := map[string]circuits.Pin{
		"reference": {Volts: 5.0, TolerancePct: 1, SourceOhms: 0.2, LimitMA: 80, LeakOhms: 50e3},
		"input":     {PullUpVolts: 5.0, TolerancePct: 10, InputOhms: 1e6, RangeVolts: [2]float64{0, 5}, Bits: 10, ScanPct: 1},
		"return":    {Ohms: 0.02},
		"ground":    {},
		"power":     {},
		"low_side":  {OnOhms: 0.2, SenseOhms: 10e3, SenseVolts: 5.0},
		"high_side": {OnOhms: 0.05, On: true},
		"can_high":  {BiasVolts: 2.5, BiasOhms: 15e3},
		"can_low":   {BiasVolts: 2.5, BiasOhms: 15e3},
		"lin":       {LINOhms: 30e3},
	}
	if len(want) != len(circuits.PinKinds()) {
		t.Fatalf("%d kinds tested of %d", len(want), len(circuits.PinKinds()))
	}
	for _, kind := range circuits.PinKinds() {
		c := circuitOf(t, fmt.Sprintf("format = 1\n[module.M]\npins.A1 = { kind = %q }\n[[run]]\npath = [\"B+\", \"M:A1\"]\n", kind))
		w := want[kind]
		w.Module, w.Cavity, w.Line, w.Kind = "M", "A1", 3, circuits.PinKind(kind)
		got := c.Modules[0].Pins[0]
		if got.Widths = nil; !reflect.DeepEqual(got, w) {
			t.Errorf("%s\n got %+v\nwant %+v", kind, got, w)
		}
		if got := c.Modules[0].SupplyOhms; got != 30 {
			t.Errorf("a module draws through %g Ω, want 30", got)
		}
	}
	c := circuitOf(t, "format = 1\n[module.M]\npins.A1 = { kind = \"lin\", commander = true }\n[[run]]\npath = [\"B+\", \"M:A1\"]\n")
	if got := c.Modules[0].Pins[0].LINOhms; got != 1000 {
		t.Errorf("a commander pulls up through %g Ω, want 1000", got)
	}
}

// The contract's table of devices, each kind with nothing but what it needs.
func TestDefaultsOfDevices(t *testing.T) {
	want := map[string]struct {
		needs string
		roles string
		d     circuits.Device
	}{
		"resistor":      {"ohms = 100", "a b", circuits.Device{Ohms: 100, TolerancePct: 5}},
		"thermistor":    {"ohms_25 = 2000\nbeta = 3500", "a b", circuits.Device{Ohms25: 2000, Beta: 3500, TolerancePct: 5, Range: [2]float64{-20, 110}}},
		"rtd":           {"", "a b", circuits.Device{Ohms0: 100, Range: [2]float64{-40, 300}}},
		"potentiometer": {"ohms = \"5k\"", "supply wiper return", circuits.Device{Ohms: 5000, TolerancePct: 20, WiperOhms: 100, Range: [2]float64{0.05, 0.95}}},
		"ratiometric": {"", "supply output return", circuits.Device{Low: 0.1, High: 0.9, SupplyOhms: 1000, OutputOhms: 100, MinSupply: 4.0, UnpoweredOhms: 10e3,
			AccuracyPct: 1.5, Range: [2]float64{0, 1}}},
		"switching":    {"", "supply output return", circuits.Device{SupplyOhms: 2000, OnOhms: 40, MinSupply: 3.5, Range: [2]float64{0, 1}}},
		"switch":       {"", "a b", circuits.Device{ClosedOhms: 0.05, Range: [2]float64{0, 1}}},
		"zirconia":     {"", "signal return", circuits.Device{Ohms: 5000, TolerancePct: 50, Range: [2]float64{0.05, 0.95}}},
		"load":         {"ohms = 12", "a b", circuits.Device{Ohms: 12, TolerancePct: 10}},
		"current_loop": {"", "supply return", circuits.Device{MinVolts: 3, Range: [2]float64{4, 20}}},
		"fuse":         {"amps = 10", "a b", circuits.Device{Amps: 10}},
		"diode":        {"", "anode cathode", circuits.Device{ForwardVolts: 0.7}},
	}
	if len(want) != len(circuits.DeviceKinds()) {
		t.Fatalf("%d kinds tested of %d", len(want), len(circuits.DeviceKinds()))
	}
	for _, kind := range circuits.DeviceKinds() {
		w := want[kind]
		var terminals []string
		for i, role := range strings.Fields(w.roles) {
			terminals = append(terminals, fmt.Sprintf("%s = \"%d\"", role, i+1))
			w.d.Terminals = append(w.d.Terminals, circuits.Terminal{Role: role, Cavity: fmt.Sprint(i + 1)})
		}
		c := circuitOf(t, fmt.Sprintf("format = 1\n[device.D]\nkind = %q\nterminals = { %s }\n%s\n[[run]]\npath = [\"B+\", \"D:1\"]\n", kind, strings.Join(terminals, ", "), w.needs))
		w.d.Name, w.d.Line, w.d.Kind, w.d.AccessMin = "D", 2, circuits.DeviceKind(kind), 2
		got := c.Devices[0]
		if got.Widths = nil; !reflect.DeepEqual(got, w.d) {
			t.Errorf("%s\n got %+v\nwant %+v", kind, got, w.d)
		}
	}
}

func TestDefaultsOfBatteryMeterAndReading(t *testing.T) {
	j := jobOn(t, mast(t), "[[reading]]\nat = \"MHS:2\"\n")
	if got, want := plainly(j.Circuit.Battery), (circuits.Battery{Volts: 12.6, RunningVolts: 14.2, SourceOhms: 0.01}); got != want {
		t.Errorf("battery %+v, want %+v", got, want)
	}
	want := circuits.Meter{InputOhms: 10e6, Volts: models.Accuracy{Pct: 0.5, Plus: 0.01}, Ohms: models.Accuracy{Pct: 0.9, Plus: 0.3},
		Amps: models.Accuracy{Pct: 1.5, Plus: 0.01}, MaxOhms: 40e6}
	if j.Meter != want {
		t.Errorf("meter %+v, want %+v", j.Meter, want)
	}
	r := j.Readings[0]
	if r.To != circuits.BNegative || r.Quantity != circuits.Volts || r.State.Key != circuits.KeyOn || r.Taken || r.Pair {
		t.Errorf("a planned reading of nothing but a place is %+v", r)
	}
	if j.Intermittent {
		t.Error("a job is intermittent only where it says so")
	}
	bare := circuitOf(t, "format = 1\n[[run]]\npath = [\"B+\", \"S\"]\n[[run]]\npath = [\"S\", \"B-\"]\n")
	if got, want := plainly(bare.Battery), (circuits.Battery{Volts: 12.6, RunningVolts: 14.2, SourceOhms: 0.01}); got != want {
		t.Errorf("a circuit without [battery] has %+v, want %+v", got, want)
	}
}

// plainly is a battery without its widths, which have a test of their own.
func plainly(b circuits.Battery) circuits.Battery {
	b.Widths = [3]models.Width{}
	return b
}

// A battery near the limit stays within it while it is charged.
func TestRunningVoltsStayWithinTheLimit(t *testing.T) {
	for volts, want := range map[string]float64{"25.2": 28.4, "55": 60} {
		c := circuitOf(t, "format = 1\n[battery]\nvolts = "+volts+"\n[[run]]\npath = [\"B+\", \"S\"]\n[[run]]\npath = [\"S\", \"B-\"]\n")
		if got := c.Battery.RunningVolts; got < want-1e-9 || got > want+1e-9 {
			t.Errorf("a battery of %s V runs at %g V, want %g", volts, got, want)
		}
	}
}

func TestValuesOfReadings(t *testing.T) {
	j := jobOn(t, mast(t), `
[[reading]]
at = "MHS:2"
volts = [1.92, 4.98]
wiggle = "C7"
[[reading]]
at = "MHS:1"
to = "MHS:3"
key = "off"
unplugged = ["MHS"]
ohms = "OL"
[[reading]]
at = "MHS:1"
to = "MHS:3"
key = "off"
unplugged = ["MHS"]
ohms = ["4k7", "OL"]
[[reading]]
at = "C7:3"
amps = -0.004
[[reading]]
at = "MHS:1"
quantity = "ohms"
key = "off"
unplugged = ["MCU", "MHS"]
`)
	for i, want := range []circuits.Reading{
		{Quantity: circuits.Volts, Taken: true, Value: 1.92, High: 4.98, Pair: true, Wiggle: "C7"},
		{Quantity: circuits.Ohms, Taken: true, Value: 40e6, High: 40e6, OL: true},
		{Quantity: circuits.Ohms, Taken: true, Value: 4700, High: 40e6, OL: true, Pair: true},
		{Quantity: circuits.Amps, Taken: true, Value: -0.004, High: -0.004},
		{Quantity: circuits.Ohms},
	} {
		r := j.Readings[i]
		if r.Quantity != want.Quantity || r.Taken != want.Taken || r.Value != want.Value || r.High != want.High || r.OL != want.OL || r.Pair != want.Pair || r.Wiggle != want.Wiggle {
			t.Errorf("reading %d is %+v, want %+v", i+1, r, want)
		}
	}
	if got := strings.Join(j.Readings[4].State.Unplugged, " "); got != "MCU.A MCU.B MHS" {
		t.Errorf("unplugged are %s, want MCU.A MCU.B MHS", got)
	}
	if at := j.Readings[3].At.String(); at != "C7:3" {
		t.Errorf("amps are read in place of %s, want C7:3", at)
	}
}

// A stimulus is the reading's own, else the job's, else the circuit's, else unknown.
func TestSetOfPrecedence(t *testing.T) {
	j := jobOn(t, mast(t), `
[[reading]]
at = "MHS:2"
set = { MHS = 0.9 }
[[reading]]
at = "MHS:2"
`)
	assumed := jobOn(t, mast(t), "[assume]\nMHS = 0.25\nMTS = 80\n[[reading]]\nat = \"MHS:2\"\nset = { MHS = 0.9 }\n[[reading]]\nat = \"MHS:2\"\n")
	for _, test := range []struct {
		job    *circuits.Job
		r      int
		device string
		want   float64
		known  bool
	}{
		{j, 0, "MHS", 0.9, true},
		{j, 1, "MHS", 0.40, true},
		{j, 0, "MTS", 0, false},
		{assumed, 0, "MHS", 0.9, true},
		{assumed, 1, "MHS", 0.25, true},
		{assumed, 1, "MTS", 80, true},
	} {
		got, known := test.job.SetOf(test.job.Readings[test.r], test.job.Circuit.Device(test.device))
		if got != test.want || known != test.known {
			t.Errorf("%s in reading %d is %g, %v; want %g, %v", test.device, test.r+1, got, known, test.want, test.known)
		}
	}
	if got := j.Circuit.Device("MTS").Nominal(); got != 45 { // the middle of -20 … 110 °C
		t.Errorf("the nominal temperature is %g, want 45", got)
	}
	if got := j.Circuit.Device("MHS").Nominal(); got != 0.40 {
		t.Errorf("the nominal height is %g, want the circuit's 0.4", got)
	}
}

// The nominal state of a switch is closed, and of a switching sensor on.
func TestNominalOfTwoStateParts(t *testing.T) {
	for _, kind := range []circuits.DeviceKind{circuits.Switch, circuits.Switching} {
		if got := (circuits.Device{Kind: kind, Range: [2]float64{0, 1}}).Nominal(); got != 1 {
			t.Errorf("%s is nominally %g, want 1", kind, got)
		}
	}
}

// Example of the contract: 5 V in 2^10 − 1 steps.
func TestStepOfAnInput(t *testing.T) {
	if got, want := (circuits.Pin{RangeVolts: [2]float64{0, 5}, Bits: 10}).StepVolts(), 5.0/1023; got != want {
		t.Errorf("a step is %g V, want %g", got, want)
	}
}
