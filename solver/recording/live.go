package recording

import (
	"math"
	"slices"
)

// Live tells at once when a value leaves its level. It is a two-sided cumulative sum (Page, Biometrika 41, 1954) of the
// distance from the level in standard deviations of the noise, less an allowance of half the least jump of LeastNoises; it
// sounds beyond 4. By Siegmund's approximation (Sequential Analysis, 1985; liveRun) it then runs 59 million samples of
// normal noise on average to a false alarm: sixty-eight days at ten samples a second. A change of six standard deviations
// sounds at its first sample, one of four at its third.
type Live struct {
	step, least float64
	learning    []float64
	noise       float64
	level       float64
	up, down    float64
	settled     float64 // samples that the level rests on
}

const (
	liveAllowance = LeastNoises / 2.0
	liveLimit     = 4
	// LiveLearns is how many samples it takes to know a level and its noise at the beginning.
	LiveLearns = 40
	// liveFollow is the share of each sample in the level, so that a slow drift does not add up: one over it samples long.
	liveFollow = 0.02
	// liveSettles is how many samples after a jump are taken for the new level.
	liveSettles = 3
)

// NewLive makes a detector for a value that is written in steps of step and whose jumps are at least least in size.
func NewLive(step, least float64) *Live { return &Live{step: step, least: least} }

// Change is a jump as it is heard: from a level to a value.
type Change struct{ Before, After float64 }

// Learning tells whether it is still learning the noise.
func (l *Live) Learning() bool { return l.noise == 0 }

// Level is the level that the value keeps to now.
func (l *Live) Level() float64 { return l.level }

// Add takes a sample and tells whether the value has jumped.
func (l *Live) Add(v float64) (Change, bool) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Change{}, false
	}
	if l.Learning() {
		l.learn(v)
		return Change{}, false
	}
	d := (v - l.level) / l.noise
	l.up, l.down = max(0, l.up+d-liveAllowance), max(0, l.down-d-liveAllowance)
	if l.up > liveLimit || l.down > liveLimit {
		c := Change{Before: l.level, After: v}
		l.level, l.up, l.down, l.settled = v, 0, 0, 1
		return c, true
	}
	if l.up == 0 && l.down == 0 || l.settled < liveSettles {
		l.settled++
		l.level += max(liveFollow, 1/l.settled) * (v - l.level)
	}
	return Change{}, false
}

// learn takes the first samples; the noise comes from their differences, so that a jump among them hardly counts.
func (l *Live) learn(v float64) {
	l.learning = append(l.learning, v)
	if len(l.learning) < LiveLearns {
		return
	}
	n := noiseOf(l.learning, l.step)
	l.noise = max(n.SD*math.Sqrt(n.Held), l.step/2, l.least/LeastNoises)
	last := l.learning[LiveLearns/2:]
	slices.Sort(last)
	l.level, l.settled = quantile(last, 0.5), LiveLearns/2
	l.learning = nil
}
