package view

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/levels"
	"ohmtrail/solver/recording"
)

// Logged is what a recording came to, and what of it is not the solver's.
type Logged struct {
	levels.Weighed
	File    string
	Notes   []string // what was odd about the file, as sentences
	Clock   string   // how the first time was written, where times count from there; "" where they are the file's own
	Written int      // readings written into the job
}

// interval is the longest usual time between two samples of any channel.
func (v Logged) interval() float64 {
	out := 0.0
	for _, c := range v.Log.Channels {
		out = max(out, c.Found.Interval)
	}
	return out
}

// seconds prints times of one recording alike: as fine as its samples come.
type seconds struct{ decimals int }

func secondsOf(interval float64) seconds {
	if interval <= 0 {
		return seconds{1}
	}
	return seconds{min(max(int(math.Ceil(-math.Log10(interval)-0.01)), 0), 9)}
}

func (s seconds) at(t float64) string { return strconv.FormatFloat(t, 'f', s.decimals, 64) }

// long prints a length of time.
func long(seconds float64) string {
	switch {
	case seconds >= 7200:
		return plainNumber(round3(seconds/3600)) + nbsp + "h"
	case seconds >= 600:
		return plainNumber(round3(seconds/60)) + nbsp + "min"
	case seconds >= 1 || seconds == 0:
		return plainNumber(round3(seconds)) + nbsp + "s"
	}
	return held(models.SI(seconds, "s"))
}

func round3(v float64) float64 {
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return out
}

// oneIn says a small probability as the number of times in which it happens once.
func oneIn(p float64) string {
	switch {
	case p >= 0.5:
		return Percent(p)
	case p < 1e-6:
		return "less than 1 in 1 000 000"
	}
	return "1 in " + grouped(1/p)
}

// grouped rounds to two digits and parts thousands.
func grouped(v float64) string {
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	s := strconv.FormatFloat(out, 'f', -1, 64)
	if at := strings.IndexByte(s, '.'); at >= 0 {
		return s
	}
	for at := len(s) - 3; at > 0; at -= 3 {
		s = s[:at] + nbsp + s[at:]
	}
	return s
}

// levelWords say what a level means.
func levelWords(role levels.Role) string {
	switch role {
	case levels.Away:
		return "healthy"
	case levels.There:
		return "not healthy"
	case levels.Moving:
		return "moves: no level"
	}
	return "not decided"
}

// between is a range of values.
func between(q circuits.Quantity, e evidence.Expectation) string {
	switch {
	case math.IsNaN(e.Low):
		if e.CanBeOL {
			return "OL"
		}
		return "no value"
	case Value(q, e.Low) == Value(q, e.High):
		return held(Value(q, e.Low))
	}
	return held(Value(q, e.Low)) + " to" + nbsp + held(Value(q, e.High))
}

// level prints a level; ohms beyond the meter's range are OL.
func (v Logged) level(c *levels.Channel, value float64) string {
	if c.Reading.Quantity == circuits.Ohms && value >= 0.99*v.Ranking.Job.Meter.MaxOhms {
		return "OL"
	}
	return held(Value(c.Reading.Quantity, value))
}

// least is the least jump that would have been called one.
func least(c *levels.Channel) float64 { return recording.LeastNoises * c.Found.Noise }

// ohmsAtWords say a resistance with its bounds.
func ohmsAtWords(o levels.OhmsAt) string {
	si := func(v float64) string { return held(models.SI(v, "Ω")) }
	switch {
	case !o.Known:
		return "not told by this level"
	case o.Low == 0 && math.IsInf(o.High, 1):
		return "any"
	case o.Low == 0:
		return "less than " + si(o.High)
	case math.IsInf(o.High, 1):
		return "more than " + si(o.Low) + ", or open"
	case o.Best > 0:
		return si(o.Best) + " (" + si(o.Low) + " to " + si(o.High) + ")"
	}
	return si(o.Low) + " to " + si(o.High)
}

// moved names the places whose marks hold a time, the slack included.
func (v Logged) moved(t float64) []string {
	var out []string
	for _, m := range v.Log.Marks {
		if t >= m.From-recording.Slack && t <= m.To+recording.Slack {
			out = append(out, m.Place)
		}
	}
	return out
}

// seenWords say which dropouts a recording cannot show.
func (v Logged) seenWords() []string {
	interval := v.interval()
	if interval <= 0 {
		return nil
	}
	short := interval / 5
	chance := recording.SeenChance(short, interval)
	words := fmt.Sprintf("One sample every %s: a dropout of %s is seen once in %s times (%s), one of %s or longer always.", long(interval), long(short),
		grouped(1/chance), Percent(chance), long(interval))
	if !v.Jumped() {
		words += fmt.Sprintf(" Ten dropouts of %s would all be missed with %s: a quiet recording clears nothing that is shorter than its samples are apart.",
			long(short), Percent(recording.MissedAll(short, interval, 10)))
	}
	out := []string{words}
	for _, c := range v.Log.Channels {
		if c.Found.SpikeCount > 0 {
			out = append(out, fmt.Sprintf("A spike of one sample lasted less than %s; how deep it really went is not known, and if they last %s there were about %s for each that was seen.",
				long(2*interval), long(short), grouped(1/chance)))
			break
		}
	}
	return out
}
