package evidence

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// expecting is a library circuit with readings all over it, in volts, as the module reports them, and in ohms.
func expecting(t *testing.T, name string) (*circuits.Job, []circuits.Single) {
	t.Helper()
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
	all := someVolts(c)
	for i := 0; i < len(all); i += max(1, len(all)/7) {
		j.Readings = append(j.Readings, all[i])
	}
	ohms := all[len(all)-1]
	ohms.Quantity, ohms.State.Key = circuits.Ohms, circuits.KeyOff
	j.Readings = append(j.Readings, ohms)
	var faults []circuits.Single
	for _, h := range hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil) {
		if h.Fault.Kind != circuits.Unlisted {
			faults = append(faults, h.Fault)
		}
	}
	return j, faults
}

// All faults together come to what each of them comes to when it is asked for alone; and what they show at nominal values is
// what the network built anew shows.
func TestAllFaultsAsOneByOne(t *testing.T) {
	for _, name := range []string{"throttle-potentiometer", "pressure-three-wire", "lamp-relay-feed", "current-loop-4-20"} {
		j, faults := expecting(t, name)
		x := NewExpecter(j)
		at, apart, cells := 0, 0, 0
		err := x.All(j.Readings, faults, func(f int, e []Expectation) error {
			if f != at {
				t.Fatalf("%s: fault %d comes after %d", name, f, at)
			}
			at++
			for i, r := range j.Readings {
				alone := x.Expect(r, circuits.Fault{First: faults[f]})
				if e[i].Outcome != alone.Outcome && !(e[i].Status == network.Fine && math.Abs(e[i].Value-alone.Value) < 1e-7) {
					t.Errorf("%s: %s at reading %d: %+v, alone %+v", name, faults[f], i, e[i].Outcome, alone.Outcome)
				}
				// By what All says of itself, and by as much again where a bound is met by way of another fault's.
				o := x.outlook(r, circuits.Single{})
				slack := 2*o.least + 0.05*(alone.High-alone.Low)
				cells++
				if math.IsNaN(e[i].Low) != math.IsNaN(alone.Low) || math.Abs(e[i].Low-alone.Low) > slack || math.Abs(e[i].High-alone.High) > slack {
					apart++

				}
				nominal := map[string]float64{}
				for k := range j.Circuit.Devices {
					nominal[j.Circuit.Devices[k].Name] = j.Circuit.Devices[k].Nominal()
				}
				anew := network.Read(j.Circuit, j.Meter, r, wrongStimulus(j.Circuit, circuits.Fault{First: faults[f]}, nominal), circuits.Fault{First: withNominalOhms(faults[f])})
				if anew.Status != e[i].Status || anew.Why != e[i].Why || anew.Blown != e[i].Blown || math.Abs(anew.Value-e[i].Value) > 1e-6*max(1, math.Abs(anew.Value)) {
					t.Errorf("%s: %s at reading %d: %+v, built anew %+v", name, faults[f], i, e[i].Outcome, anew)
				}
			}
			return nil
		})
		if err != nil || at != len(faults) {
			t.Errorf("%s: %d of %d faults, %v", name, at, len(faults), err)
		}
		t.Logf("%s: %d of %d bounds differ from those of one fault alone", name, apart, cells)
		if apart > cells/100 { // faults at the very edge of blowing a fuse, or of a supply's limit
			t.Errorf("%s: %d of %d bounds differ from those of one fault alone", name, apart, cells)
		}
	}
}

// All ends where it is told to.
func TestAllEndsWithAnError(t *testing.T) {
	j, faults := expecting(t, "throttle-potentiometer")
	enough := errors.New("enough")
	asked := 0
	if err := NewExpecter(j).All(j.Readings, faults, func(f int, _ []Expectation) error {
		asked++
		if f == 2 {
			return enough
		}
		return nil
	}); err != enough || asked != 3 {
		t.Errorf("%v after %d faults", err, asked)
	}
}

// Where a machine's own numbers change the state of a part (a fuse that holds on a machine with a weak battery, a supply at
// its limit) the bounds hold those machines too: 300 drawn ones at each of the ohms that are looked at.
func TestBoundsHoldOtherStates(t *testing.T) {
	for _, q := range []struct {
		circuit, at string
		fault       circuits.Single
	}{
		{"can-pair", "RT2:B", circuits.Single{Kind: circuits.ShortToVoltage, At: wireAt("S5", "G4")}},
		{"lamp-relay-feed", "K4:85", circuits.Single{Kind: circuits.ShortBetween, At: terminalAt("BCM:A9"), To: terminalAt("BCM:A3")}},
		{"throttle-potentiometer", "TPS:A", circuits.Single{Kind: circuits.ShortToVoltage, At: wireAt("ECM:2", "G3")}},
	} {
		c, err := library.Circuit(q.circuit)
		if err != nil {
			t.Fatal(err)
		}
		j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
		f, err := c.ResolveFault(circuits.Fault{First: q.fault})
		if err != nil {
			t.Fatal(err)
		}
		r := circuits.Reading{At: terminalAt(q.at), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
		e := NewExpecter(j).Expect(r, f)
		parameters := network.Parameters(c)
		random := rand.New(rand.NewPCG(1, 2))
		for _, g := range ohmsCorners(f.First) {
			var values []float64
			for range 300 {
				own := network.Machine(c, parameters, network.Draw(parameters, random.Float64))
				if out := network.Read(own, j.Meter, r, nil, circuits.Fault{First: g}); out.Status == network.Fine {
					values = append(values, out.Value)
				}
			}
			slices.Sort(values)
			low, high := values[len(values)*25/1000], values[len(values)*975/1000]
			if slack := 0.1 * (e.High - e.Low); low < e.Low-slack || high > e.High+slack {
				t.Errorf("%s: %s at %s: 95 %% of machines lie between %.4g and %.4g, the bounds are %.4g and %.4g", q.circuit, g, q.at, low, high, e.Low, e.High)
			}
		}
	}
}

func terminalAt(name string) circuits.Location {
	p, err := circuits.ParsePoint(name)
	if err != nil {
		panic(err)
	}
	return circuits.PointLocation(p)
}

func wireAt(from, to string) circuits.Location {
	return circuits.Location{From: terminalAt(from).From, To: terminalAt(to).From}
}

// wrongStimulus is the setting with a sensor that reads wrong at another stimulus than the true one.
func wrongStimulus(c *circuits.Circuit, f circuits.Fault, set map[string]float64) map[string]float64 {
	out := map[string]float64{}
	for k, v := range set {
		out[k] = v
	}
	for i := range c.Devices {
		d := &c.Devices[i]
		if !hypothesis.ReadsWrong(f, d.Name) {
			continue
		}
		out[d.Name] = farEnd(d, set[d.Name])
	}
	return out
}
