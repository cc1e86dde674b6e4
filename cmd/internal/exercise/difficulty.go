package exercise

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
	"ohmtrail/solver/plan"
)

// Points add up what makes an exercise hard: a point for each reading of the planner's way, one for each doubling of
// the places that are open at first, and those of the hidden ways of a fault.
const (
	hidesPoints        = 2
	intermittentPoints = 3
	doublePoints       = 3
)

// levelFrom are the points from which on each level begins.
var levelFrom = [...]float64{0, 5.5, 7.5, 9.5, 12}

// Levels is the number of levels.
const Levels = len(levelFrom)

// Points are the difficulty as one number.
func (d Difficulty) Points() float64 {
	p := float64(d.Readings) + math.Log2(max(d.FirstPlaces, 1))
	if d.Hides {
		p += hidesPoints
	}
	if d.Intermittent {
		p += intermittentPoints
	}
	if d.Double {
		p += doublePoints
	}
	return p
}

// mostReadingsAt is how many readings a way may take for its exercise not to be harder than a level.
func (d Difficulty) mostReadingsAt(level int) int {
	for d.Readings = 1; d.Readings < mostReadings && d.Level() <= level; d.Readings++ {
	}
	return d.Readings
}

// Level is the level of a difficulty, 1 to Levels.
func (d Difficulty) Level() int {
	p, level := d.Points(), 1
	for i, from := range levelFrom {
		if p >= from {
			level = i + 1
		}
	}
	return level
}

// LevelsText says how levels are defined, for a help text.
func LevelsText() string {
	var b strings.Builder
	fmt.Fprintf(&b, `The level is computed on each machine, from points:
  1 for each reading that the planner's way takes on that very machine
  1 for each doubling of the places open after the codes and the module's own values
    (2 to the power of their entropy: 8 places alike are 3 points)
  %d where the fault hides: every voltage without load looks healthy, one under load does not
  %d where it comes and goes
  %d where two faults are there at once
`, hidesPoints, intermittentPoints, doublePoints)
	for i, from := range levelFrom {
		switch {
		case i == 0:
			fmt.Fprintf(&b, "level 1  below %g points\n", levelFrom[1])
		case i+1 < Levels:
			fmt.Fprintf(&b, "level %d  from %g to below %g points\n", i+1, from, levelFrom[i+1])
		default:
			fmt.Fprintf(&b, "level %d  %g points and more\n", i+1, from)
		}
	}
	return b.String()
}

// hides tells whether a machine's fault hides from a voltmeter without load: at every part's loose connector all
// voltages look healthy, and with everything plugged in some voltage or value does not.
func hides(x *Exercise, m *Machine, o outside) bool {
	if len(o.shows) == 0 {
		return false
	}
	for i := range x.Circuit.Devices {
		d := &x.Circuit.Devices[i]
		apart := circuits.State{Key: circuits.KeyOn, Unplugged: []string{d.Name}}
		for _, t := range d.Terminals {
			p := circuits.Point{Place: d.Name, Cavity: t.Cavity}
			if x.Circuit.Contact(circuits.PointLocation(p)) == nil {
				continue
			}
			if oddVolts(x, m, circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.Volts, State: apart}) {
				return false
			}
		}
	}
	return true
}

// oddVolts tells whether a voltage of the machine is clearly another than the same machine shows when it is well: by
// more than the meter's error and the spread of tolerances, 3 % of the value and 20 mV (ours).
func oddVolts(x *Exercise, m *Machine, r circuits.Reading) bool {
	good, bad := m.with(circuits.Fault{}).Exact(x.Meter, r), m.vehicle.Exact(x.Meter, r)
	if good.Status != bad.Status {
		return true
	}
	return good.Status == network.Fine && math.Abs(good.Value-bad.Value) > 0.02+0.03*math.Abs(good.Value)
}

// firstPlaces is how many places are open after the codes and the module's own values.
func (p *prover) firstPlaces(x *Exercise, o outside) float64 {
	j := x.Job()
	j.Readings = append(j.Readings, o.scans...)
	if x.Hidden.Duty < 1 {
		for i := range j.Readings {
			j.Readings[i].Symptom = circuits.SymptomThere
		}
	}
	var weights []float64
	for _, place := range p.plan(j).Remaining {
		weights = append(weights, place.Probability)
	}
	return math.Exp2(plan.Entropy(weights))
}
