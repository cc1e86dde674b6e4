package levels

import (
	"fmt"
	"math"
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// Readings are what the recording comes to as readings of the job: for each channel the two levels between which it jumped,
// or the one that it kept to; and for each place that was moved while nothing jumped at all, the level that held. A
// movement is evidence once: the place that the jumps follow stands with the first channel that jumped.
func (l *Log) Readings(j *circuits.Job, file string) []circuits.Reading {
	var out []circuits.Reading
	place := l.Moved()
	for i := range l.Channels {
		c := &l.Channels[i]
		if len(c.Found.States) == 0 {
			continue
		}
		r := c.Reading
		r.Taken, r.To = true, c.Reading.To
		low, high, ok := c.levels()
		if !ok {
			continue
		}
		if low == high {
			c.single(j, &r, low)
			if j.Intermittent && c.Found.SpikeCount == 0 && l.thereBeside(i) {
				r.Symptom = circuits.SymptomThere // it held while another channel showed the symptom
			}
			r.Note = fmt.Sprintf("recorded in %s: %s s without a jump", file, number(c.Found.Last-c.Found.First))
			out = append(out, r)
			continue
		}
		a, b := c.Found.States[low].Level, c.Found.States[high].Level
		r.Value, r.High, r.Pair = shown(a), shown(b), true
		if c.over(j, b) {
			r.OL, r.High = true, j.Meter.MaxOhms
		}
		r.Note = fmt.Sprintf("recorded in %s: %s", file, jumps(len(c.Found.Jumps)))
		r.Wiggle, place = place, ""
		out = append(out, r)
		out = append(out, c.others(j, low, high, file)...)
	}
	return append(out, l.withoutEffect(j, file)...)
}

// thereBeside tells whether another channel showed the symptom for long enough that this one, recorded with it, was seen then.
func (l *Log) thereBeside(channel int) bool {
	for i := range l.Channels {
		if i == channel {
			continue
		}
		there, _ := l.Channels[i].There()
		for _, s := range there {
			if own := l.Channels[channel].Found; s.From >= own.First && s.To <= own.Last && s.To-s.From >= seenFor*own.Interval {
				return true
			}
		}
	}
	return false
}

// seenFor is how many samples a channel needs to be seen at a level.
const seenFor = 4

// levels are the states of the reading's two values, the lower one first; twice the same where it kept to one level, ok is
// false where it kept to none. Where one is healthy it is one of the two, and the other the one furthest from it; else they are
// the two that lasted longest. A value that moves is no level.
func (c *Channel) levels() (low, high int, ok bool) {
	states := c.Found.States
	var steady []int
	for i, role := range c.Roles {
		if role != Moving {
			steady = append(steady, i)
		}
	}
	switch len(steady) {
	case 0:
		return 0, 0, false
	case 1:
		return steady[0], steady[0], true
	}
	a, b := steady[0], steady[1]
	for _, i := range steady {
		if c.Roles[i] != Away {
			continue
		}
		a, b = i, -1
		for _, k := range steady {
			if k != a && (b < 0 || math.Abs(states[k].Level-states[a].Level) > math.Abs(states[b].Level-states[a].Level)) {
				b = k
			}
		}
	}
	if states[a].Level > states[b].Level {
		a, b = b, a
	}
	return a, b, true
}

// mostOthers bounds the further levels that become readings.
const mostOthers = 3

// others are readings of further levels with the symptom there, those that lasted longest: a loose contact is never twice the
// same, and a level between healthy and worst tells most about what it is. Only a job whose symptom comes and goes allows
// a fault other ohms at each reading.
func (c *Channel) others(j *circuits.Job, low, high int, file string) []circuits.Reading {
	var out []circuits.Reading
	for i, s := range c.Found.States {
		if !j.Intermittent || len(out) == mostOthers {
			break
		}
		if i == low || i == high || c.Roles[i] != There {
			continue
		}
		r := c.Reading
		r.Taken = true
		c.single(j, &r, i)
		r.Note = fmt.Sprintf("recorded in %s: %s s at this level", file, number(s.Seconds))
		out = append(out, r)
	}
	return out
}

// single is a reading of one level.
func (c *Channel) single(j *circuits.Job, r *circuits.Reading, state int) {
	r.Value = shown(c.Found.States[state].Level)
	r.High = r.Value
	if c.over(j, r.Value) {
		r.OL, r.Value, r.High = true, j.Meter.MaxOhms, j.Meter.MaxOhms
	}
	if j.Intermittent {
		switch c.Roles[state] {
		case Away:
			r.Symptom = circuits.SymptomAway
		case There:
			r.Symptom = circuits.SymptomThere
		}
	}
}

// withoutEffect are readings of places that were moved while no channel jumped: weak evidence against them. Only a job whose
// symptom comes and goes has a use for them.
func (l *Log) withoutEffect(j *circuits.Job, file string) []circuits.Reading {
	var out []circuits.Reading
	if !j.Intermittent || len(l.Channels) == 0 || len(l.Channels[0].Found.States) == 0 {
		return nil
	}
	c := &l.Channels[0]
	state, _, ok := c.levels()
	if !ok {
		return nil
	}
	for i, role := range c.Roles {
		if role == Away {
			state = i
		}
	}
	for _, f := range l.Follow {
		if f.Met > 0 {
			continue
		}
		r := c.Reading
		r.Taken, r.Wiggle = true, f.Place
		c.single(j, &r, state)
		r.Note = fmt.Sprintf("recorded in %s: moved for %s s in all without a jump", file, number(f.Seconds))
		out = append(out, r)
	}
	return out
}

// With is a job with readings added.
func With(j *circuits.Job, more []circuits.Reading) *circuits.Job {
	out := *j
	out.Readings = append(append([]circuits.Reading(nil), j.Readings...), more...)
	return &out
}

// Rank weighs a job's faults with the recording among its readings.
func (l *Log) Rank(j *circuits.Job, file string) rank.Ranking {
	return rank.Rank(With(j, l.Readings(j, file)))
}

// shown keeps four digits behind the point for volts of a mean, fewer for larger values: what a job file would hold.
func shown(v float64) float64 {
	digits := 4
	if a := math.Abs(v); a >= 100 {
		digits = 1
	}
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'f', digits, 64), 64)
	return out + 0 // no -0
}

// number keeps three digits.
func number(v float64) string {
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strconv.FormatFloat(out, 'f', -1, 64)
}

func jumps(n int) string {
	if n == 1 {
		return "1 jump"
	}
	return strconv.Itoa(n) + " jumps"
}
