package evidence

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/network"
)

// A value that a sound machine shows where a hand did something otherwise is explained by that, where the reading as the job has it is not.
func TestHandSlipsAreNamed(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 3))
	tried, named := map[HandSlipKind]int{}, map[HandSlipKind]int{}
	for _, name := range []string{"throttle-potentiometer", "coolant-temperature", "shared-reference"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		assume := map[string]float64{}
		for i := range c.Devices {
			if d := &c.Devices[i]; d.Kind.HasStimulus() {
				assume[d.Name] = d.Nominal()
			}
		}
		for range 60 {
			r := circuits.Reading{At: circuits.PointLocation(c.Contacts[random.IntN(len(c.Contacts))].First), To: circuits.BNegative, Quantity: circuits.Volts,
				State: circuits.State{Key: circuits.KeyOn}, Taken: true}
			if d := c.Devices[random.IntN(len(c.Devices))]; random.IntN(2) == 0 && len(d.Terminals) > 1 {
				r.State.Unplugged = []string{d.Name}
				r.State.Jumpers = [][2]circuits.Point{{{Place: d.Name, Cavity: d.Terminals[0].Cavity}, {Place: d.Name, Cavity: d.Terminals[1].Cavity}}}
			}
			j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: assume, Readings: []circuits.Reading{r}}
			x := NewExpecter(j)
			asWritten := x.Expect(r, circuits.Fault{})
			for _, s := range x.slipped(r) {
				e := x.Expect(s.reading, circuits.Fault{})
				value := e.Value
				switch s.Kind {
				case LeadsChanged:
					value = -value
				case Thousandfold:
					value /= 1000
				}
				if e.Status != network.Fine || asWritten.Status != network.Fine || math.Abs(value-asWritten.Value) < 1 || math.Abs(value) < 0.2 && s.Kind != Thousandfold {
					continue // the slip makes no difference, or what any probe shows that touches nothing
				}
				if s.Kind == Thousandfold && value < 0.003 {
					continue // as little as a missed probe
				}
				j.Readings[0].Value = value
				tried[s.Kind]++
				for _, got := range x.HandSlips(0, circuits.Fault{}) {
					if got.Kind == s.Kind && got.What == s.What {
						named[s.Kind]++
					}
				}
			}
		}
	}
	for _, k := range []HandSlipKind{StillUnplugged, JumperOff, NextCavity, LeadsChanged, Thousandfold} {
		if tried[k] == 0 || named[k] < tried[k]*9/10 {
			t.Errorf("slip %d is named %d times of %d", k, named[k], tried[k])
		}
	}
	t.Log(tried, named)
}

// A reading that fits is explained by no slip: what is expected of it is no slip.
func TestNoSlipWhereNothingDiffers(t *testing.T) {
	c, err := library.Circuit("throttle-potentiometer")
	if err != nil {
		t.Fatal(err)
	}
	r := circuits.Reading{At: circuits.PointLocation(c.Contacts[0].First), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}, Taken: true, Value: 8.6}
	j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Readings: []circuits.Reading{r}}
	if got := NewExpecter(j).HandSlips(0, circuits.Fault{}); len(got) > 0 {
		t.Errorf("8.6 V, which nothing in the circuit shows, is explained by %+v", got)
	}
}
