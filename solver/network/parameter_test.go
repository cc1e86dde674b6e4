package network

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

// every holds each kind of device, pin and place, with something of every width.
const every = `format = 1
[module.M]
pins.A1 = { kind = "reference" }
pins.A2 = { kind = "input", pull_up_ohms = "10k", pull_down_ohms = "100k" }
pins.A3 = { kind = "return", offset_volts = 2.5 }
pins.A4 = { kind = "input" }
pins.A5 = { kind = "return" }
pins.A6 = { kind = "input", pull_up_ohms = "2k2" }
pins.A7 = { kind = "input", pull_up_ohms = "1k", pull_up_volts = 8, range_volts = [0, 10] }
pins.A8 = { kind = "input", pull_down_ohms = 150 }
pins.A9 = { kind = "input" }
pins.B1 = { kind = "power" }
pins.B2 = { kind = "ground" }
pins.B3 = { kind = "low_side", on = true }
pins.B4 = { kind = "low_side" }
pins.B5 = { kind = "high_side" }
pins.C1 = { kind = "can_high" }
pins.C2 = { kind = "can_low" }
pins.C3 = { kind = "lin" }
[device]
RAT = { kind = "ratiometric", terminals = { supply = "1", output = "2", return = "3" } }
POT = { kind = "potentiometer", ohms = "5k", terminals = { supply = "1", wiper = "2", return = "3" } }
NTC = { kind = "thermistor", ohms_25 = 2000, beta = 3500, terminals = { a = "1", b = "2" } }
OXY = { kind = "zirconia", terminals = { signal = "1", return = "2" } }
HAL = { kind = "switching", terminals = { supply = "1", output = "2", return = "3" } }
LOP = { kind = "current_loop", terminals = { supply = "1", return = "2" } }
LMP = { kind = "load", ohms = 12, terminals = { a = "1", b = "2" } }
COI = { kind = "load", ohms = 30, terminals = { a = "1", b = "2" } }
DIO = { kind = "diode", terminals = { anode = "1", cathode = "2" } }
SWI = { kind = "switch", terminals = { a = "1", b = "2" } }
RES = { kind = "resistor", ohms = 60, terminals = { a = "1", b = "2" } }
PTC = { kind = "rtd", ohms_0 = [95, 105], terminals = { a = "1", b = "2" } }
FUS = { kind = "fuse", amps = 10, terminals = { a = "1", b = "2" } }
[ground.G1]
[[run]]
path = ["B+", "FUS:1"]
[[run]]
path = ["FUS:2", "S1"]
[[run]]
path = ["S1", "M:B1"]
[[run]]
path = ["M:B2", "S2"]
[[run]]
path = ["S2", "G1"]
[[run]]
path = ["M:A1", "C7:1", "S3"]
[[run]]
path = ["S3", "RAT:1"]
[[run]]
path = ["S3", "POT:1"]
[[run]]
path = ["S3", "HAL:1"]
[[run]]
path = ["M:A2", "C7:2", "HAL:2"]
[[run]]
path = ["M:A4", "RAT:2"]
[[run]]
path = ["M:A9", "POT:2"]
[[run]]
path = ["M:A3", "OXY:2"]
[[run]]
path = ["M:A6", "NTC:1"]
[[run]]
path = ["M:A5", "S4"]
[[run]]
path = ["S4", "RAT:3"]
[[run]]
path = ["S4", "POT:3"]
[[run]]
path = ["S4", "HAL:3"]
[[run]]
path = ["S4", "NTC:2"]
[[run]]
path = ["M:A7", "PTC:1"]
[[run]]
path = ["PTC:2", "SWI:1"]
[[run]]
path = ["SWI:2", "S2"]
[[run]]
path = ["S1", "LOP:1"]
[[run]]
path = ["LOP:2", "M:A8"]
[[run]]
path = ["S1", "LMP:1"]
[[run]]
path = ["LMP:2", "M:B3"]
[[run]]
path = ["M:B5", "COI:1"]
[[run]]
path = ["COI:2", "DIO:1"]
[[run]]
path = ["DIO:2", "G1"]
[[run]]
path = ["M:C1", "RES:1"]
[[run]]
path = ["M:C2", "RES:2"]
[[run]]
path = ["OXY:1", "X9:1"]
[[run]]
path = ["M:B4", "X9:2"]
[[run]]
path = ["M:C3", "X9:3"]
`

func everyKind(t *testing.T) *circuits.Circuit {
	t.Helper()
	c, problems := read.Circuit("every.circuit.toml", []byte(every))
	if c == nil {
		t.Fatal(problems)
	}
	return c
}

// A sensitivity is the change of the value by one spread of the parameter: held against the circuit built anew with the
// parameter a hundredth of a spread lower and higher. Every number inside a module or part moves some reading, but for
// thresholds.
func TestSensitivitiesAreDifferenceQuotients(t *testing.T) {
	c := everyKind(t)
	meter := circuits.DefaultMeter()
	layout := NewWideLayout(c)
	parameters := layout.Parameters()
	moved := make([]bool, len(parameters))
	faults := []circuits.Single{{},
		{Kind: circuits.HighResistance, At: c.Contact(circuits.PointLocation(circuits.Point{Place: "C7", Cavity: "1"})).Location, Ohms: 700, HasOhms: true},
		{Kind: circuits.ShortToGround, At: circuits.WireLocation(circuits.Point{Place: "OXY", Cavity: "1"}, circuits.Point{Place: "X9", Cavity: "1"}), Ohms: 40, HasOhms: true},
		{Kind: circuits.Open, At: circuits.PointLocation(circuits.Point{Place: "RAT", Cavity: "3"})},
		{Kind: circuits.ShortToGround, At: circuits.PointLocation(circuits.Point{Place: "RAT", Cavity: "1"}), Ohms: 5, HasOhms: true},
	}
	var k Case
	var p Prediction
	readings := someReadings(c)
	at := func(place, cavity string) circuits.Point { return circuits.Point{Place: place, Cavity: cavity} }
	several := []circuits.Reading{
		{At: circuits.PointLocation(at("M", "B1")), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyRun}},
		{At: circuits.PointLocation(at("RES", "1")), To: at("RES", "2"), Quantity: circuits.Ohms, State: circuits.State{Key: circuits.KeyOff}},
		{At: circuits.PointLocation(at("M", "A3")), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn,
			Loads: []circuits.LoadLead{{From: circuits.BPositive, To: at("M", "A3"), Ohms: 100}}}},
	}
	for i, r := range readings {
		if r.Quantity == circuits.ScanVolts || i%3 == 0 {
			several = append(several, r)
		}
	}
	for _, r := range several {
		scene := layout.Frame(meter, r).Scene(nil)
		for fi, f := range faults {
			k.Place(scene, f)
			if k.At(f.Ohms, &p); p.Status != Fine {
				continue
			}
			for i := range parameters {
				q := &parameters[i]
				if q.Kind == Threshold || fi > 0 && math.Abs(p.Sens[i]) < 1e-3 || q.Wire != (circuits.Location{}) && q.Wire == f.At {
					continue // a wire that is shorted at its middle: its own half ohm beside the short's
				}
				const h = 0.01
				value := func(steps float64) (float64, bool) {
					stimuli, at := map[string]float64{}, make(Settings, len(parameters))
					for k := range at {
						at[k] = math.NaN()
					}
					if q.Kind == Stimulus {
						stimuli[q.Place.Place] = q.Nominal + steps*(q.High-q.Low)
					} else {
						at[i] = q.Moved(q.Nominal, steps)
					}
					o := exact(Machine(c, parameters, at), meter, r, stimuli, f)
					return o.Value, o.Status == Fine
				}
				low, okLow := value(-h)
				high, okHigh := value(h)
				if !okLow || !okHigh {
					continue
				}
				want := (high - low) / (2 * h)
				if q.Kind == Stimulus {
					want /= q.High - q.Low
				}
				moved[i] = moved[i] || math.Abs(want) > 1e-6
				if math.Abs(p.Sens[i]-want) > 2e-3*math.Abs(want)+2e-6*(1+math.Abs(p.Value)) {
					t.Errorf("%s at %s %v under %s: %s moves it by %.6g, want %.6g", r.Quantity, r.At, r.State, f, q.Name(), p.Sens[i], want)
				}
			}
		}
	}
	// A driver that is on shows nothing of what it is off, and the other way round; a loop under its least volts is a fault.
	idle := map[string]bool{"M:B3 sense_ohms": true, "M:B3 sense_volts": true, "M:B4 on_ohms": true, "LOP min_volts": true}
	for i, q := range parameters {
		if q.Kind == Inside && !moved[i] && !idle[q.Name()] {
			t.Errorf("no reading here leans on %s", q.Name())
		}
	}
}

// exact is Read without the converter's steps and limits.
func exact(c *circuits.Circuit, m circuits.Meter, r circuits.Reading, stimuli map[string]float64, f circuits.Single) Outcome {
	if r.Quantity != circuits.ScanVolts {
		return Read(c, m, r, stimuli, circuits.Fault{First: f})
	}
	bare := Machine(c, nil, nil)
	pin := bare.Pin(r.Point())
	pin.Bits, pin.RangeVolts, pin.ScanOffsetVolts, pin.ScanGainPct = 50, [2]float64{-500, 500}, 0, 0
	out := Read(bare, m, r, stimuli, circuits.Fault{First: f})
	if out.Status == Fine {
		out.Value = c.Pin(r.Point()).Converted(out.Value)
	}
	return out
}

// A scene with a machine's numbers is the machine's own circuit read.
func TestSceneOfAMachine(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 12))
	circuitsHere := []*circuits.Circuit{everyKind(t)}
	for _, name := range library.Names()[:3] {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		circuitsHere = append(circuitsHere, c)
	}
	for _, c := range circuitsHere {
		meter := circuits.DefaultMeter()
		layout := NewWideLayout(c)
		parameters := layout.Parameters()
		faults := someFaults(c)
		compared := 0
		var k Case
		var p Prediction
		for _, r := range someReadings(c) {
			numbers := Draw(parameters, random.Float64)
			own := Machine(c, parameters, numbers)
			frame := layout.Frame(meter, r)
			for range 3 {
				f := faults[random.IntN(len(faults))]
				if f.Kind == circuits.Swapped {
					continue
				}
				k.Place(frame.SceneOf(nil, numbers), f)
				k.At(f.Ohms, &p)
				want := exact(own, meter, r, nil, f)
				if p.Status != want.Status {
					t.Errorf("%s: %s %s under %s: status %d, want %d", c.Title, r.Quantity, r.At, f, p.Status, want.Status)
				} else if p.Status == Fine && math.Abs(p.Value-want.Value) > 1e-4+1e-6*math.Abs(want.Value) {
					t.Errorf("%s: %s %s under %s: %.9g, want %.9g", c.Title, r.Quantity, r.At, f, p.Value, want.Value)
				}
				compared++
			}
		}
		if compared < 40 {
			t.Errorf("%s: only %d compared", c.Title, compared)
		}
	}
}

// Machines are drawn within their widths and fill them.
func TestDrawnMachines(t *testing.T) {
	c := everyKind(t)
	parameters := Parameters(c)
	random := rand.New(rand.NewPCG(3, 4))
	low, high := make([]float64, len(parameters)), make([]float64, len(parameters))
	for range 200 {
		for i, v := range Draw(parameters, random.Float64) {
			q := parameters[i]
			if q.Kind == Stimulus {
				continue
			}
			if v < q.Low || v > q.High {
				t.Fatalf("%s is %g, outside %+v", q.Name(), v, q.Width)
			}
			if v < q.At(0.1) {
				low[i]++
			}
			if v > q.At(0.9) {
				high[i]++
			}
		}
	}
	for i, q := range parameters {
		if q.Kind != Stimulus && (low[i] == 0 || high[i] == 0) {
			t.Errorf("%s is never near the ends of its width in 200 machines", q.Name())
		}
	}
	own := Machine(c, parameters, Draw(parameters, random.Float64))
	if own.Battery == c.Battery || own.Contacts[0].Ohms == c.Contacts[0].Ohms || own.Wires[0].Ohms == c.Wires[0].Ohms {
		t.Error("a machine has the numbers of its file")
	}
}

// Every kind of the tables has a law here and a part in the test's circuit.
func TestEveryKindHasALaw(t *testing.T) {
	c := everyKind(t)
	devices, pins := map[circuits.DeviceKind]bool{}, map[circuits.PinKind]bool{}
	for _, d := range c.Devices {
		devices[d.Kind] = true
	}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			pins[p.Kind] = true
		}
	}
	for _, kind := range circuits.DeviceKinds() {
		if k := circuits.DeviceKind(kind); deviceLaws[k] == nil || !devices[k] || k.Type().Word == "" {
			t.Errorf("%s: a law %v, a part in this file's circuit %v, a word %q", kind, deviceLaws[k] != nil, devices[k], k.Type().Word)
		}
	}
	for _, kind := range circuits.PinKinds() {
		if k := circuits.PinKind(kind); pinLaws[k] == nil || !pins[k] || k.Type().Word == "" {
			t.Errorf("%s: a law %v, a pin in this file's circuit %v, a word %q", kind, pinLaws[k] != nil, pins[k], k.Type().Word)
		}
	}
	if len(deviceLaws) != len(circuits.DeviceKinds()) || len(pinLaws) != len(circuits.PinKinds()) {
		t.Error("a law without a kind")
	}
}

// What LeaningTo is asked for is told each time, whatever was asked for before: in a scene with a stimulus elsewhere too.
func TestLeaningToTellsWhatItIsAskedFor(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	l := NewWideLayout(c)
	r := circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: "ECU", Cavity: "A12"}), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
	f := l.Frame(circuits.DefaultMeter(), r)
	f.Scene(map[string]float64{"ECT": 20})
	var k Case
	k.Place(f.Scene(map[string]float64{"ECT": 60}), circuits.Single{})
	var all, some Prediction
	k.At(0, &all)
	for q := range l.Parameters() {
		k.LeaningTo(0, []int32{int32(q)}, &some)
		got := 0.0
		for _, lean := range some.Leans {
			if int(lean.Parameter) == q {
				got = lean.Change
			}
		}
		if math.Abs(got-all.Sens[q]) > 1e-6+1e-6*math.Abs(all.Sens[q]) {
			t.Errorf("%s: asked alone %g, with all %g", l.Parameters()[q].Name(), got, all.Sens[q])
		}
	}
}
