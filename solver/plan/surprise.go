package plan

import (
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
	"ohmtrail/solver/rank"
)

// SlipKind is a slip of the hand at a reading.
type SlipKind uint8

// The slips that a value is held against.
const (
	SlipMissed     SlipKind = iota // a probe did not touch: 0 V, or OL
	SlipMilli                      // thousandths were typed as units
	SlipLeads                      // the leads were changed over
	SlipKeyOff                     // the key was off
	SlipStillApart                 // the machine still stood as the reading before it left it
	SlipNotParted                  // what was to be parted or joined for the reading was not
)

// Surprise is a value that none of the foreseen outcomes holds.
type Surprise struct {
	Foreseen []OutcomeBand // likeliest first
	Slips    []SlipKind    // that would explain the value
}

// foreseenSlack widens a foreseen range, which ends at two standard deviations, by so much of its half to each side; by no less than
// twice the instrument's own error.
const foreseenSlack = 0.3

// fewVolts (or amps) are not typed for thousandths by mistake: nothing on a machine of 12 or 24 V that is worth reading is so small.
const fewVolts = 40

// Surprised tells whether a taken value lies in none of the outcomes that were foreseen of it, and which slips would explain it.
func Surprised(r *rank.Ranking, s Suggestion, taken circuits.Reading) (Surprise, bool) {
	beyond := taken.Quantity == circuits.Ohms && !taken.OL && taken.Value > r.Job.Meter.MaxOhms // no value of this meter
	if taken.Pair || taken.Wiggle != "" || len(s.Outcomes) == 0 || beyond || foreseen(r.Job, s.Outcomes, taken) {
		return Surprise{}, false
	}
	out := Surprise{Foreseen: s.Outcomes}
	for _, slip := range []struct {
		kind     SlipKind
		explains bool
	}{
		{SlipMissed, taken.OL || taken.Quantity == circuits.Volts && math.Abs(taken.Value) < 0.05},
		{SlipMilli, !taken.OL && (taken.Quantity == circuits.Ohms || math.Abs(taken.Value) >= fewVolts) && foreseen(r.Job, s.Outcomes, scaled(taken, 1e-3))},
		{SlipLeads, taken.Quantity == circuits.Volts && foreseen(r.Job, s.Outcomes, scaled(taken, -1))},
		{SlipKeyOff, taken.State.Key != circuits.KeyOff && shownIn(r, taken, func(st *circuits.State) { st.Key = circuits.KeyOff })},
		{SlipStillApart, !taken.Before(r.Job.Left()).None() && shownIn(r, taken, func(st *circuits.State) { *st = r.Job.Left().State; st.Key = taken.State.Key })},
		{SlipNotParted, len(taken.State.Unplugged)+len(taken.State.Jumpers)+len(taken.State.Loads) > 0 && shownIn(r, taken, func(st *circuits.State) { *st = circuits.State{Key: st.Key, Set: st.Set} })},
	} {
		if slip.explains {
			out.Slips = append(out.Slips, slip.kind)
		}
	}
	return out, true
}

// foreseen tells whether a value lies in one of the outcomes, or just beside it.
func foreseen(j *circuits.Job, bands []OutcomeBand, taken circuits.Reading) bool {
	pin := j.Circuit.Pin(taken.Point())
	value := taken.Value
	if taken.Quantity == circuits.Ohms {
		value = math.Log(max(value, leastOhms))
	}
	for _, b := range bands {
		switch b.Discrete {
		case evidence.RayOL:
			if taken.OL {
				return true
			}
		case evidence.RayLow:
			if taken.Value <= pin.RangeVolts[0]+pin.StepVolts() {
				return true
			}
		case evidence.RayHigh:
			if taken.Value >= pin.RangeVolts[1]-pin.StepVolts() {
				return true
			}
		case 0:
			slack := max(foreseenSlack*(b.High-b.Low)/2, 2*readingError(j, taken, value))
			b.Low, b.High = b.Low-slack, b.High+slack
			if !taken.OL && b.InBand(taken.Quantity, taken.Value) {
				return true
			}
		}
	}
	return false
}

func scaled(r circuits.Reading, by float64) circuits.Reading {
	r.Value *= by
	return r
}

// shownIn tells whether the machine would show the value with one of the leading faults and its state changed.
func shownIn(r *rank.Ranking, taken circuits.Reading, change func(*circuits.State)) bool {
	const leading = 5
	other := taken
	other.State.Unplugged = slices.Clone(taken.State.Unplugged)
	change(&other.State)
	for _, c := range r.Candidates[:min(leading, len(r.Candidates))] {
		f := c.Whole()
		f.First = worstOhms(c)
		out := network.Read(r.Job.Circuit, r.Job.Meter, other, r.Job.Assume, f)
		switch {
		case taken.OL:
			if out.Status == network.OverRange {
				return true
			}
		case out.Status == network.Fine && math.Abs(out.Value-taken.Value) < 0.02*math.Abs(taken.Value)+2*r.Job.Meter.Accuracy(taken.Quantity).Bound(taken.Value)+0.02:
			return true
		}
	}
	return false
}
