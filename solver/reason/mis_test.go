package reason

import (
	"fmt"
	"math"
	"math/rand/v2"
	"ohmtrail/circuits"
	"testing"
)

func near(c *circuits.Circuit, f circuits.Single, random *rand.Rand, want int) []circuits.Reading {
	var out []circuits.Reading
	cs := candidates(&circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}})
	var scans, volts, others []circuits.Reading
	for _, r := range cs {
		switch {
		case r.Quantity == circuits.ScanVolts && len(r.State.Unplugged) == 0 && len(r.State.Set) == 0:
			scans = append(scans, r)
		case r.Quantity == circuits.Volts && len(r.State.Unplugged) == 0:
			volts = append(volts, r)
		default:
			others = append(others, r)
		}
	}
	if len(scans) > 0 {
		out = append(out, scans[random.IntN(len(scans))])
	}
	for len(out) < want-1 {
		out = append(out, volts[random.IntN(len(volts))])
	}
	out = append(out, others[random.IntN(len(others))])
	return out
}
func TestMis(t *testing.T) {
	for _, mis := range []bool{false, true} {
		for _, assume := range []int{2, 1000} {
			tops, top3, shows, n, sure, sureRight := 0, 0, 0, 0, 0, 0
			for ni, name := range circuits.LibraryNames() {
				c, _ := circuits.LibraryCircuit(name)
				if c.Pyrotechnic {
					continue
				}
				hs := Hypotheses(c, DefaultWeights(), nil)
				for trial := range 10 {
					random := rand.New(rand.NewPCG(77, uint64(trial)+uint64(ni)*100))
					f := DrawFault(hs, c, random)
					v := NewVehicle(c, circuits.Fault{First: f}, 0, random)
					j := &circuits.Job{File: "x", Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
					for k, s := range v.Stimuli {
						if random.IntN(assume) < assume-1 || assume == 1000 {
							j.Assume[k] = s
						}
					}
					h := NewVehicle(c, circuits.Fault{}, 0, rand.New(rand.NewPCG(77, uint64(trial)+uint64(ni)*100)))
					h.circuit = v.circuit
					h.Stimuli = v.Stimuli
					visible := false
					for _, r := range near(c, f, random, 4+random.IntN(3)) {
						if a, ok := v.Answer(j.Meter, r); ok {
							b, ok2 := h.Answer(j.Meter, r)
							if !ok2 || a.OL != b.OL || math.Abs(a.Value-b.Value) > 2*j.Meter.Accuracy(r.Quantity).Bound(b.Value)+0.02 {
								visible = true
							}
							j.Readings = append(j.Readings, a)
						}
					}
					if !visible {
						continue
					}
					if mis && len(j.Readings) > 0 {
						k := random.IntN(len(j.Readings))
						r := &j.Readings[k]
						if r.Quantity == circuits.Ohms {
							r.OL = true
							r.Value = j.Meter.MaxOhms
						} else {
							r.Value = []float64{0, r.Value * 0.5, r.Value + 2}[random.IntN(3)]
							r.High = r.Value
						}
					}
					r := Rank(j)
					at := -1
					for g := range r.Groups {
						if at < 0 && groupNames(r.Groups[g], f) {
							at = g
						}
					}
					shows++
					n++
					if at == 0 {
						tops++
					}
					if at >= 0 && at < 3 {
						top3++
					}
					if r.Groups[0].Probability > 0.8 {
						sure++
						if at == 0 {
							sureRight++
						}
					}
					if at != 0 && !mis {
						fmt.Printf("%s %d truth %s at %d: top %.2f %s\n", name, trial, f, at, r.Groups[0].Probability, r.Groups[0].Faults[0].Name())
						for i, rd := range j.Readings {
							fmt.Printf("     %s to %s %s %s = %.4g OL %v\n", rd.At, rd.To, rd.Quantity, StateKey(rd.State), rd.Value, rd.OL)
							_ = i
						}
						for _, k := range r.Candidates {
							if k.Fault == f.WithoutOhms() {
								fmt.Printf("     truth p %.4f predicts %.4g misread %.2f gap %.1f; lead predicts %.4g\n", k.Probability, k.Predicts, k.Misread, k.Gap, r.Candidates[0].Predicts)
							}
						}
					}
				}
			}
			fmt.Printf("misread %v assume %d: shown %d top %.1f top3 %.1f sure %d right %d\n", mis, assume, shows, 100*float64(tops)/float64(shows), 100*float64(top3)/float64(shows), sure, sureRight)
		}
	}
}
