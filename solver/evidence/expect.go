package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Expectation is what one reading shows under one fault.
type Expectation struct {
	network.Outcome         // at nominal values
	Low, High       float64 // over tolerances, unknown stimuli and unknown ohms; NaN where there is no value at all
	CanBeOL         bool    // an ohms reading that is beyond the meter's range for some of them
}

// nominalHighOhms stands for a high resistance of unknown ohms, nominalShortOhms for a short of unknown ohms.
const (
	nominalHighOhms  = 1000
	nominalShortOhms = 0
)

// Expect says what a reading of a job shows under a fault. Where the fault's ohms are not given, the nominal value is
// that of 1 kΩ in series or of a dead short, and the bounds run over all resistances.
func Expect(j *circuits.Job, r circuits.Reading, f circuits.Fault) Expectation {
	e := Expectation{Low: math.Inf(1), High: math.Inf(-1)}
	nominal := map[string]float64{}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		nominal[d.Name] = d.Nominal()
		if v, ok := j.SetOf(r, d); ok {
			nominal[d.Name] = v
		}
	}
	e.Outcome = network.Read(j.Circuit, j.Meter, r, wrongStimulus(j.Circuit, f, nominal), withNominalOhms(f))
	corners := ohmsCorners(f)
	var frame *network.Frame
	var parameters []network.Parameter
	if !f.IsDouble() {
		layout := network.NewLayout(j.Circuit)
		parameters = layout.Parameters()
		if frame = layout.Frame(j.Meter, r); f.First.Kind == circuits.Swapped {
			frame = layout.Swapped(j.Meter, r, f.First)
		}
	}
	for _, set := range stimulusCorners(j, r, f, nominal) {
		if frame == nil {
			for _, g := range corners {
				e.cover(r, j, network.Read(j.Circuit, j.Meter, r, set, g), 0)
			}
			continue
		}
		var p network.Prediction
		var c network.Case
		c.Place(frame.Scene(set), f.First)
		for _, g := range corners {
			c.At(g.First.Ohms, &p)
			e.cover(r, j, network.Outcome{Value: p.Value, Status: p.Status}, reach(&p, parameters))
		}
	}
	if e.Low > e.High {
		e.Low, e.High = math.NaN(), math.NaN()
	}
	return e
}

// reach is how far all tolerances at their worst move a prediction: a spread is the bound/√3.
func reach(p *network.Prediction, parameters []network.Parameter) float64 {
	sum := 0.0
	for i, s := range p.Sens {
		if parameters[i].Kind != network.Stimulus {
			sum += math.Abs(s) * math.Sqrt(3)
		}
	}
	return sum
}

// cover widens the bounds by one setting of ohms and stimuli.
func (e *Expectation) cover(r circuits.Reading, j *circuits.Job, out network.Outcome, reach float64) {
	switch out.Status {
	case network.OverRange:
		e.CanBeOL = true
		return
	case network.NoValue:
		return
	}
	low, high := out.Value-reach, out.Value+reach
	if r.Quantity == circuits.ScanVolts {
		pin := *j.Circuit.Pin(r.Point())
		low, high = network.Report(pin, low), network.Report(pin, high)
	}
	e.Low, e.High = min(e.Low, low), max(e.High, high)
}

// withNominalOhms gives a fault of unknown ohms its nominal ones.
func withNominalOhms(f circuits.Fault) circuits.Fault {
	give := func(s circuits.Single) circuits.Single {
		switch {
		case s.HasOhms || !s.Kind.TakesOhms():
			return s
		case s.Kind == circuits.HighResistance:
			return s.WithOhms(nominalHighOhms)
		}
		return s.WithOhms(nominalShortOhms)
	}
	return circuits.Fault{First: give(f.First), Second: give(f.Second)}
}

// ohmsCorners are the resistances to look at: from next to nothing to next to an open, or the fault's own.
func ohmsCorners(f circuits.Fault) []circuits.Fault {
	out := []circuits.Fault{f}
	for _, pick := range []func(*circuits.Fault) *circuits.Single{
		func(f *circuits.Fault) *circuits.Single { return &f.First },
		func(f *circuits.Fault) *circuits.Single { return &f.Second },
	} {
		var next []circuits.Fault
		for _, g := range out {
			s := pick(&g)
			if s.HasOhms || !s.Kind.TakesOhms() {
				next = append(next, g)
				continue
			}
			low, high := 0.5, 2e6
			if s.Kind != circuits.HighResistance {
				low, high = 0, 1e5
			}
			for _, ohms := range []float64{low, 10, 300, 10e3, high} {
				h := g
				*pick(&h) = s.WithOhms(ohms)
				next = append(next, h)
			}
		}
		out = next
	}
	return out
}

// stimulusCorners are the settings to look at: nominal, and each unknown stimulus at either end of its range.
func stimulusCorners(j *circuits.Job, r circuits.Reading, f circuits.Fault, nominal map[string]float64) []map[string]float64 {
	out := []map[string]float64{wrongStimulus(j.Circuit, f, nominal)}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		_, known := j.SetOf(r, d)
		wrong := hypothesis.ReadsWrong(f, d.Name)
		if !d.Kind.HasStimulus() || known && !wrong {
			continue
		}
		for _, v := range d.Range {
			set := map[string]float64{}
			for k, s := range out[0] {
				set[k] = s
			}
			set[d.Name] = v
			out = append(out, set)
		}
	}
	return out
}

// wrongStimulus is the setting with a sensor that reads wrong at another stimulus than the true one: the end of its
// range that is farther away (the middle of the range is what an unknown stimulus has anyway).
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
		if set[d.Name]-d.Range[0] > d.Range[1]-set[d.Name] {
			out[d.Name] = d.Range[0]
		} else {
			out[d.Name] = d.Range[1]
		}
	}
	return out
}
