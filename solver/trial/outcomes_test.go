package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/internal/given"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// drawHypothesis draws a fault by its prior, healthy included, with ohms by the very law that the strips integrate over
// (format.md, section 3).
func drawHypothesis(hs []hypothesis.Hypothesis, c *circuits.Circuit, random *rand.Rand) circuits.Single {
	total := 0.0
	for _, h := range hs {
		total += h.Prior
	}
	x := random.Float64() * total
	f := hs[0].Fault
	for _, h := range hs {
		f = h.Fault
		if x -= h.Prior; x < 0 {
			break
		}
	}
	between := func(low, high float64) float64 { return low * math.Pow(high/low, random.Float64()) }
	switch {
	case f.Kind == circuits.HighResistance:
		return f.WithOhms(between(0.5, 2e6))
	case f.Kind == circuits.ShortToVoltage && random.IntN(2) == 0:
		return f.WithOhms(between(0.02, 2))
	case f.Kind.TakesOhms() && f.Kind != circuits.ShortToVoltage && random.IntN(2) == 0:
		return f.WithOhms(between(1e-4, 2))
	case f.Kind.TakesOhms():
		return f.WithOhms(between(2, 1e5))
	case f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong:
		d := c.Device(f.At.From.Place)
		f.Shows = d.Range[0] + random.Float64()*(d.Range[1]-d.Range[0])
		if d.Kind.TwoState() {
			f.Shows = float64(random.IntN(2))
		}
	case f.IsLowReference():
		return drawnLow(f, random)
	}
	return f
}

// posteriorVehicles draws machines from the prior and keeps those that show just what the job's scan values show: they
// are machines from the posterior, whatever the package thinks that is.
func posteriorVehicles(j *circuits.Job, want, most int, random *rand.Rand) []*Vehicle {
	var listed []hypothesis.Hypothesis
	for _, h := range hypothesis.Hypotheses(j.Circuit, hypothesis.DefaultWeights(), nil) {
		if h.Fault.Kind != circuits.Unlisted {
			listed = append(listed, h)
		}
	}
	var out []*Vehicle
	for range most {
		if len(out) == want {
			break
		}
		v := NewVehicle(j.Circuit, circuits.Fault{First: drawHypothesis(listed, j.Circuit, random)}, 0, random)
		fits := true
		for _, r := range j.Readings {
			a, ok := v.Answer(j.Meter, r)
			fits = fits && ok && math.Abs(a.Value-r.Value) < 1e-9
		}
		if fits {
			out = append(out, v)
		}
	}
	return out
}

// outcomeBandOf is the band that an answer falls into, by its kind or its value; -1 for none.
func outcomeBandOf(s plan.Suggestion, c *circuits.Circuit, a circuits.Reading, ok bool) int {
	discrete := 0
	switch {
	case !ok:
		discrete = evidence.RayNone
	case a.OL:
		discrete = evidence.RayOL
	case a.Quantity == circuits.ScanVolts:
		pin := c.Pin(a.Point())
		if a.Value >= pin.RangeVolts[1]-pin.StepVolts()/2 {
			discrete = evidence.RayHigh
		} else if a.Value <= pin.RangeVolts[0]+pin.StepVolts()/2 {
			discrete = evidence.RayLow
		}
	}
	for i, o := range s.Outcomes {
		if o.Discrete == discrete && discrete != 0 || ok && !a.OL && o.InBand(a.Quantity, a.Value) {
			return i
		}
	}
	return -1
}

// Outcome probabilities must sum to 1, and must be how often machines of the posterior really show each outcome. Machines
// are drawn without the package's reasoning: by rejection.
func TestOutcomesComeAsOftenAsSaid(t *testing.T) {
	const vehicles = 400
	for n, c := range []struct {
		circuit, pin string
		scan         float64
	}{{"coolant-temperature", "ECU:A12", 5.0 * 1022 / 1023}, {"throttle-potentiometer", "ECM:34", 0}} {
		circuit, err := library.Circuit(c.circuit)
		if err != nil {
			t.Fatal(err)
		}
		pin, err := circuits.ParsePoint(c.pin)
		if err != nil {
			t.Fatal(err)
		}
		j := &circuits.Job{Circuit: circuit, Meter: circuits.DefaultMeter(), Readings: []circuits.Reading{{At: circuits.PointLocation(pin), To: circuits.BNegative,
			Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}, Taken: true, Value: c.scan, High: c.scan}}}
		machines := posteriorVehicles(j, vehicles, 120000, rand.New(rand.NewPCG(8, uint64(n))))
		if len(machines) < vehicles {
			t.Fatalf("%s: only %d machines show %g V", c.circuit, len(machines), c.scan)
		}
		r := rank.Rank(j)
		plan := plan.Next(&r)
		if len(plan.Suggestions) < 3 {
			t.Fatalf("%s: only %d suggestions", c.circuit, len(plan.Suggestions))
		}
		for _, s := range plan.Suggestions {
			sum, none, hits := 0.0, 0.0, make([]float64, len(s.Outcomes))
			for _, o := range s.Outcomes {
				sum += o.Probability
			}
			given.About(t, circuits.ReadingKey(s.Reading)+": probabilities", sum, 1, 1e-9)
			for _, v := range machines {
				a, ok := v.Answer(j.Meter, s.Reading)
				if k := outcomeBandOf(s, circuit, a, ok); k >= 0 {
					hits[k] += 1.0 / vehicles
				} else {
					none += 1.0 / vehicles
				}
			}
			// A band runs two standard deviations to either side, and the few strips of a fault leave gaps.
			if none > 0.1 {
				t.Errorf("%s: %s: %.3f of the answers are none of the outcomes", c.circuit, circuits.ReadingKey(s.Reading), none)
			}
			t.Logf("%s: %s: none of the outcomes %.3f", c.circuit, circuits.ReadingKey(s.Reading), none)
			// Chance alone moves a share by √(p(1−p)/n); few strips a fault and what lies between two bands move it too.
			for k, o := range s.Outcomes {
				allowed := 3*math.Sqrt(o.Probability*(1-o.Probability)/vehicles) + 0.04
				t.Logf("%s: %s: outcome %.3g to %.3g (%d) said %.3f, came %.3f", c.circuit, circuits.ReadingKey(s.Reading), o.Low, o.High, o.Discrete, o.Probability, hits[k])
				if math.Abs(hits[k]-o.Probability) > allowed {
					t.Errorf("%s: %s: outcome %.3g to %.3g (%d) is said to have %.3f, and came in %.3f (allowed ± %.3f)", c.circuit, circuits.ReadingKey(s.Reading), o.Low, o.High, o.Discrete, o.Probability, hits[k], allowed)
				}
			}
		}
	}
}
