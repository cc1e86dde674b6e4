package levels

import (
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/recording"
)

// Channel is one recorded value: where it was read, and what the recording shows.
type Channel struct {
	Name    string           // of its column
	Reading circuits.Reading // as a planned one
	Found   recording.Found
	Healthy evidence.Expectation
	Roles   []Role // by state of Found
	// Doubt says why no level is called the healthy one, "" where one is or where there is only one level.
	Doubt string
}

// Role is what a level means.
type Role string

// The roles of a level.
const (
	Away    Role = "away"    // what a healthy circuit shows
	There   Role = "there"   // what no healthy circuit shows
	Unclear Role = "unclear" // cannot be told
	Moving  Role = "moving"  // no level: the value moves without jumping, or is all noise
)

// LeastSamples is how many samples it takes to speak of levels at all.
const LeastSamples = 8

// movingNoises is how many times the noise the samples of a level may stray, drift included, before it is no level.
const movingNoises = 3

// noisyShare is the share of what can be read at all that the noise may be before a value holds no level.
const noisyShare = 0.05

// noisy tells whether volts are so noisy that their mean says nothing of the circuit.
func noisy(j *circuits.Job, r circuits.Reading, noise float64) bool {
	switch r.Quantity {
	case circuits.ScanVolts:
		if pin := j.Circuit.Pin(r.Point()); pin != nil {
			return noise > noisyShare*(pin.RangeVolts[1]-pin.RangeVolts[0])
		}
	case circuits.Volts:
		return noise > noisyShare*j.Circuit.Battery.RunningVolts
	}
	return false
}

// NewChannel gives the levels of a recorded value their meaning.
func NewChannel(j *circuits.Job, name string, r circuits.Reading, found recording.Found) Channel {
	c := Channel{Name: name, Reading: r, Found: found, Healthy: evidence.Expect(j, r, circuits.Fault{})}
	var healthy []int
	steady := 0
	for i, s := range found.States {
		c.Roles = append(c.Roles, There)
		if found.Samples < LeastSamples || s.SD > max(movingNoises*s.Noise, bound(j, r, s.Level)) || noisy(j, r, s.Noise) {
			c.Roles[i] = Moving
			continue
		}
		steady++
		if c.fits(j, c.Healthy, s.Level) {
			healthy = append(healthy, i)
		}
	}
	switch {
	case len(healthy) == 1:
		c.Roles[healthy[0]] = Away
	case len(healthy) == 0:
		if steady > 1 { // which of them is the symptom cannot be told
			for i, role := range c.Roles {
				if role == There {
					c.Roles[i] = Unclear
				}
			}
			c.Doubt = "none of its levels is one of a healthy circuit as the job describes it"
		}
	default:
		for _, i := range healthy {
			c.Roles[i] = Unclear
		}
		c.Doubt = "more than one of its levels can be read with nothing wrong, if what the sensor senses changed meanwhile"
	}
	return c
}

// Moves tells whether the value moved without jumping for some of the time, and by how much: one standard deviation.
func (c *Channel) Moves() (sd float64, moves bool) {
	for i, role := range c.Roles {
		if role == Moving && c.Found.Samples >= LeastSamples {
			sd, moves = max(sd, c.Found.States[i].SD), true
		}
	}
	return sd, moves
}

// bound is how far a level may be read off: the meter's bound, or a module's step.
func bound(j *circuits.Job, r circuits.Reading, level float64) float64 {
	if r.Quantity == circuits.ScanVolts {
		if pin := j.Circuit.Pin(r.Point()); pin != nil {
			return pin.StepVolts()
		}
	}
	return j.Meter.Accuracy(r.Quantity).Bound(level)
}

// fits tells whether a level is among what is expected, the meter's bound included.
func (c *Channel) fits(j *circuits.Job, e evidence.Expectation, level float64) bool {
	if c.over(j, level) {
		return e.CanBeOL
	}
	b := bound(j, c.Reading, level)
	return level >= e.Low-b && level <= e.High+b
}

// over tells whether a level is beyond the meter's range.
func (c *Channel) over(j *circuits.Job, level float64) bool {
	return c.Reading.Quantity == circuits.Ohms && level >= 0.99*j.Meter.MaxOhms
}

// Span is a time.
type Span struct{ From, To float64 }

// There are the times at which the symptom was there: adjoining stretches at levels that no healthy circuit shows. unclear
// are those of levels of which that cannot be told.
func (c *Channel) There() (there, unclear []Span) {
	for i, s := range c.Found.Stretches {
		span := Span{s.From, s.To}
		if i+1 < len(c.Found.Stretches) {
			next := c.Found.Stretches[i+1].From
			if next-s.To < 5*c.Found.Interval {
				span.To = next
			}
		}
		to := &there
		switch c.Roles[s.State] {
		case Away:
			continue
		case Unclear, Moving:
			to = &unclear
		}
		if n := len(*to); n > 0 && (*to)[n-1].To == span.From {
			(*to)[n-1].To = span.To
			continue
		}
		*to = append(*to, span)
	}
	return there, unclear
}

// Seconds adds spans up.
func Seconds(spans []Span) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += s.To - s.From
	}
	return sum
}

// Log is a whole recording with its marks.
type Log struct {
	Channels []Channel
	Marks    []recording.Mark
	First    float64 // times of the first and the last sample of all channels
	Last     float64
	Jumps    []float64 // times of the jumps and spikes of all channels; those of several within one sample count once
	Follow   []recording.Following
}

// NewLog holds the jumps of all channels against the marks.
func NewLog(channels []Channel, marks []recording.Mark) Log {
	l := Log{Channels: channels, Marks: marks, First: math.Inf(1), Last: math.Inf(-1)}
	interval := 0.0
	for _, c := range channels {
		l.First, l.Last = min(l.First, c.Found.First), max(l.Last, c.Found.Last)
		interval = max(interval, c.Found.Interval)
		for _, j := range c.Found.Jumps {
			l.Jumps = append(l.Jumps, j.At())
		}
		for _, s := range c.Found.Spikes {
			l.Jumps = append(l.Jumps, s.At)
		}
	}
	sort.Float64s(l.Jumps)
	kept := l.Jumps[:0]
	for _, t := range l.Jumps {
		if len(kept) == 0 || len(channels) == 1 || t-kept[len(kept)-1] > interval {
			kept = append(kept, t)
		}
	}
	l.Jumps = kept
	if len(marks) > 0 {
		l.Follow = recording.Follow(l.Jumps, marks, l.First, l.Last)
	}
	return l
}

// Moved is the one place whose movements the jumps follow, "" where none is named. Where several are, the least likely by
// chance is.
func (l *Log) Moved() string {
	best, least := "", recording.FalseAlarm
	for _, f := range l.Follow {
		if f.Follows() && (f.ByChance < least || best == "") {
			best, least = f.Place, f.ByChance
		}
	}
	return best
}
