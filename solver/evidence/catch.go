package evidence

import (
	"math"
	"runtime"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Check is a reading that could be taken after a repair, and what it would catch.
type Check struct {
	Reading circuits.Reading
	Minutes float64   // from scratch
	Catches []float64 // by slip: the chance that it lies outside what a healthy machine shows
}

// ohms that a poor joint or a touch may have, as far as it is not known: log-uniform, as in DrawFault.
var (
	slipSeries = []float64{3, 20, 130, 900, 6e3, 40e3, 300e3}
	slipShort  = []float64{0.1, 1, 10, 100, 1e3, 10e3}
)

// Catching says of each reading, and for each slip, the chance that the reading would show it: the share of the slip's
// possible values that lies outside what is accepted of a healthy machine. A floating wire may show anything and counts
// as not caught.
func Catching(j *circuits.Job, readings []circuits.Reading, slips []hypothesis.Slip) []Check {
	out := make([]Check, len(readings))
	layout := network.NewWideLayout(j.Circuit)
	parameters := layout.Parameters()
	var wait sync.WaitGroup
	queue := make(chan int, len(readings))
	for i := range readings {
		queue <- i
	}
	close(queue)
	for range runtime.GOMAXPROCS(0) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range queue {
				c := catcher{j: j, r: readings[i], layout: layout, parameters: parameters, accepted: Accept(j, readings[i])}
				out[i] = Check{Reading: readings[i], Minutes: j.Circuit.Minutes(readings[i], nil), Catches: c.chances(slips)}
			}
		}()
	}
	wait.Wait()
	return out
}

// catcher reckons one reading.
type catcher struct {
	j          *circuits.Job
	r          circuits.Reading
	layout     *network.Layout
	parameters []network.Parameter
	accepted   Accepted
}

func (c *catcher) chances(slips []hypothesis.Slip) []float64 {
	out := make([]float64, len(slips))
	if c.accepted.Why.Kind != network.NoReason {
		return out // it cannot be judged
	}
	nominal := map[string]float64{}
	for i := range c.j.Circuit.Devices {
		d := &c.j.Circuit.Devices[i]
		nominal[d.Name] = d.Nominal()
		if v, ok := c.j.SetOf(c.r, d); ok {
			nominal[d.Name] = v
		}
	}
	frame := c.layout.Frame(c.j.Meter, c.r)
	settings := stimulusCorners(c.j, c.r, circuits.Fault{}, nominal)
	var scenes []*network.Scene
	for _, set := range settings {
		scenes = append(scenes, frame.Scene(set))
	}
	for i, s := range slips {
		here := scenes
		switch {
		case hypothesis.ReadsWrong(circuits.Fault{First: s.Fault}, s.Fault.At.From.Place):
			f := circuits.Fault{First: s.Fault}
			here = nil
			for _, set := range stimulusCorners(c.j, c.r, f, nominal) {
				here = append(here, frame.Scene(set))
			}
		}
		out[i] = c.chance(here, s.Fault)
	}
	return out
}

// leastLean is what a prediction leans on at least to be looked at, in volts, ohms or amperes: a thousandth of what any
// reading is believed to.
const leastLean = 1e-6

// chance averages over the ohms that a fault may have and over the settings of the machine.
func (c *catcher) chance(scenes []*network.Scene, f circuits.Single) float64 {
	ohms := []float64{f.Ohms}
	switch {
	case f.HasOhms || !f.Kind.TakesOhms():
	case f.Kind == circuits.HighResistance:
		ohms = slipSeries
	default:
		ohms = slipShort
	}
	sum := 0.0
	var k network.Case
	var p network.Prediction
	for _, s := range scenes {
		k.Place(s, f)
		for _, o := range ohms {
			k.Leaning(o, leastLean, &p)
			sum += c.share(&p)
		}
	}
	return sum / float64(len(scenes)*len(ohms))
}

// share is how much of one prediction lies outside what is accepted.
func (c *catcher) share(p *network.Prediction) float64 {
	switch p.Status {
	case network.OverRange:
		if c.accepted.Holds(0, true) {
			return 0
		}
		return 1
	case network.NoValue:
		if p.Why.Kind == network.Unpowered {
			return 1 // nothing is reported where a value is expected
		}
		return 0
	}
	if math.IsNaN(p.Value) {
		return 0
	}
	reach, deviation := spread(p.Leans, c.parameters)
	low, high := p.Value-reach*deviation, p.Value+reach*deviation
	if c.r.Quantity == circuits.ScanVolts {
		pin := *c.j.Circuit.Pin(c.r.Point())
		low, high = network.Report(pin, low), network.Report(pin, high)
	}
	return c.accepted.outside(low, high)
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
