package evidence

import (
	"math"

	"ohmtrail/circuits"
)

// stripsOf are the strips over which a fault's unknown ohms (or the stimulus that a wrong sensor shows) are integrated.
// A series fault is log-uniform from half an ohm to 2 MΩ; a short is a dead one half the time, else log-uniform to
// 100 kΩ, as a touch or a water bridge (format.md, section 3). Weights ours.
func stripsOf(c *circuits.Circuit, f circuits.Single) []cell {
	switch {
	case f.Kind == circuits.HighResistance:
		return logStrips(0.5, 2e6, 15, 1)
	case f.Kind == circuits.ShortToGround || f.Kind == circuits.ShortBetween:
		return append(logStrips(deadOhms, 2, 3, 0.5), logStrips(2, 1e5, 9, 0.5)...)
	case f.Kind == circuits.ShortToVoltage: // no fuse blows: less than the wires have is told by nothing but how far the battery sags
		return append(logStrips(0.02, 2, 2, 0.5), logStrips(2, 1e5, 9, 0.5)...)
	case f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong:
		return wrongStrips(c.Device(f.At.From.Place))
	case f.IsLowReference():
		return lowStrips()
	}
	return []cell{{}}
}

// lowStrips are how low a reference may be: in volts half the time, else by what it has inside (format.md, section 3). Weights ours.
func lowStrips() []cell {
	shares := logStrips(circuits.LeastReferenceShare, circuits.MostReferenceShare, 5, 0.5)
	for i := range shares {
		shares[i].ofShare = true
	}
	return append(shares, logStrips(circuits.LeastReferenceOhms, circuits.MostReferenceOhms, 4, 0.5)...)
}

// placed is the fault as a strip places it: what it shows instead, or how low it is, is its own for each strip. What its ohms do is
// asked of one placing.
func (c *cell) placed(f circuits.Single) circuits.Single {
	switch {
	case readsOff(f):
		f.Shows = c.shows
	case f.IsLowReference() && c.ofShare:
		return f.WithoutOhms().WithShare(math.Exp(c.logOhms))
	case f.IsLowReference():
		return f.WithoutOhms().WithOhms(math.Exp(c.logOhms))
	}
	return f
}

// byStrip tells whether each strip of a fault is placed by itself.
func byStrip(f circuits.Single) bool { return readsOff(f) || f.IsLowReference() }

// deadOhms stands for no ohms at all on the scale of logarithms: a hundredth of what a battery has inside.
const deadOhms = 1e-4

// ohms are the fault's at the middle of the strip; 0 for a fault that takes none.
func (c *cell) ohms(f circuits.Single) float64 {
	if !f.Kind.TakesOhms() {
		return 0
	}
	return math.Exp(c.logOhms)
}

func logStrips(low, high float64, count int, share float64) []cell {
	out := make([]cell, count)
	width := math.Log(high/low) / float64(count)
	for i := range out {
		out[i] = cell{logOhms: math.Log(low) + (float64(i)+0.5)*width, width: width, logPrior: math.Log(share / float64(count))}
	}
	return out
}

// wrongStrips are what a sensor which reads wrong may show: of a switch its two states, of anything else one strip in which what
// it shows is one more unknown.
func wrongStrips(d *circuits.Device) []cell {
	if d.Kind.TwoState() {
		return []cell{{shows: 0, logPrior: -math.Ln2}, {shows: 1, logPrior: -math.Ln2}}
	}
	return []cell{{}}
}

// split cuts a strip into parts of equal width and weight.
func (c cell) split(parts int) []cell {
	out := make([]cell, parts)
	width := c.width / float64(parts)
	for i := range out {
		out[i] = cell{logOhms: c.logOhms + (float64(i)+0.5)*width - c.width/2, width: width, ofShare: c.ofShare, logPrior: c.logPrior - math.Log(float64(parts)), on: c.on, decided: c.decided}
	}
	return out
}

// cell is one strip of a hypothesis's unknown ohms (or one setting of a sensor that reads wrong), with what it
// predicts and how well that fits.
type cell struct {
	logOhms, width float64 // natural logarithm of the middle, and the strip's width in e-folds; 0 for no ohms
	ofShare        bool    // of the share of its volts that a low reference gives, not of ohms
	shows          float64 // the state of a switch that reads wrong
	logPrior       float64
	logL           float64
	mean           []float64 // by observation; NaN where there is no value
	high           []float64 // by observation: the upper end of one that moved; nil where none moved
	miss           []float64 // by observation: share in which it is misread
	on             []float64 // by unknown switch: its way by straight laws; nil where that was not looked for
	gone           []string  // fuses that were gone at every reading
	away           []int     // ends of readings that moved by themselves at which the fault was away
	decided        []int     // the unknown switches of which the other way is out of the question
	bend           float64   // greatest change of a prediction across the strip, in standard deviations
}
