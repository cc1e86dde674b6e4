package evidence

import (
	"math"
	"slices"

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
	b := newBuilt(j, circuits.Single{})
	abreast(len(readings), func(_, i int) {
		c := catcher{outlook: newOutlook(b, readings[i])}
		c.accepted = accept(j, readings[i], c.outlook.sound)
		out[i] = Check{Reading: readings[i], Minutes: j.Circuit.Minutes(readings[i], nil), Catches: c.chances(slips)}
	})
	return out
}

// catcher reckons one reading.
type catcher struct {
	outlook  *outlook
	accepted Accepted
}

func (c *catcher) chances(slips []hypothesis.Slip) []float64 {
	out := make([]float64, len(slips))
	if c.accepted.Why.Kind != network.NoReason {
		return out // it cannot be judged
	}
	for i, s := range slips {
		out[i] = c.chance(s.Fault)
	}
	return out
}

// leastLean is what a prediction leans on at least to be looked at, in volts, ohms or amperes: a thousandth of what any
// reading is believed to.
const leastLean = 1e-6

// chance averages over the ohms that a fault may have and over the settings of the machine: all stimuli at home, and each unknown one
// at either end of its range. Those that do not matter to the reading show what it shows at home.
func (c *catcher) chance(f circuits.Single) float64 {
	ohms := []float64{f.Ohms}
	switch {
	case f.HasOhms || !f.Kind.TakesOhms():
	case f.Kind == circuits.HighResistance:
		ohms = slipSeries
	default:
		ohms = slipShort
	}
	o := c.outlook
	corners, moves := o.cornersOf(f)
	unknown := len(o.unknown)
	if len(moves) > 0 && !slices.Contains(o.unknown, moves[0].device) {
		unknown++ // what a part shows that reads wrong
	}
	sum, all := 0.0, 0.0
	var k network.Case
	var p network.Prediction
	for at := range corners {
		weight := 1.0
		if at == 0 {
			weight += float64(2*unknown - (len(corners) - 1))
		}
		k.Place(corners[at].scene, f)
		for _, x := range ohms {
			k.Leaning(x, leastLean, &p)
			sum, all = sum+weight*c.share(&p), all+weight
		}
	}
	return sum / all
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
	reach, deviation := spread(p.Leans, c.outlook.built.layout.Parameters())
	low, high := p.Value-reach*deviation, p.Value+reach*deviation
	if pin := c.outlook.pin; pin != nil {
		low, high = network.Report(*pin, low), network.Report(*pin, high)
	}
	return c.accepted.outside(low, high)
}
