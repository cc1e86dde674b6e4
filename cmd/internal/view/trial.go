package view

import (
	"math"

	"ohmtrail/cmd/internal/tally"
	"ohmtrail/solver/trial"
)

// Tried is what a trial of the reasoning came to.
type Tried struct {
	Circuits []string
	N        int // hidden faults a circuit
	Plan     trial.Setup
	Cases    []trial.Case // by circuit, fault and order
}

// orders are those that a trial compares, ours first.
var orders = []trial.Order{trial.BestPerMinute, trial.HalfSplit, trial.AtRandom}

// Orders are the orders that a trial compares.
func Orders() []trial.Order { return append([]trial.Order(nil), orders...) }

// TriedJSON is the answer to `trial` for programs.
type TriedJSON struct {
	Circuits     []string           `json:"circuits"`
	N            int                `json:"n"`
	Seed         uint64             `json:"seed"`
	Misread      float64            `json:"misread"`
	AsWritten    bool               `json:"as_written"` // else every number is drawn from its width
	Extras       float64            `json:"extras"`     // share of machines with something that no file knows
	Double       bool               `json:"double"`
	Intermittent bool               `json:"intermittent"`
	Orders       []TriedOrderJSON   `json:"orders"`
	MinuteRatio  map[string]Amount  `json:"minute_ratio"` // minutes of ours over those of the other order
	ByCircuit    []TriedCircuitJSON `json:"by_circuit"`
	Cases        []TriedCaseJSON    `json:"cases"`
}

// TriedOrderJSON is what one order came to.
type TriedOrderJSON struct {
	Order          trial.Order     `json:"order"`
	Cases          int             `json:"cases"`
	Group          ShareJSON       `json:"in_leading_group"`
	Three          ShareJSON       `json:"in_leading_three"`
	Place          ShareJSON       `json:"leading_place_right"`
	Found          *ShareJSON      `json:"both_found,omitempty"` // with two faults
	Stopped        ShareJSON       `json:"said_done"`
	Sure           ShareJSON       `json:"sure"` // the leading group has 95 % or more
	SureRight      ShareJSON       `json:"sure_right"`
	Readings       Amount          `json:"mean_readings"`
	Minutes        Amount          `json:"mean_minutes"`
	EntropyBits    Amount          `json:"entropy_bits"` // of the places before any reading
	BitsPerReading Amount          `json:"bits_per_reading"`
	Misread        int             `json:"misread_readings"`
	MisreadJobs    ShareJSON       `json:"jobs_with_misreadings"`
	ByGroup        CalibrationJSON `json:"calibration"`
	ByPlace        CalibrationJSON `json:"place_calibration"`
}

// ShareJSON is a count with its share and 95 % bounds.
type ShareJSON struct {
	Count int    `json:"count"`
	Of    int    `json:"of"`
	Share Amount `json:"share"`
	Low   Amount `json:"low"`
	High  Amount `json:"high"`
}

// CalibrationJSON holds the probabilities said against what came true.
type CalibrationJSON struct {
	Bins  []BinJSON `json:"bins"`
	Error Amount    `json:"error"`
	Brier Amount    `json:"brier"`
}

// BinJSON is the cases whose probability lay between two edges.
type BinJSON struct {
	From  float64   `json:"from"`
	To    float64   `json:"to"`
	Said  Amount    `json:"said"`
	Right ShareJSON `json:"right"`
}

// TriedCircuitJSON is what ours came to on one circuit.
type TriedCircuitJSON struct {
	Circuit  string    `json:"circuit"`
	Group    ShareJSON `json:"in_leading_group"`
	Place    ShareJSON `json:"leading_place_right"`
	Readings Amount    `json:"mean_readings"`
	Minutes  Amount    `json:"mean_minutes"`
}

// TriedCaseJSON is one hidden fault put before one order.
type TriedCaseJSON struct {
	Circuit    string      `json:"circuit"`
	Fault      string      `json:"fault"`
	Order      trial.Order `json:"order"`
	Readings   int         `json:"readings"`
	Minutes    float64     `json:"minutes"`
	Done       bool        `json:"done"`
	Top        float64     `json:"leading_group"`
	TopRight   bool        `json:"in_leading_group"`
	InThree    bool        `json:"in_leading_three"`
	Place      float64     `json:"leading_place"`
	PlaceRight bool        `json:"leading_place_right"`
	Found      bool        `json:"both_found"`
	Misread    int         `json:"misread_readings"`
	Extra      trial.Extra `json:"extra,omitempty"` // what no file knows of the machine
}

func shareJSON(s tally.Share) ShareJSON {
	low, high := s.Interval()
	return ShareJSON{s.Count, s.Of, Amount(s.Value()), Amount(low), Amount(high)}
}

func calibrationJSON(c tally.Calibration) CalibrationJSON {
	out := CalibrationJSON{Error: Amount(c.Error), Brier: Amount(c.Brier)}
	for _, b := range c.Bins {
		out.Bins = append(out.Bins, BinJSON{b.From, b.To, Amount(b.Said), shareJSON(b.Right)})
	}
	return out
}

// finite keeps infinite numbers, which have no place here, from being read as OL.
func finite(v float64) Amount {
	if math.IsInf(v, 0) {
		return Amount(math.NaN())
	}
	return Amount(v)
}

// JSON is the trial for programs.
func (v Tried) JSON() TriedJSON {
	out := TriedJSON{Circuits: v.Circuits, N: v.N, Seed: v.Plan.Seed, Misread: v.Plan.Misread, AsWritten: v.Plan.AsWritten, Extras: v.Plan.Extras, Double: v.Plan.Double, Intermittent: v.Plan.Intermittent,
		MinuteRatio: map[string]Amount{}, Cases: []TriedCaseJSON{}, ByCircuit: []TriedCircuitJSON{}}
	counted := v.counted()
	for i, o := range counted {
		one := TriedOrderJSON{Order: o.Order, Cases: o.Group.Of, Group: shareJSON(o.Group), Three: shareJSON(o.Three), Place: shareJSON(o.Place),
			Stopped: shareJSON(o.Stopped), Sure: shareJSON(o.Sure), SureRight: shareJSON(o.SureRight), Readings: Amount(o.Readings),
			Minutes: Amount(o.Minutes), EntropyBits: Amount(o.EntropyBits), BitsPerReading: finite(o.BitsPerReading), Misread: o.Misread,
			MisreadJobs: shareJSON(o.MisreadJobs), ByGroup: calibrationJSON(o.ByGroup), ByPlace: calibrationJSON(o.ByPlace)}
		if v.Plan.Double {
			found := shareJSON(o.Found)
			one.Found = &found
		}
		out.Orders = append(out.Orders, one)
		if i > 0 {
			out.MinuteRatio[string(o.Order)] = finite(counted[0].Minutes / o.Minutes)
		}
	}
	for _, name := range v.Circuits {
		o := tally.Count(orders[0], tally.Of(name, v.Cases))
		out.ByCircuit = append(out.ByCircuit, TriedCircuitJSON{name, shareJSON(o.Group), shareJSON(o.Place), Amount(o.Readings), Amount(o.Minutes)})
	}
	for _, c := range v.Cases {
		out.Cases = append(out.Cases, TriedCaseJSON{c.Circuit, c.Fault.String(), c.Order, c.Readings, c.Minutes, c.Done, c.Top, c.TopRight, c.InThree,
			c.Place, c.PlaceRight, c.Found, c.Misread, c.Extra})
	}
	return out
}

// counted are the sums of each order.
func (v Tried) counted() []tally.Order {
	var out []tally.Order
	for _, o := range orders {
		out = append(out, tally.Count(o, v.Cases))
	}
	return out
}
