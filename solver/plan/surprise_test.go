package plan_test

import (
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// TestSurprised: the sensor by ohms is open, or has the ohms of its range (about 100 Ω to 28 kΩ); the signal at the in-line connector is
// the module's pull-up voltage, or nothing. What lies elsewhere is a surprise: megohms may be kilohms, volts below zero leads changed over.
func TestSurprised(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	on := circuits.State{Key: circuits.KeyOn}
	volts := func(place, cavity, side string) circuits.Reading {
		return circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: place, Cavity: cavity, Side: side}), To: circuits.BNegative, Quantity: circuits.Volts, State: on}
	}
	taken := func(r circuits.Reading, value float64) circuits.Reading {
		r.Taken, r.Value, r.High = true, value, value
		return r
	}
	r := rank.Rank(&circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}, Codes: []string{"P0118"},
		Readings: []circuits.Reading{taken(volts("ECT", "2", ""), 0.01)}})
	ohms := circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: "ECT", Cavity: "1", Side: "device"}), To: circuits.Point{Place: "ECT", Cavity: "2", Side: "device"},
		Quantity: circuits.Ohms, State: circuits.State{Key: circuits.KeyOff, Unplugged: []string{"ECT"}}}
	overload := taken(ohms, 40e6)
	overload.OL = true
	signal := volts("C101", "7", "engine")
	for _, c := range []struct {
		planned, taken circuits.Reading
		surprised      bool
		slip           plan.SlipKind
		is             bool // the slip is among those named
	}{
		{ohms, taken(ohms, 2500), false, 0, false},
		{ohms, overload, false, 0, false},
		{ohms, taken(ohms, 2.5e6), true, plan.SlipMilli, true},
		{ohms, taken(ohms, 300e3), true, plan.SlipLeads, false},
		{signal, taken(signal, 4.95), false, 0, false},
		{signal, taken(signal, -4.95), true, plan.SlipLeads, true},
		{signal, taken(signal, -3), true, plan.SlipMilli, false},
	} {
		s := plan.Weigh(&r, []circuits.Reading{c.planned})[0]
		x, surprised := plan.Surprised(&r, s, c.taken)
		if surprised != c.surprised || slices.Contains(x.Slips, c.slip) != c.is {
			for _, o := range s.Outcomes {
				t.Logf("%g to %g %d", o.Low, o.High, o.Discrete)
			}
			t.Errorf("%s %g: surprised %v by %v", c.planned.At, c.taken.Value, surprised, x.Slips)
		}
	}
}
