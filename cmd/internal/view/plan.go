package view

import (
	"fmt"
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Planned is what to do next on a job.
type Planned struct {
	Ranking rank.Ranking
	Plan    plan.Plan
	Advice  []string
	Before  []rank.PlaceOdds // the places before the last reading, for the text; nil where that is not asked
}

// PlannedJSON is the contract's answer to `next`, with more.
type PlannedJSON struct {
	Done        bool             `json:"done"`
	Reason      string           `json:"reason"`
	Suggestions []SuggestionJSON `json:"suggestions"` // best first
	Remaining   []RemainingJSON  `json:"remaining"`   // likeliest first
	Advice      []string         `json:"advice"`
	Cautions    []string         `json:"cautions"`
}

// SuggestionJSON is a reading worth taking.
type SuggestionJSON struct {
	Reading  PlannedReadingJSON `json:"reading"`
	Quantity circuits.Quantity  `json:"quantity"`
	GainBits float64            `json:"gain_bits"`
	Minutes  float64            `json:"minutes"`
	Saves    float64            `json:"saves_minutes"` // expected minutes of wrong repairs that it saves
	Confirms bool               `json:"confirms"`      // it would show the opposite if the leading place were not the one
	Says     string             `json:"says"`
	Undo     *UndoJSON          `json:"undo,omitempty"` // what is taken back first; none where nothing is
	Cautions []string           `json:"cautions"`
	Outcomes []OutcomeJSON      `json:"outcomes"` // likeliest first
}

// PlannedReadingJSON is a reading without a value, in the words of a job file.
type PlannedReadingJSON struct {
	At        string             `json:"at"`
	To        string             `json:"to,omitempty"` // none for amps and scan_volts
	Quantity  circuits.Quantity  `json:"quantity"`
	Key       circuits.Key       `json:"key"`
	Unplugged []string           `json:"unplugged,omitempty"`
	Jumper    [][2]string        `json:"jumper,omitempty"`
	Load      []LoadJSON         `json:"load,omitempty"`
	Set       map[string]float64 `json:"set,omitempty"`
	Wiggle    string             `json:"wiggle,omitempty"`
}

// LoadJSON is a test load between two points.
type LoadJSON struct {
	From string  `json:"from"`
	To   string  `json:"to"`
	Ohms float64 `json:"ohms"`
}

// OutcomeJSON is a range in which a reading may come out. Where Outcome is not "value" its ends are "OL" or null.
type OutcomeJSON struct {
	Outcome     string   `json:"outcome"` // value, OL, none, lowest, highest (the ends of what the module reports); jumps, stays (while a place is moved)
	Low         Amount   `json:"low"`
	High        Amount   `json:"high"`
	Probability float64  `json:"probability"`
	FaultGroups []string `json:"fault_groups"` // the likeliest fault of each place that it speaks for
	Places      []string `json:"places"`
	Says        string   `json:"says"`
}

// RemainingJSON is a place to repair that the readings leave.
type RemainingJSON struct {
	Place       string  `json:"place"`
	Probability float64 `json:"probability"`
	Leading     string  `json:"leading"` // its likeliest fault
}

// JSON is the contract's form, with at most top suggestions (all for 0).
func (v Planned) JSON(top int) PlannedJSON {
	job := v.Ranking.Job
	left := job.Left()
	out := PlannedJSON{Done: v.Plan.Done, Reason: Reason(&v.Ranking, v.Plan), Suggestions: []SuggestionJSON{}, Remaining: []RemainingJSON{},
		Advice: texts(v.Advice), Cautions: texts(Cautions(job))}
	for i, s := range v.Plan.Suggestions {
		if top > 0 && i == top {
			break
		}
		one := SuggestionJSON{Reading: plannedReadingJSON(s.Reading), Quantity: s.Reading.Quantity, GainBits: s.GainBits, Minutes: s.Minutes,
			Saves: s.Saves, Confirms: s.Confirms, Says: spaced(Instruction(job.Circuit, left, s.Reading)),
			Undo: undoJSON(job.Circuit, left, s.Reading), Cautions: texts(ReadingCautions(job.Circuit, s.Reading)), Outcomes: []OutcomeJSON{}}
		for _, o := range s.Outcomes {
			one.Outcomes = append(one.Outcomes, v.outcomeJSON(s, o))
		}
		out.Suggestions = append(out.Suggestions, one)
	}
	for _, p := range v.Plan.Remaining {
		out.Remaining = append(out.Remaining, RemainingJSON{p.Place.String(), p.Probability, p.Leading.String()})
	}
	return out
}

func (v Planned) outcomeJSON(s plan.Suggestion, o plan.OutcomeBand) OutcomeJSON {
	out := OutcomeJSON{Outcome: outcomeWord(o), Probability: o.Probability, FaultGroups: names(o.Faults), Places: names(o.Places),
		Says: spaced(v.outcome(s, o))}
	low, high := v.ends(s.Reading, o)
	switch out.Outcome {
	case "value":
	case "OL":
		low, high = math.Inf(1), math.Inf(1)
	default:
		low, high = math.NaN(), math.NaN()
	}
	out.Low, out.High = Amount(low), Amount(high)
	return out
}

// ends are the ends of an outcome's range in the reading's own unit; ohms are planned by their logarithm. A module
// reports nothing beyond its range.
func (v Planned) ends(r circuits.Reading, o plan.OutcomeBand) (low, high float64) {
	low, high = o.Low, o.High
	switch r.Quantity {
	case circuits.Ohms:
		return math.Exp(low), math.Exp(high)
	case circuits.ScanVolts:
		if pin := v.Ranking.Job.Circuit.Pin(r.Point()); pin != nil {
			return max(low, pin.RangeVolts[0]), min(high, pin.RangeVolts[1])
		}
	}
	return low, high
}

func plannedReadingJSON(r circuits.Reading) PlannedReadingJSON {
	out := PlannedReadingJSON{At: r.At.String(), Quantity: r.Quantity, Key: r.State.Key, Unplugged: r.State.Unplugged, Wiggle: r.Wiggle}
	if r.Quantity == circuits.Volts || r.Quantity == circuits.Ohms {
		out.To = r.To.String()
	}
	for _, j := range r.State.Jumpers {
		out.Jumper = append(out.Jumper, [2]string{j[0].String(), j[1].String()})
	}
	for _, l := range r.State.Loads {
		out.Load = append(out.Load, LoadJSON{l.From.String(), l.To.String(), l.Ohms})
	}
	for _, s := range r.State.Set {
		if out.Set == nil {
			out.Set = map[string]float64{}
		}
		out.Set[s.Device] = s.Set
	}
	return out
}

// texts is a list that the JSON shows as [] where it is empty.
// names are the names of places or faults.
func names[T fmt.Stringer](list []T) []string {
	out := []string{}
	for _, x := range list {
		out = append(out, x.String())
	}
	return out
}

func texts(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}
