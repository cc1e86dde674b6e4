package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// basesOf are the machine in the middle of all widths, one whose sensors need much of their supply, and one whose sensors
// need little: a fault may leave the one without its supply and the other not, and no line leads across.
func basesOf(parameters []network.Parameter) []network.Settings {
	out := make([]network.Settings, 3)
	for k, share := range []float64{0.5, 0.9, 0.1} {
		out[k] = network.Draw(parameters, func() float64 { return 0.5 })
		for i, p := range parameters {
			switch {
			case p.Key == "min_supply_volts":
				out[k][i] = p.At(share)
			case p.Key == "supply_ohms" && p.Kind == network.Inside:
				out[k][i] = p.At(1 - share)
			}
		}
	}
	return out
}

// How many standard deviations to either side hold 95 %: 0.95·√3 of a uniform variable, and of a sum of many that weigh
// alike as of the normal distribution. Of two that weigh alike it is (1 − √0.05)·√6, which the power below hits.
const (
	uniformReach = 0.95 * 1.7320508075688772
	normalReach  = 1.959963984540054
	reachPower   = 2.5
)

// spread is the standard deviation that all widths together give a prediction, and how many of them to either side hold
// 95 %.
func spread(leans []network.Lean, parameters []network.Parameter) (reach, deviation float64) {
	squares, fourths := 0.0, 0.0
	for _, l := range leans {
		if x := l.Change; parameters[l.Parameter].Kind != network.Stimulus {
			squares += x * x
			fourths += x * x * x * x
		}
	}
	if squares == 0 {
		return 0, 0
	}
	return normalReach - (normalReach-uniformReach)*math.Pow(fourths/(squares*squares), reachPower), math.Sqrt(squares)
}

// hold widens the bounds by a prediction.
func (e *Expectation) hold(r circuits.Reading, j *circuits.Job, p *network.Prediction) {
	switch p.Status {
	case network.OverRange:
		e.CanBeOL = true
		return
	case network.NoValue:
		return
	}
	v := p.Value
	if r.Quantity == circuits.ScanVolts {
		v = network.Shown(*j.Circuit.Pin(r.Point()), v)
	}
	e.Low, e.High = min(e.Low, v), max(e.High, v)
}

// withNominalOhms gives a fault of unknown ohms its nominal ones.
func withNominalOhms(s circuits.Single) circuits.Single {
	switch {
	case s.HasOhms || !s.Kind.TakesOhms():
		return s
	case s.Kind == circuits.HighResistance:
		return s.WithOhms(nominalHighOhms)
	}
	return s.WithOhms(nominalShortOhms)
}

// ohmsCorners are the resistances to look at: from next to nothing to next to an open, or the fault's own.
func ohmsCorners(s circuits.Single) []circuits.Single {
	switch {
	case s.HasOhms || s.Share > 0:
		return []circuits.Single{s}
	case s.IsLowReference():
		return []circuits.Single{s.WithShare(circuits.LeastReferenceShare), s.WithShare(circuits.MostReferenceShare),
			s.WithOhms(circuits.LeastReferenceOhms), s.WithOhms(circuits.MostReferenceOhms)}
	case !s.Kind.TakesOhms():
		return []circuits.Single{s}
	}
	low, high := 0.02, 10e6
	if s.Kind != circuits.HighResistance {
		low, high = 0, 1e5
	}
	var out []circuits.Single
	for _, ohms := range []float64{low, 10, 300, 10e3, high} {
		out = append(out, s.WithOhms(ohms))
	}
	return out
}
