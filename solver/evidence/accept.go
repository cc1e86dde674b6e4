package evidence

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Accepted is what a reading of a healthy machine may show: its expectation, widened by what the meter itself may err.
type Accepted struct {
	Expectation
	From, To float64        // bounds with the meter's error; NaN where no value is expected
	Why      network.Reason // why the reading cannot be judged; none where it can
}

// Accept says what a reading taken after a repair may show if nothing is wrong any more.
func Accept(j *circuits.Job, r circuits.Reading) Accepted {
	return accept(j, r, Expect(j, r, circuits.Fault{}))
}

func accept(j *circuits.Job, r circuits.Reading, healthy Expectation) Accepted {
	a := Accepted{Expectation: healthy}
	a.From, a.To = a.Low, a.High
	switch {
	case r.Quantity == circuits.Ohms && r.State.Key != circuits.KeyOff:
		a.Why = network.Reason{Kind: network.KeyOn}
	case a.Status == network.NoValue:
		a.Why = a.Outcome.Why
	case !math.IsNaN(a.Low):
		a.From -= errorAt(j, r, a.Low)
		a.To += errorAt(j, r, a.High)
	}
	return a
}

// errorAt is the greatest error of the meter, or of the converter, at a value.
func errorAt(j *circuits.Job, r circuits.Reading, v float64) float64 {
	if r.Quantity == circuits.ScanVolts {
		return j.Circuit.Pin(r.Point()).StepVolts()/2 + floorVolts
	}
	floor := map[circuits.Quantity]float64{circuits.Volts: floorVolts, circuits.Ohms: floorOhms, circuits.Amps: floorAmps}[r.Quantity]
	return j.Meter.Accuracy(r.Quantity).Bound(v) + floor
}

// Holds tells whether a value lies within what is accepted; ol says that the meter showed OL.
func (a Accepted) Holds(value float64, ol bool) bool {
	if ol {
		return a.CanBeOL || a.Status == network.OverRange
	}
	return value >= a.From && value <= a.To
}

// Passes tells whether a reading that was taken agrees with a healthy machine, both of its values where it has two.
func (a Accepted) Passes(r circuits.Reading) bool {
	if r.Pair {
		return a.Holds(r.Value, false) && a.Holds(r.High, r.OL)
	}
	return a.Holds(r.Value, r.OL)
}

// outside is the share of a range of predictions that lies outside what is accepted.
func (a Accepted) outside(low, high float64) float64 {
	if math.IsNaN(a.From) {
		return 1 // OL is expected, and a value shows
	}
	if high-low < 1e-12 {
		if a.Holds(low, false) {
			return 0
		}
		return 1
	}
	within := min(high, a.To) - max(low, a.From)
	return 1 - max(within, 0)/(high-low)
}
