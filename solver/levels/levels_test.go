package levels

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/network"
	"ohmtrail/solver/recording"
)

// A two-wire temperature sensor under a pull-up: 4.7 kΩ to 5 V, and 2 kΩ at the temperature that is known, so 1.493 V when well.
const circuit = `format = 1
[module.ECU]
pins.1 = { kind = "input", pull_up_ohms = 4700, tolerance_pct = 1 }
pins.2 = { kind = "return" }
[device.MOT]
kind = "resistor"
terminals = { a = "1", b = "2" }
ohms = 2000
tolerance_pct = 1
[connector.C7]
[[run]]
path = ["ECU:1", "C7:1", "MOT:1"]
[[run]]
path = ["ECU:2", "C7:2", "MOT:2"]
`

func job(t *testing.T, more string) *circuits.Job {
	t.Helper()
	open := func(string) (string, []byte, error) { return "c", []byte(circuit), nil }
	j, problems := read.Job("j", []byte("format = 1\ncircuit = \"c\"\n"+more+"[[reading]]\nat = \"ECU:1\"\nquantity = \"volts\"\n"), open)
	if j == nil {
		t.Fatal(problems)
	}
	return j
}

// recorded makes a recording of the job's planned reading while the contact C7:1 takes other ohms over time.
func recorded(t *testing.T, j *circuits.Job, seed uint64, ohms func(seconds float64) float64) recording.Found {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 9))
	f := recording.NewFinder(0.001, 0)
	at := circuits.PointLocation(circuits.Point{Place: "C7", Cavity: "1"})
	for i := range 1200 {
		s := float64(i) / 10
		fault := circuits.Fault{First: circuits.Single{Kind: circuits.HighResistance, At: at}.WithOhms(ohms(s))}
		v := network.Read(j.Circuit, j.Meter, j.Readings[0], nil, fault).Value
		f.Add(s, math.Round(1000*(v+0.004*random.NormFloat64()))/1000)
	}
	return f.Found()
}

// loose is way 1 of C7 in four movements at 20, 60, 80 and 100 s: 500 Ω, then 3 kΩ, 500 Ω again, then open as good as (10 MΩ).
func loose(s float64) float64 {
	switch {
	case s >= 21 && s < 23:
		return 500
	case s >= 61 && s < 64:
		return 3000
	case s >= 81 && s < 82:
		return 500
	case s >= 101 && s < 102:
		return 10e6
	}
	return 0.005
}

func channelOf(t *testing.T, j *circuits.Job, seed uint64) Channel {
	r := j.Readings[0]
	j.Readings = nil
	c := NewChannel(j, "U", r, recorded(t, With(j, []circuits.Reading{r}), seed, loose))
	return c
}

// TestLevelsHaveTheirMeaning: the healthy level is away, the others are there, and for as long as they were made.
func TestLevelsHaveTheirMeaning(t *testing.T) {
	j := job(t, "intermittent = true\n")
	c := channelOf(t, j, 1)
	if len(c.Found.States) != 4 || c.Roles[0] != Away || c.Doubt != "" {
		t.Fatalf("states %+v, roles %v, doubt %q", c.Found.States, c.Roles, c.Doubt)
	}
	there, unclear := c.There()
	if len(there) != 4 || len(unclear) != 0 || math.Abs(Seconds(there)-7) > 0.3 {
		t.Errorf("there %v, unclear %v", there, unclear)
	}
}

// TestOhmsOverTime: 500 Ω and 3 kΩ lie within their bounds, and the bounds within a fifth; the healthy level bounds them from
// above, the open from below. By hand: 5 V through 4.7 kΩ into 2.5 kΩ gives 1.736 V, into 5 kΩ 2.577 V.
func TestOhmsOverTime(t *testing.T) {
	j := job(t, "intermittent = true\n")
	c := channelOf(t, j, 2)
	fault, err := circuits.ParseFault("high-resistance C7:1")
	if err != nil {
		t.Fatal(err)
	}
	curve, ok := NewCurve(j, &c, fault)
	if !ok {
		t.Fatal("no curve")
	}
	over := curve.Over(j, &c)
	if len(over) != 9 {
		t.Fatalf("%d stretches", len(over))
	}
	// The sensor's own supply_ohms and output_ohms are known to a factor only, and so are the fault's: to four steps of a
	// tenth of a decade.
	for i, want := range []struct{ ohms, level float64 }{1: {500, 1.736}, 3: {3000, 2.577}, 5: {500, 1.736}} {
		if want.ohms == 0 {
			continue
		}
		o := over[i]
		if math.Abs(o.Level-want.level) > 0.01 || !o.Known || o.Low > want.ohms || o.High < want.ohms || math.Abs(o.Best-want.ohms) > 0.1*want.ohms || o.High > 2.52*o.Low {
			t.Errorf("stretch %d: %+v, want %g Ω at %g V", i, o, want.ohms, want.level)
		}
	}
	if o := over[0]; !o.Known || o.Low != 0 || o.High > 200 {
		t.Errorf("healthy: %+v", o)
	}
	if o := over[7]; !o.Known || !math.IsInf(o.High, 1) || o.Low < 100e3 {
		t.Errorf("open: %+v", o)
	}
	if _, ok := NewCurve(j, &c, circuits.Fault{}); ok {
		t.Error("healthy has ohms")
	}
}

// TestReadings: the recording comes to a pair of the healthy and the worst level, the levels between, and the place that the
// jumps follow once; places moved in vain stand each by itself.
func TestReadings(t *testing.T) {
	j := job(t, "intermittent = true\n")
	c := channelOf(t, j, 3)
	l := NewLog([]Channel{c}, []recording.Mark{{Place: "C7", From: 20, To: 24}, {Place: "C7", From: 60, To: 65}, {Place: "C7", From: 80, To: 84}, {Place: "C7", From: 100, To: 103}, {Place: "MOT", From: 40, To: 45}})
	if l.Moved() != "C7" {
		t.Fatalf("moved %q: %+v", l.Moved(), l.Follow)
	}
	rs := l.Readings(j, "a.csv")
	if len(rs) != 4 {
		t.Fatalf("%d readings: %+v", len(rs), rs)
	}
	if r := rs[0]; !r.Pair || math.Abs(r.Value-1.493) > 0.01 || math.Abs(r.High-4.99) > 0.03 || r.Wiggle != "C7" {
		t.Errorf("pair: %+v", r)
	}
	for _, r := range rs[1:3] {
		if r.Pair || r.Symptom != circuits.SymptomThere || r.Wiggle != "" {
			t.Errorf("between: %+v", r)
		}
	}
	if r := rs[3]; r.Pair || r.Wiggle != "MOT" || r.Symptom != circuits.SymptomAway || !strings.Contains(r.Note, "without a jump") {
		t.Errorf("in vain: %+v", r)
	}
	ranking := l.Rank(j, "a.csv")
	if lead := ranking.Groups[0].Faults[0]; lead.Place().String() != "C7:1" && lead.Place().String() != "C7:2" {
		t.Errorf("leads %s", lead.Name())
	}
}

// TestUndecidedPlaceIsNotWritten: one movement with a jump decides nothing, so the reading names no place.
func TestUndecidedPlaceIsNotWritten(t *testing.T) {
	j := job(t, "intermittent = true\n")
	c := channelOf(t, j, 4)
	l := NewLog([]Channel{c}, []recording.Mark{{Place: "C7", From: 20, To: 24}})
	if rs := l.Readings(j, "a.csv"); l.Moved() != "" || rs[0].Wiggle != "" {
		t.Errorf("moved %q, reading %+v", l.Moved(), rs[0])
	}
	if f := l.Follow[0]; f.Follows() || f.Needed < 1 {
		t.Errorf("%+v", f)
	}
}

// TestMovedSensorDecidesNothing: levels that a sensor of unknown setting can show by itself are not called the symptom.
func TestMovedSensorDecidesNothing(t *testing.T) {
	text := strings.Replace(circuit, "kind = \"resistor\"\nterminals = { a = \"1\", b = \"2\" }\nohms = 2000\ntolerance_pct = 1", "kind = \"thermistor\"\nterminals = { a = \"1\", b = \"2\" }\nohms_25 = 2000\nbeta = 3500", 1)
	j, problems := read.Job("j", []byte("format = 1\ncircuit = \"c\"\n[[reading]]\nat = \"ECU:1\"\nquantity = \"volts\"\n"),
		func(string) (string, []byte, error) { return "c", []byte(text), nil })
	if j == nil {
		t.Fatal(problems)
	}
	f := recording.NewFinder(0, 0)
	for i := range 300 {
		v := 1.5
		if i/50%2 == 1 {
			v = 2.5
		}
		f.Add(float64(i)/10, v)
	}
	c := NewChannel(j, "U", j.Readings[0], f.Found())
	if there, unclear := c.There(); c.Doubt == "" || len(there) != 0 || len(unclear) == 0 {
		t.Errorf("doubt %q, there %v, unclear %v", c.Doubt, there, unclear)
	}
}

// TestFilteredJumpsAreNoLevels: where a filter rounds jumps over many samples there are no jumps to find, and then no level is
// claimed and no reading made.
func TestFilteredJumpsAreNoLevels(t *testing.T) {
	j := job(t, "intermittent = true\n")
	r := j.Readings[0]
	j.Readings = nil
	f := recording.NewFinder(0, 0)
	random := rand.New(rand.NewPCG(1, 9))
	v := 1.493
	for i := range 1200 {
		target := 1.493
		if i/60%2 == 1 {
			target = 5
		}
		v += (target - v) * 0.1
		f.Add(float64(i)/10, v+0.01*random.NormFloat64())
	}
	c := NewChannel(j, "U", r, f.Found())
	l := NewLog([]Channel{c}, []recording.Mark{{Place: "C7", From: 20, To: 30}})
	if _, moves := c.Moves(); !moves || len(l.Readings(j, "a.csv")) != 0 {
		t.Errorf("moves %v, roles %v, readings %+v", moves, c.Roles, l.Readings(j, "a.csv"))
	}
}

// TestNoiseIsNoLevel: a value whose noise is as wide as what can be read holds no level, whatever its mean, and makes no
// reading.
func TestNoiseIsNoLevel(t *testing.T) {
	j := job(t, "intermittent = true\n")
	r := j.Readings[0]
	j.Readings = nil
	for sd, level := range map[float64]bool{0.01: true, 3: false} {
		f := recording.NewFinder(0.001, 0)
		random := rand.New(rand.NewPCG(4, 9))
		for i := range 1200 {
			f.Add(float64(i)/10, 1.493+sd*random.NormFloat64())
		}
		c := NewChannel(j, "U", r, f.Found())
		if got := c.Roles[0] != Moving; got != level {
			t.Errorf("noise of %g V: roles %v, so a level is %v; want %v", sd, c.Roles, got, level)
		}
	}
}
