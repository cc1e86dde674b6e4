package view

import (
	"math"

	"ohmtrail/solver/levels"
	"ohmtrail/solver/recording"
)

// LoggedJSON is the answer to `log` for programs. Times are in seconds, as in the file; values in volts, ohms or amperes.
type LoggedJSON struct {
	File     string          `json:"file"`
	Answer   []string        `json:"answer"`
	Notes    []string        `json:"notes"`
	Clock    string          `json:"clock,omitempty"`
	Channels []ChannelJSON   `json:"channels"`
	Marks    []MarkJSON      `json:"marks"`
	Follow   []FollowJSON    `json:"moved"`
	Named    string          `json:"follows"`          // the place that the jumps follow, "" where none is named
	False    float64         `json:"false_alarm_rate"` // over all places, of jumps at moments of their own
	Spells   float64         `json:"spell_alarm_rate"` // for each place, of jumps in spells
	Readings []ReadingJSON   `json:"readings"`         // what the recording comes to
	Written  int             `json:"written"`
	Seen     []SeenJSON      `json:"dropouts_seen"`
	Ranking  RankedJSON      `json:"ranking"`
	Ohms     []OhmsCurveJSON `json:"ohms"`
}

// ChannelJSON is one recorded value.
type ChannelJSON struct {
	Column   string      `json:"column"`
	At       string      `json:"at"`
	Quantity string      `json:"quantity"`
	First    float64     `json:"first"`
	Last     float64     `json:"last"`
	Samples  int64       `json:"samples"`
	Missing  int64       `json:"missing"`
	Interval float64     `json:"interval"`
	Noise    float64     `json:"noise"` // one standard deviation
	Least    float64     `json:"least_jump"`
	Levels   []LevelJSON `json:"levels"`
	There    []SpanJSON  `json:"symptom_there"`
	Unclear  []SpanJSON  `json:"symptom_unclear"`
	Doubt    string      `json:"doubt,omitempty"`
	Jumps    []JumpJSON  `json:"jumps"`
	Spikes   []SpikeJSON `json:"spikes"`
	Shifts   int         `json:"small_changes"`
	Gaps     []GapJSON   `json:"gaps"`
	Overflow bool        `json:"overflow,omitempty"`
}

// LevelJSON is a level that the value keeps coming back to.
type LevelJSON struct {
	Value     Amount  `json:"value"`
	Seconds   float64 `json:"seconds"`
	Stretches int     `json:"stretches"`
	Meaning   string  `json:"meaning"` // away | there | unclear
}

// SpanJSON is a time.
type SpanJSON struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// JumpJSON lies between two samples.
type JumpJSON struct {
	After  float64  `json:"after"`
	Before float64  `json:"before"`
	From   Amount   `json:"from"`
	To     Amount   `json:"to"`
	Moved  []string `json:"moved"`
}

// SpikeJSON is an excursion of one or two samples.
type SpikeJSON struct {
	At      float64  `json:"at"`
	Samples int64    `json:"samples"`
	Value   Amount   `json:"value"`
	Around  Amount   `json:"around"`
	Moved   []string `json:"moved"`
}

// GapJSON is a time without values.
type GapJSON struct {
	From   float64 `json:"from"`
	To     float64 `json:"to"`
	Before Amount  `json:"before"`
	After  Amount  `json:"after"`
}

// MarkJSON is a movement.
type MarkJSON struct {
	Place string  `json:"place"`
	From  float64 `json:"from"`
	To    float64 `json:"to"`
}

// FollowJSON is a place's movements against chance.
type FollowJSON struct {
	Place     string  `json:"place"`
	Movements int     `json:"movements"`
	Seconds   float64 `json:"seconds"`
	Met       int     `json:"met_a_jump"`
	Bursts    int     `json:"bursts"`        // of jumps, in the whole recording
	Within    int     `json:"bursts_within"` // wholly within a movement of the place
	Expected  float64 `json:"bursts_by_chance"`
	Around    int     `json:"bursts_around"` // in its movements and the rests around them
	ByChance  float64 `json:"probability_by_chance"`
	Corrected float64 `json:"corrected"` // for the number of places
	BySpells  float64 `json:"probability_in_spells"`
	Odds      float64 `json:"odds"`
	Follows   bool    `json:"follows"`
	Needed    int     `json:"movements_needed"`
}

// SeenJSON is the chance that a dropout is seen.
type SeenJSON struct {
	Seconds float64 `json:"seconds"`
	Chance  float64 `json:"chance"`
}

// OhmsCurveJSON is the leading fault's resistance over time, by one channel.
type OhmsCurveJSON struct {
	Fault   string       `json:"fault"`
	Channel string       `json:"at"`
	Over    []OhmsAtJSON `json:"over"`
}

// OhmsAtJSON is a resistance during a stretch; null where the level does not tell it.
type OhmsAtJSON struct {
	From  float64 `json:"from"`
	To    float64 `json:"to"`
	Level Amount  `json:"level"`
	Best  *Amount `json:"best"`
	Low   *Amount `json:"low"`
	High  *Amount `json:"high"` // "OL" where an open would do too
}

// dropouts are the lengths, in sampling intervals, whose chances the answer tells.
var dropouts = []float64{0.05, 0.1, 0.2, 0.5, 1}

// JSON is the contract's form.
func (v Logged) JSON() LoggedJSON {
	out := LoggedJSON{File: v.File, Answer: []string{}, Notes: []string{}, Clock: v.Clock, Channels: []ChannelJSON{}, Marks: []MarkJSON{}, Follow: []FollowJSON{},
		Named: v.Log.Moved(), False: recording.FalseAlarm, Spells: recording.SpellAlarm, Readings: []ReadingJSON{}, Written: v.Written, Seen: []SeenJSON{},
		Ranking: Ranked{Ranking: v.Ranking}.JSON(), Ohms: []OhmsCurveJSON{}}
	for _, s := range v.Answer() {
		out.Answer = append(out.Answer, spaced(s))
	}
	for _, s := range v.Notes {
		out.Notes = append(out.Notes, spaced(s))
	}
	for i := range v.Log.Channels {
		out.Channels = append(out.Channels, v.channelJSON(&v.Log.Channels[i]))
	}
	for _, m := range v.Log.Marks {
		out.Marks = append(out.Marks, MarkJSON(m))
	}
	for _, f := range v.Log.Follow {
		out.Follow = append(out.Follow, FollowJSON{f.Place, f.Movements, f.Seconds, f.Met, f.Bursts, f.Within, f.Expected, f.Around, f.ByChance, f.Corrected, f.BySpells, f.Odds, f.Follows(), f.Needed})
	}
	j := v.Ranking.Job
	for _, r := range v.Log.Readings(j, v.File) {
		out.Readings = append(out.Readings, readingJSON(j.Circuit, r))
	}
	if interval := v.interval(); interval > 0 {
		for _, share := range dropouts {
			out.Seen = append(out.Seen, SeenJSON{share * interval, recording.SeenChance(share*interval, interval)})
		}
	}
	for i, ohms := range v.Ohms {
		if len(ohms) > 0 {
			out.Ohms = append(out.Ohms, OhmsCurveJSON{Fault: v.Lead.Name(), Channel: v.Log.Channels[i].Reading.At.String(), Over: ohmsJSON(ohms)})
		}
	}
	return out
}

func ohmsJSON(ohms []levels.OhmsAt) []OhmsAtJSON {
	var out []OhmsAtJSON
	for _, o := range ohms {
		x := OhmsAtJSON{From: o.From, To: o.To, Level: Amount(o.Level)}
		if o.Known {
			low, high := Amount(o.Low), Amount(o.High)
			x.Low, x.High = &low, &high
			if best := Amount(o.Best); o.Best > 0 {
				x.Best = &best
			}
		}
		out = append(out, x)
	}
	return out
}

func (v Logged) channelJSON(c *levels.Channel) ChannelJSON {
	f := &c.Found
	out := ChannelJSON{Column: c.Name, At: c.Reading.At.String(), Quantity: string(c.Reading.Quantity), First: f.First, Last: f.Last, Samples: f.Samples, Missing: f.Missing,
		Interval: f.Interval, Noise: f.Noise, Least: least(c), Levels: []LevelJSON{}, Jumps: []JumpJSON{}, Spikes: []SpikeJSON{}, Gaps: []GapJSON{}, Doubt: c.Doubt,
		Shifts: f.ShiftCount, Overflow: f.Overflow}
	level := func(x float64) Amount {
		if v.level(c, x) == "OL" {
			return Amount(math.Inf(1))
		}
		return Amount(x)
	}
	for i, s := range f.States {
		out.Levels = append(out.Levels, LevelJSON{level(s.Level), s.Seconds, s.Stretches, string(c.Roles[i])})
	}
	there, unclear := c.There()
	out.There, out.Unclear = spansJSON(there), spansJSON(unclear)
	moved := func(t float64) []string { return append([]string{}, v.moved(t)...) }
	for _, j := range f.Jumps {
		out.Jumps = append(out.Jumps, JumpJSON{j.From, j.To, level(j.Before), level(j.After), moved(j.At())})
	}
	for _, s := range f.Spikes {
		out.Spikes = append(out.Spikes, SpikeJSON{s.At, s.Samples, level(s.Level), level(s.Around), moved(s.At)})
	}
	for _, g := range f.Gaps {
		out.Gaps = append(out.Gaps, GapJSON{g.From, g.To, level(g.Before), level(g.After)})
	}
	return out
}

func spansJSON(spans []levels.Span) []SpanJSON {
	out := []SpanJSON{}
	for _, s := range spans {
		out = append(out, SpanJSON(s))
	}
	return out
}
