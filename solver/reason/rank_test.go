package reason

import (
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"time"

	"ohmtrail/circuits"
)

func TestBlind(t *testing.T) {
	seed := uint64(1)
	tops, top3, shows, over80, right80, n := 0, 0, 0, 0, 0, 0
	var spent time.Duration
	for _, name := range circuits.LibraryNames() {
		c, err := circuits.LibraryCircuit(name)
		if err != nil || c.Pyrotechnic {
			continue
		}
		hs := Hypotheses(c, DefaultWeights(), nil)
		for trial := range 6 {
			random := rand.New(rand.NewPCG(seed, uint64(trial)+uint64(len(name))*100))
			f := DrawFault(hs, c, random)
			v := NewVehicle(c, circuits.Fault{First: f}, 0, random)
			j := &circuits.Job{File: "x", Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
			for k, s := range v.Stimuli {
				if random.IntN(2) == 0 {
					j.Assume[k] = s
				}
			}
			rs := readingsNear(c, f, random)
			for _, r := range rs {
				if a, ok := v.Answer(j.Meter, r); ok {
					j.Readings = append(j.Readings, a)
				}
			}
			start := time.Now()
			r := Rank(j)
			spent += time.Since(start)
			at := -1
			healthy := -1
			for g := range r.Groups {
				for _, c := range r.Groups[g].Faults {
					if c.Fault == f.WithoutOhms() {
						at = g
					}
					if c.Fault.Kind == circuits.Healthy {
						healthy = g
					}
				}
			}
			n++
			if r.Groups[0].Probability > 0.8 {
				over80++
				if at == 0 {
					right80++
				}
			}
			if at == healthy && at == 0 {
				continue
			}
			shows++
			if at == 0 {
				tops++
			}
			if at < 3 {
				top3++
			}
			if at != 0 && os.Getenv("OHMTRAIL_SHOW") != "" {
				fmt.Printf("%s trial %d: truth %s in group %d\n", name, trial, f, at)
				for i, rd := range j.Readings {
					fmt.Printf("   %s to %s %s %v %v = %.4g OL %v: top predicts %.4g miss %.2f\n", rd.At, rd.To, rd.Quantity, rd.State, "", rd.Value, rd.OL, r.Candidates[0].Predicts[i], r.Candidates[0].Misread[i])
				}
				for g := 0; g < min(3, len(r.Groups)); g++ {
					fmt.Printf("   group %d p %.3f %s (+%d)\n", g, r.Groups[g].Probability, r.Groups[g].Faults[0].Name(), len(r.Groups[g].Faults)-1)
				}
				for _, c := range r.Candidates {
					if c.Fault == f.WithoutOhms() {
						fmt.Printf("   truth p %.4f predicts %.4g miss %.2f\n", c.Probability, c.Predicts, c.Misread)
					}
				}
			}
		}
	}
	fmt.Printf("of %d: shown %d, top %d (%.1f %%), top3 %d (%.1f %%); called >80 %%: %d, right %d; mean time %v\n", n, shows, tops, 100*float64(tops)/float64(shows), top3, 100*float64(top3)/float64(shows), over80, right80, spent/time.Duration(n))
}

// readingsNear draws three to five readings of the fault's neighbourhood.
func readingsNear(c *circuits.Circuit, f circuits.Single, random *rand.Rand) []circuits.Reading {
	var out []circuits.Reading
	var inputs []circuits.Reading
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				inputs = append(inputs, circuits.Reading{At: circuits.PointLocation(p.Point()), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}})
			}
		}
	}
	want := 3 + random.IntN(3)
	if len(inputs) > 0 {
		out = append(out, inputs[random.IntN(len(inputs))])
	}
	for len(out) < want {
		k := c.Contacts[random.IntN(len(c.Contacts))]
		r := circuits.Reading{At: circuits.PointLocation(k.First), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
		if random.IntN(4) == 0 && len(c.Devices) > 0 {
			d := c.Devices[random.IntN(len(c.Devices))]
			r.State.Unplugged = []string{d.Name}
			r.At = circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: d.Terminals[random.IntN(len(d.Terminals))].Cavity})
		}
		out = append(out, r)
	}
	return out
}
