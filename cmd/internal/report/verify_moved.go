package report

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
)

// jumpChance is the chance that the fault, still there, makes the value jump while the repaired place is moved by hand: the
// least over the faults that may have been there.
func (v *Verification) jumpChance(moved string) float64 {
	at, err := v.j.Circuit.Somewhere(moved)
	if err != nil {
		return 0
	}
	least := math.Inf(1)
	for _, s := range v.Slips {
		if s.Kind == hypothesis.SlipStays {
			least = min(least, evidence.JumpChance(v.j.Circuit, at, s.Fault))
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// byTurns lowers what readings taken after the repair of a fault that comes and goes show of it: nothing where the
// repaired place was not moved.
func (v *Verification) byTurns(have []evidence.Check) {
	if !v.j.Intermittent {
		return
	}
	k := 0
	for _, c := range v.Readings {
		if !c.Judged() {
			continue
		}
		factor := 0.0
		if v.moved(c.Reading) {
			factor = v.jumpChance(c.Reading.Wiggle)
		}
		v.scale(&have[k], factor)
		k++
	}
}

// move has the readings that are proposed after such a repair taken while the repaired place is moved, where nothing is
// apart: a good value alone says nothing.
func (v *Verification) move(checks []evidence.Check) {
	if !v.j.Intermittent || len(v.Repaired) == 0 {
		return
	}
	place := v.Repaired[0].From.Place
	if v.Repaired[0].IsWire() {
		place = v.Repaired[0].String()
	}
	for k := range checks {
		r := &checks[k].Reading
		if len(r.State.Unplugged) > 0 || r.Quantity == circuits.Ohms {
			v.scale(&checks[k], 0)
			continue
		}
		for i, s := range v.Slips {
			if s.Kind == hypothesis.SlipStays && checks[k].Catches[i] >= 0.5 {
				r.Wiggle = place
			}
		}
		v.scale(&checks[k], v.jumpChance(place))
	}
}

// scale lowers the chance that a check shows the fault still there.
func (v *Verification) scale(c *evidence.Check, factor float64) {
	for i, s := range v.Slips {
		if s.Kind == hypothesis.SlipStays {
			c.Catches[i] *= factor
		}
	}
}

// seen is the chance that the confirming readings together would have shown a fault that comes and goes.
func (v Verification) seen() float64 {
	missed := 1.0
	for _, c := range v.Readings {
		if c.Confirms {
			missed *= 1 - v.jumpChance(c.Reading.Wiggle)
		}
	}
	return 1 - missed
}
