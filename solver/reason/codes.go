package reason

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// staleCode is the chance that a code is set although the fault does not set it: an old one, or one set by a test.
const staleCode = 0.04

// codeView is a limit of an input pin whose code the job lists: a bounded reading, taken by the module at some time
// with everything plugged in and whatever stimuli there were.
type codeView struct {
	code    string
	limit   float64
	above   bool
	r       circuits.Reading
	frame   *network.Frame
	sets    []map[string]float64
	well    []network.Prediction // by scene, with nothing wrong
	healthy float64              // chance of the code with nothing wrong
	scenes  []*network.Scene     // over the stimuli's whole ranges
}

func newCodeViews(w *weigher) []codeView {
	var out []codeView
	for _, code := range w.j.Codes {
		for _, m := range w.j.Circuit.Modules {
			for i := range m.Pins {
				p := &m.Pins[i]
				if p.Kind != circuits.PinInput {
					continue
				}
				for _, l := range []*circuits.Limit{p.Below, p.Above} {
					if l != nil && l.Code == code {
						out = append(out, newCodeView(w, p, l, l == p.Above))
					}
				}
			}
		}
	}
	return out
}

// codeScenarios is how many settings of all stimuli together a code is looked at with: the low, middle and high end.
const codeScenarios = 3

func newCodeView(w *weigher, p *circuits.Pin, l *circuits.Limit, above bool) codeView {
	v := codeView{code: l.Code, limit: l.Volts, above: above}
	r := circuits.Reading{At: circuits.PointLocation(p.Point()), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
	v.r = r
	v.frame = w.layout.Frame(w.j.Meter, r)
	for k := range codeScenarios {
		set := map[string]float64{}
		for i := range w.j.Circuit.Devices {
			d := &w.j.Circuit.Devices[i]
			if !d.Kind.HasStimulus() {
				continue
			}
			if d.Kind.TwoState() {
				set[d.Name] = float64(k % 2)
				continue
			}
			set[d.Name] = d.Range[0] + (0.02+0.48*float64(k))*(d.Range[1]-d.Range[0])
		}
		v.sets = append(v.sets, set)
		v.scenes = append(v.scenes, v.frame.Scene(set))
	}
	var c network.Case
	for _, s := range v.scenes {
		var p network.Prediction
		c.Place(s, circuits.Single{})
		c.At(0, &p)
		v.well = append(v.well, p)
	}
	var q network.Prediction
	v.healthy = v.chance(circuits.Single{}, 0, w, &q)
	return v
}

// place puts a fault into the view's scenes, in the room of cases.
func (v *codeView) place(f circuits.Single, w *weigher, cases []network.Case) []network.Case {
	for len(cases) < len(v.scenes) {
		cases = append(cases, network.Case{})
	}
	var crossed *network.Frame
	if f.Kind == circuits.Swapped {
		crossed = w.layout.Swapped(w.j.Meter, v.r, f)
	}
	for k, s := range v.scenes {
		if crossed != nil {
			s = crossed.Scene(v.sets[k])
		}
		cases[k].Place(s, f)
	}
	return cases
}

// chanceAt is how likely the module is to have seen its pin beyond the limit with that many ohms in the fault placed, at
// the stimuli that suit best: a code is set at some time, not now.
func (v *codeView) chanceAt(cases []network.Case, ohms float64, w *weigher, p *network.Prediction) float64 {
	best := 0.0
	for k := range v.scenes {
		cases[k].At(ohms, p)
		if p.Status != network.Fine {
			continue
		}
		sd := math.Hypot(0.01, w.toleranceSD(p))
		chance := above(v.limit, p.Value, sd)
		if !v.above {
			chance = 1 - chance
		}
		best = max(best, chance)
	}
	return best
}

// chance is chanceAt for a fault that is looked at once.
func (v *codeView) chance(f circuits.Single, ohms float64, w *weigher, p *network.Prediction) float64 {
	return v.chanceAt(v.place(f, w, nil), ohms, w, p)
}

// codeEvidence adds what the codes say to the likelihood of each strip. Strips that lie within a third of an
// e-fold share one look.
func (w *weigher) codeEvidence(f circuits.Single, cells []cell) {
	var p network.Prediction
	var cases []network.Case
	for i := range w.codes {
		v := &w.codes[i]
		if f.Kind == circuits.Unlisted {
			cells[0].logL += math.Log(0.5)
			continue
		}
		cases = v.place(f, w, cases)
		if w.j.Intermittent && !steady(f) {
			v.atItsWorst(cells, cases, w)
			continue
		}
		healthy := math.NaN()
		if f.Kind.TakesOhms() && v.unfelt(f, cases, cells) {
			healthy = v.healthy
		}
		last, chance := math.Inf(-1), 0.0
		for i := range cells {
			c := &cells[i]
			switch {
			case !math.IsNaN(healthy):
				chance = healthy
			case i == 0 || math.Abs(c.logOhms-last) > 0.33 || c.width == 0:
				chance, last = v.chanceAt(cases, math.Exp(c.logOhms), w, &p), c.logOhms
			}
			c.logL += math.Log(staleCode + (1-staleCode)*chance)
		}
	}
}

// unfelt tells whether a code's pin feels nothing of the fault placed even at its most severe.
func (v *codeView) unfelt(f circuits.Single, cases []network.Case, cells []cell) bool {
	severe := cells[0].logOhms
	if f.Kind == circuits.HighResistance {
		severe = cells[len(cells)-1].logOhms
	}
	var p network.Prediction
	for k := range v.scenes {
		cases[k].At(math.Exp(severe), &p)
		if p.Status != v.well[k].Status || math.Abs(p.Value-v.well[k].Value) > 0.001 {
			return false
		}
	}
	return true
}

// timesBeforeLooked is how often an intermittent fault has come before anyone looks, each time with another resistance
// (ours): a code is set by the worst of them.
const timesBeforeLooked = 5

// atItsWorst adds what a code says of a fault that comes and goes: that it once was beyond the limit, not that it is.
func (v *codeView) atItsWorst(cells []cell, cases []network.Case, w *weigher) {
	var p network.Prediction
	mean := 0.0
	for i := range cells {
		c := &cells[i]
		mean += math.Exp(c.logPrior) * v.chanceAt(cases, math.Exp(c.logOhms), w, &p)
	}
	chance := 1 - math.Pow(1-min(mean, 1), timesBeforeLooked)
	for i := range cells {
		cells[i].logL += math.Log(staleCode + (1-staleCode)*chance)
	}
}
