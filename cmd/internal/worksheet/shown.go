package worksheet

import (
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// MeterRule says how the numbers of a sheet are rounded.
func MeterRule() string { return say("key.meter") }

// nbsp holds a number to its unit where lines are broken.
const nbsp = "\u00a0"

// threeDecimals is the range of a meter of 6000 counts up to which it has three decimals, in volts.
const threeDecimals = 6

// Rounded is a voltage as a meter of four digits shows it.
func Rounded(volts float64) float64 {
	scale := 1000.0
	if math.Abs(volts) >= threeDecimals-0.0005 {
		scale = 100
	}
	v := math.Round(volts*scale) / scale
	if v == 0 {
		return 0 // no -0
	}
	return v
}

// Volts prints a voltage as a meter of four digits shows it.
func Volts(volts float64) string {
	v := Rounded(volts)
	decimals := 3
	if math.Abs(v) >= threeDecimals {
		decimals = 2
	}
	return strconv.FormatFloat(v, 'f', decimals, 64) + nbsp + "V"
}

// Cell is what one test point shows: a number, or why there is none.
type Cell struct {
	evidence.Expectation
	Shown    string  // as the meter shows it
	From, To float64 // what is marked as right; NaN where there is no value
}

// leastAccepted is the least that a predicted voltage may be off and still counts as right, in volts (ours: a student
// reckons by hand with two or three digits).
const leastAccepted = 0.05

func cell(j *circuits.Job, r circuits.Reading, f circuits.Fault) Cell {
	c := Cell{Expectation: evidence.Expect(j, r, f), From: math.NaN(), To: math.NaN()}
	switch {
	case c.floats():
		c.Shown = say("floats")
	case c.unsteady():
		c.Shown = say("unsteady")
	default:
		c.Shown = Volts(c.Value)
		bound := j.Meter.Accuracy(r.Quantity).Bound(c.Value)
		c.From = min(c.Low-bound, c.Value-leastAccepted)
		c.To = max(c.High+bound, c.Value+leastAccepted)
	}
	return c
}

// floats tells whether nothing holds the copper.
func (c Cell) floats() bool { return c.Status == network.NoValue && c.Why.Kind == network.Floating }

// unsteady tells whether there is no one value.
func (c Cell) unsteady() bool { return c.Status == network.NoValue && c.Why.Kind != network.Floating }

// Accepted says what is marked as right.
func (c Cell) Accepted() string {
	if math.IsNaN(c.From) {
		return say("in_words")
	}
	return span(c.From, c.To)
}

// span is two voltages with one unit.
func span(low, high float64) string {
	return say("to", "low", strings.TrimSuffix(Volts(low), nbsp+"V"), "high", Volts(high))
}

// read is what a meter of four digits shows of an expectation: the reading with its value; ok is false where there is
// none.
func read(j *circuits.Job, r circuits.Reading, f circuits.Fault) (out circuits.Reading, ok bool) {
	e := evidence.Expect(j, r, f)
	r.Taken = true
	switch {
	case e.Status == network.NoValue:
		return r, false
	case e.Status == network.OverRange:
		r.OL, r.Value, r.High = true, j.Meter.MaxOhms, j.Meter.MaxOhms
		return r, true
	case r.Quantity == circuits.Ohms || r.Quantity == circuits.Amps:
		r.Value = digits(e.Value, 4)
	default:
		r.Value = Rounded(e.Value)
	}
	r.High = r.Value
	return r, true
}

// digits keeps so many digits of a value.
func digits(v float64, n int) float64 {
	out, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', n, 64), 64)
	return out
}

// shown prints what a reading showed.
func shown(r circuits.Reading) string {
	switch {
	case r.OL:
		return say("ol")
	case r.Quantity == circuits.Volts || r.Quantity == circuits.ScanVolts:
		return Volts(r.Value)
	}
	return held(models.SI(r.Value, r.Quantity.Unit()))
}

// predicted prints what a fault predicts for a reading.
func predicted(r circuits.Reading, v float64) string {
	r.Value, r.OL = v, math.IsInf(v, 1)
	return shown(r)
}

func held(s string) string { return strings.ReplaceAll(s, " ", nbsp) }

// readingWords are a reading's leads and conditions.
func readingWords(c *circuits.Circuit, r circuits.Reading) string {
	out := view.Where(r)
	switch r.Quantity {
	case circuits.Volts:
		out = say("reading.volts", "where", out)
	case circuits.ScanVolts:
		out = say("reading.scan", "pin", r.At.String())
	}
	if w := view.Conditions(c, r); w != "" {
		out += ", " + w
	}
	return out
}
