package evidence

import (
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/network"
)

// The bounds of an expectation hold 95 % of the machines of a kind: 2 000 drawn from the widths of each of three circuits,
// healthy and with a fault, every one read for itself.
func TestBoundsHoldTheMachines(t *testing.T) {
	machines := 2000
	if testing.Short() {
		machines = 300
	}
	for _, name := range []string{"can-pair", "coolant-temperature", "pressure-three-wire"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
		stimuli := map[string]float64{}
		for i := range c.Devices {
			if d := &c.Devices[i]; d.Kind.HasStimulus() {
				j.Assume[d.Name] = d.Nominal()
				stimuli[d.Name] = d.Nominal()
			}
		}
		parameters := network.Parameters(c)
		random := rand.New(rand.NewPCG(2, 95))
		var drawn []*circuits.Circuit
		for range machines {
			drawn = append(drawn, network.Machine(c, parameters, network.Draw(parameters, random.Float64)))
		}
		faults := []circuits.Single{{}, {Kind: circuits.HighResistance, At: c.Contacts[len(c.Contacts)/2].Location, Ohms: 800, HasOhms: true}}
		held, all := 0, 0
		expecter := NewExpecter(j)
		for _, r := range someVolts(c) {
			for _, f := range faults {
				e := expecter.Expect(r, circuits.Fault{First: f})
				if e.Status != network.Fine {
					continue
				}
				in, of := 0, 0
				for _, own := range drawn {
					out := network.Read(own, j.Meter, r, stimuli, circuits.Fault{First: f})
					if out.Status != network.Fine {
						continue
					}
					of++
					if out.Value >= e.Low-1e-9 && out.Value <= e.High+1e-9 {
						in++
					}
				}
				share := float64(in) / float64(of)
				if share < 0.9 {
					t.Errorf("%s: %s at %s under %s: %.1f %% of %d machines lie between %.4g and %.4g", name, r.Quantity, r.At, f, 100*share, of, e.Low, e.High)
				}
				held, all = held+in, all+of
			}
		}
		share := float64(held) / float64(all)
		t.Logf("%s: %.1f %% of %d readings", name, 100*share, all)
		if share < 0.93 || share > 0.97 {
			t.Errorf("%s: %.1f %% of %d readings lie within the bounds, want 95 %%", name, 100*share, all)
		}
	}
}

// someVolts are readings all over a circuit: every scan value, and volts at the part's end of every contact of a part.
func someVolts(c *circuits.Circuit) []circuits.Reading {
	var out []circuits.Reading
	on := circuits.State{Key: circuits.KeyOn}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				out = append(out, circuits.Reading{At: circuits.PointLocation(p.Point()), Quantity: circuits.ScanVolts, State: on})
			}
		}
	}
	for _, k := range c.Contacts {
		if c.Device(k.Place) != nil {
			out = append(out, circuits.Reading{At: k.Location, To: circuits.BNegative, Quantity: circuits.Volts, State: on})
		}
	}
	return out
}
