package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// misreadPrior is the chance that a reading is not what it says: a probe that missed, a slip of the pen. A scan value
// cannot miss its pin.
const (
	MisreadPrior     = 0.05
	scanMisreadPrior = 0.02
)

// floors of the error of a model against a real harness, far below what a meter shows.
const (
	floorVolts = 0.001
	floorOhms  = 0.02
	floorAmps  = 0.0005
)

// observation is one value that was read: a reading, or one half of a reading that moved.
type observation struct {
	reading   int // index in the job
	r         circuits.Reading
	frame     *network.Frame
	scenes    []*network.Scene // by scenario; one where nothing unknown sets anything here
	healthy   []network.Prediction
	value     float64
	sigma     float64
	sigmaHigh float64 // of the upper end, where both were seen
	ol        bool
	clipped   int        // -1, +1: a scan value at the end of its range
	step      float64    // of a scan value
	reported  [2]float64 // of a scan value, in volts
	pair      bool       // value and high were both seen
	twin      int        // the observation of its other end, where it was parted into two; else -1
	swept     bool       // a sensor was moved from end to end meanwhile
	trembled  bool       // two values were noted that are one within the noise
	high      float64
	unknowns  []int   // the unknown stimuli that apply here
	switches  []int   // the unknown switches that apply here
	same      int     // the earlier observation that this one only repeats; -1 for none
	span      float64 // volts, ohms or amps over which a misread value may lie
	quantity  circuits.Quantity
	even      map[int]bool    // by unknown: a sound machine's value rises or falls with it all the way
	curve     map[int]float64 // likewise: the greatest second derivative, by shares of the range
	thrown    map[int]*way    // by unknown switch: what it is with that the other way
	sound     bool            // read on another machine of the kind, which works
}

// machine is 0 for the machine that is looked at, 1 for the sound one beside it.
func (o *observation) machine() int {
	if o.sound {
		return 1
	}
	return 0
}

// way is an observation with an unknown switch the other way.
type way struct {
	scene  *network.Scene
	sound  network.Prediction // of a sound machine
	minded bool               // that matters to a sound machine
}

// sigmaOf is one standard deviation of a reading's own error: its bound/√3, or a converter's step/√12.
func sigmaOf(m circuits.Meter, r circuits.Reading, value float64, pin *circuits.Pin) float64 {
	switch r.Quantity {
	case circuits.ScanVolts:
		return math.Hypot(pin.StepVolts()/math.Sqrt(12), floorVolts)
	case circuits.Ohms:
		return math.Hypot(m.Ohms.Bound(value)/math.Sqrt(3), floorOhms)
	case circuits.Amps:
		return math.Hypot(m.Amps.Bound(value)/math.Sqrt(3), floorAmps)
	}
	return math.Hypot(m.Volts.Bound(value)/math.Sqrt(3), floorVolts)
}

// movingShare is the error of the ends of a reading that moved, as a share of the value (ours): they are extremes, seen while
// a contact came and went, and not steady values. Without it the few ohms by which a drawing is wrong about a module's input
// outweigh what the hand felt.
const movingShare = 0.01

// newObservation reads one taken reading of a job.
func newObservation(j *circuits.Job, i int) observation {
	r := j.Readings[i]
	o := observation{reading: i, r: r, value: r.Value, high: r.High, pair: r.Pair, same: -1, twin: -1, sound: r.Sound, ol: r.OL && !r.Pair, quantity: r.Quantity}
	var pin *circuits.Pin
	if r.Quantity == circuits.ScanVolts {
		pin = j.Circuit.Pin(r.Point())
		o.step = pin.StepVolts()
	}
	if o.pair && !r.OL && r.High-r.Value <= trembles(j.Meter, r.Quantity, o.step) {
		o.pair, o.trembled, o.value = false, true, (r.Value+r.High)/2
		r.Value = o.value
	}
	if r.Quantity == circuits.ScanVolts {
		o.reported = pin.RangeVolts
		o.clipped = o.clips(r.Value)
	}
	o.sigma, o.sigmaHigh = sigmaOf(j.Meter, r, r.Value, pin), sigmaOf(j.Meter, r, r.High, pin)
	if o.pair {
		o.sigma, o.sigmaHigh = math.Hypot(o.sigma, movingShare*r.Value), math.Hypot(o.sigmaHigh, movingShare*r.High)
	}
	o.span = 1.3*max(j.Circuit.Battery.Volts, j.Circuit.Battery.RunningVolts) + 1
	if r.Quantity == circuits.Amps {
		o.span = 20
	}
	return o
}

// trembles is the distance up to which two values of a reading are one that did not move: twice the digits that the
// meter's last places may be off, or two steps of a converter.
func trembles(m circuits.Meter, q circuits.Quantity, step float64) float64 {
	if q == circuits.ScanVolts {
		return 2.5 * step
	}
	return 2*m.Accuracy(q).Plus + 1e-9
}

// clips tells whether a scan value is the lower (-1) or upper (+1) end of what the module reports, beyond which it may be.
func (o *observation) clips(value float64) int {
	switch {
	case o.step == 0:
		return 0
	case value >= o.reported[1]-o.step/2:
		return 1
	case value <= o.reported[0]+o.step/2:
		return -1
	}
	return 0
}

// misread is the prior share of misreadings among values of this kind.
func (o *observation) misread() float64 {
	if o.quantity == circuits.ScanVolts {
		return scanMisreadPrior
	}
	return MisreadPrior
}

// broadOL is the probability that an ohms reading that is not what it says shows OL.
const broadOL = 0.4

// broad is the density of a value that is not what it says (a probability, where OL was read): anything within the
// span, or what a probe that touches nothing shows.
func (o *observation) broad(value float64) float64 {
	if o.quantity == circuits.Ohms {
		if o.ol {
			return broadOL
		}
		const decades = 20 // natural logarithm of 4e8: from 0.1 Ω to 40 MΩ
		return 0.6 / (decades * max(value, 0.1))
	}
	if o.quantity == circuits.ScanVolts {
		return 1 / o.span
	}
	return 0.6/o.span + 0.4*normal(value, 0, 0.03)
}

// broadHigh is broad for the upper of two values.
func (o *observation) broadHigh() float64 {
	if o.r.OL && o.quantity == circuits.Ohms {
		return broadOL
	}
	return o.broad(o.high)
}

// normal is the density of the normal distribution.
func normal(x, mean, sd float64) float64 {
	z := (x - mean) / sd
	return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
}

// above is the probability that a normal value exceeds a bound.
func above(bound, mean, sd float64) float64 {
	return 0.5 * math.Erfc((bound-mean)/(sd*math.Sqrt2))
}

// density is the likelihood of one value seen under one prediction whose value has that standard deviation, the meter's
// own error included; a misreading is not allowed for.
func (o *observation) density(value float64, ol bool, p *network.Prediction, sd, maxOhms float64) float64 {
	switch p.Status {
	case network.OverRange:
		if ol {
			return 1
		}
		return 0
	case network.NoValue:
		return o.noValueDensity(value, ol, p.Why.Kind)
	}
	if ol {
		return above(maxOhms, p.Value, sd)
	}
	switch o.clips(value) {
	case 1:
		return above(value-o.step/2, p.Value, sd) / o.step
	case -1:
		return above(p.Value, value+o.step/2, sd) / o.step
	}
	return normal(value, p.Value, sd)
}

// noValueDensity says how likely a value is where the circuit has none to show: a module without power reports
// nothing, an ohmmeter on a live circuit and a meter on a floating wire show anything.
func (o *observation) noValueDensity(value float64, ol bool, why network.ReasonKind) float64 {
	switch {
	case why == network.Unpowered:
		return 1e-4 / o.span
	case o.quantity == circuits.Ohms:
		if ol {
			return 0.3
		}
		return 0.7 / (20 * max(value, 0.1))
	}
	return 0.5/o.span + 0.5*normal(value, 0, 0.1)
}
