package levels

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// Curve is what a channel shows under a fault for every resistance of it.
type Curve struct {
	ohms []float64 // rising
	e    []evidence.Expectation
}

// The resistances of a curve: ten to a decade.
const (
	leastOhms, mostSeriesOhms, mostShortOhms = 0.1, 1e6, 1e5
	perDecade                                = 10
)

// NewCurve works out a channel's readings under a single fault with ohms; ok is false for any other fault.
func NewCurve(j *circuits.Job, c *Channel, f circuits.Fault) (curve Curve, ok bool) {
	if f.IsDouble() || !f.First.Kind.TakesOhms() {
		return Curve{}, false
	}
	most := mostSeriesOhms
	if f.First.Kind != circuits.HighResistance {
		most = mostShortOhms
	}
	steps := int(math.Round(math.Log10(most/leastOhms))) * perDecade
	for k := range steps + 1 {
		ohms := leastOhms * math.Pow(10, float64(k)/perDecade)
		curve.ohms = append(curve.ohms, ohms)
		curve.e = append(curve.e, evidence.Expect(j, c.Reading, circuits.Fault{First: f.First.WithOhms(ohms)}))
	}
	return curve, true
}

// OhmsAt is a fault's resistance while a channel kept to a level.
type OhmsAt struct {
	Span
	Level     float64
	Known     bool    // false where the level tells nothing about the ohms, or does not go with the fault
	Best      float64 // 0 where nominal values never show the level
	Low, High float64 // bounds over tolerances, unknown settings and the meter's error; 0 and +Inf where there is none
}

// Over is the fault's resistance over time: one for each stretch of the recording.
func (k Curve) Over(j *circuits.Job, c *Channel) []OhmsAt {
	var out []OhmsAt
	for _, s := range c.Found.Stretches {
		o := OhmsAt{}
		if s.Samples < 20 { // its own mean, with what its few samples leave open
			o = k.at(j, c, s.Level, 2*s.Noise/math.Sqrt(float64(s.Samples)))
		} else {
			o = k.at(j, c, s.Level, 0)
		}
		o.Span, o.Level = Span{s.From, s.To}, s.Level
		out = append(out, o)
	}
	return out
}

// at finds the resistances under which a level may be read.
func (k Curve) at(j *circuits.Job, c *Channel, level, more float64) OhmsAt {
	o := OhmsAt{Low: math.NaN(), High: math.NaN()}
	if c.over(j, level) { // beyond the meter's range: more than any ohms under which it shows a value
		o.Known, o.Low, o.High = true, 0, math.Inf(1)
		for i, e := range k.e {
			if !e.CanBeOL {
				o.Low = k.ohms[i]
			}
		}
		return o
	}
	b := bound(j, c.Reading, level) + more
	first, last := -1, -1
	for i, e := range k.e {
		if e.Low-b <= level && level <= e.High+b {
			if first < 0 {
				first = i
			}
			last = i
		}
		if i == 0 || o.Best != 0 {
			continue
		}
		before := k.e[i-1]
		if before.Status != network.Fine || e.Status != network.Fine {
			continue
		}
		if lo, hi := min(before.Value, e.Value), max(before.Value, e.Value); lo <= level && level <= hi && hi > lo {
			share := (level - before.Value) / (e.Value - before.Value)
			o.Best = math.Exp(math.Log(k.ohms[i-1]) + share*math.Log(k.ohms[i]/k.ohms[i-1]))
		}
	}
	if first < 0 || first == 0 && last == len(k.ohms)-1 {
		return o
	}
	o.Known = true
	o.Low, o.High = 0, math.Inf(1)
	if first > 0 {
		o.Low = k.ohms[first-1]
	}
	if last < len(k.ohms)-1 {
		o.High = k.ohms[last+1]
	}
	return o
}
