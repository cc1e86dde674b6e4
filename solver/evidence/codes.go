package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// StaleCode is the chance that a code is set although the fault does not set it: an old one, or one set by a test.
const StaleCode = 0.04

// codeView is a limit of an input pin whose code the job lists: a bounded reading, taken by the module at some time
// with everything plugged in and whatever stimuli there were.
type codeView struct {
	code    string
	limit   float64
	above   bool
	r       circuits.Reading
	frame   *network.Frame
	well    []network.Prediction // by scene, with nothing wrong
	healthy float64              // chance of the code with nothing wrong
	scenes  []*network.Scene     // over the stimuli's whole ranges
}

func newCodeViews(w *Scales) []codeView {
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

func newCodeView(w *Scales, p *circuits.Pin, l *circuits.Limit, above bool) codeView {
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
		v.scenes = append(v.scenes, v.frame.Scene(set))
	}
	var c network.Case
	for _, s := range v.scenes {
		var p network.Prediction
		c.Place(s, circuits.Single{})
		c.Value(0, &p)
		v.well = append(v.well, p)
	}
	var q network.Prediction
	v.healthy = v.chance(circuits.Single{}, 0, w, &q)
	return v
}

// place puts a fault into the view's scenes, in the room of cases.
func (v *codeView) place(f circuits.Single, w *Scales, cases []network.Case) []network.Case {
	for len(cases) < len(v.scenes) {
		cases = append(cases, network.Case{})
	}
	for k, s := range v.scenes {
		cases[k].Place(s, f)
	}
	return cases
}

// chanceAt is how likely the module is to have seen its pin beyond the limit with that many ohms in the fault placed, at
// the stimuli that suit best: a code is set at some time, not now.
func (v *codeView) chanceAt(cases []network.Case, ohms float64, w *Scales, p *network.Prediction) float64 {
	best := 0.0
	for k := range v.scenes {
		cases[k].Leaning(ohms, 0.001, p)
		if p.Status != network.Fine {
			continue
		}
		sd := math.Hypot(0.01, w.toleranceSD(p))
		if well := &v.well[k]; well.Status == network.Fine && math.Abs(p.Value-well.Value) < 0.001 {
			sd = 0.01 // whoever set the limit saw to it that no sound machine of the kind sets the code
		}
		chance := above(v.limit, p.Value, sd)
		if !v.above {
			chance = 1 - chance
		}
		best = max(best, chance)
	}
	return best
}

// chance is chanceAt for a fault that is looked at once.
func (v *codeView) chance(f circuits.Single, ohms float64, w *Scales, p *network.Prediction) float64 {
	return v.chanceAt(v.place(f, w, nil), ohms, w, p)
}

// inStrip is the chance in a strip of a fault that was placed.
func (v *codeView) inStrip(f circuits.Single, c *cell, cases []network.Case, w *Scales, p *network.Prediction) float64 {
	if byStrip(f) {
		v.place(c.placed(f), w, cases)
	}
	return v.chanceAt(cases, c.ohms(f), w, p)
}

// codeEvidence adds what the codes say to the likelihood of each strip. Strips that lie within a third of an
// e-fold share one look.
func (w *Scales) codeEvidence(f circuits.Single, cells []cell) {
	var p network.Prediction
	var cases []network.Case
	for i := range w.codes {
		v := &w.codes[i]
		if f.Kind == circuits.Unlisted {
			cells[0].logL += math.Log(0.5)
			continue
		}
		cases = v.place(f, w, cases)
		if w.j.Intermittent && !hypothesis.Steady(f) {
			v.atItsWorst(f, cells, cases, w)
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
				chance, last = v.inStrip(f, c, cases, w, &p), c.logOhms
			}
			c.logL += math.Log(StaleCode + (1-StaleCode)*chance)
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
		cases[k].Value(math.Exp(severe), &p)
		if p.Status != v.well[k].Status || math.Abs(p.Value-v.well[k].Value) > 0.001 {
			return false
		}
	}
	return true
}

// TimesBeforeLooked is how often an intermittent fault has come before anyone looks, each time with another resistance
// (ours): a code is set by the worst of them.
const TimesBeforeLooked = 5

// atItsWorst adds what a code says of a fault that comes and goes: that it once was beyond the limit, not that it is.
func (v *codeView) atItsWorst(f circuits.Single, cells []cell, cases []network.Case, w *Scales) {
	var p network.Prediction
	mean := 0.0
	for i := range cells {
		c := &cells[i]
		mean += math.Exp(c.logPrior) * v.inStrip(f, c, cases, w, &p)
	}
	chance := 1 - math.Pow(1-min(mean, 1), TimesBeforeLooked)
	for i := range cells {
		cells[i].logL += math.Log(StaleCode + (1-StaleCode)*chance)
	}
}

// sets is the share of the odds whose faults set a code as they stand.
func (w *Scales) sets(v *codeView, xs []Weighed, total float64) float64 {
	sum := 0.0
	var p network.Prediction
	for i := range xs {
		x := &xs[i]
		share := math.Exp(x.LogZ - total)
		if share < 1e-3 || x.Fault.Kind == circuits.Unlisted || x.Beside != nil {
			if x.Beside != nil {
				sum += share // two faults are only weighed where one alone does not explain: taken at their word
			}
			continue
		}
		best := x.bestCell()
		sum += share * v.chance(best.placed(x.Fault), best.ohms(x.Fault), w, &p)
	}
	return sum
}

// Codes are the job's codes that the circuit knows, one for each limit that sets it.
func (w *Scales) Codes() []string {
	var out []string
	for i := range w.codes {
		out = append(out, w.codes[i].code)
	}
	return out
}

// NotSet are the codes that half the odds and more do not set as their faults stand.
func (w *Scales) NotSet(xs []Weighed) []string {
	total := Total(xs)
	var out []string
	for i := range w.codes {
		if w.sets(&w.codes[i], xs, total) < 0.5 {
			out = append(out, w.codes[i].code)
		}
	}
	return out
}

// AsComesAndGoes weighs the hypotheses anew for a symptom that comes and goes.
func (w *Scales) AsComesAndGoes(hs []hypothesis.Hypothesis) (*Scales, []Weighed) {
	j := *w.j
	j.Intermittent = true
	in := NewScales(&j, w.off)
	xs := in.WeighAll(hs)
	in.Forget()
	return in, xs
}

// SetsAll tells whether a fault sets every code of the job, at some stimulus of the sensors' ranges.
func (w *Scales) SetsAll(f circuits.Single) bool {
	var p network.Prediction
	for i := range w.codes {
		if w.codes[i].chance(f, f.Ohms, w, &p) <= 0.5 {
			return false
		}
	}
	return true
}

// CodesSetBy are the codes of the circuit that a fault sets at some stimulus of the sensors' ranges.
func (w *Scales) CodesSetBy(f circuits.Single) map[string]bool {
	j := *w.j
	j.Codes = w.j.Circuit.Codes()
	out := map[string]bool{}
	var p network.Prediction
	same := *w
	same.j = &j
	for _, v := range newCodeViews(&same) {
		if v.chance(f, f.Ohms, w, &p) > 0.5 {
			out[v.code] = true
		}
	}
	return out
}
