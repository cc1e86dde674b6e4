package view

import (
	"bytes"
	"encoding/json"
	"math"

	"ohmtrail/circuits"
)

// Amount is a number as the JSON shows it: NaN is null (there is no value), +Inf is "OL".
type Amount float64

// MarshalJSON writes a number, "OL" or null.
func (a Amount) MarshalJSON() ([]byte, error) {
	switch v := float64(a); {
	case math.IsNaN(v), math.IsInf(v, -1):
		return []byte("null"), nil
	case math.IsInf(v, 1):
		return []byte(`"OL"`), nil
	default:
		return json.Marshal(v)
	}
}

// ReadingJSON is a reading's place among the readings of its job, and what it showed.
type ReadingJSON struct {
	At       string            `json:"at"`
	To       string            `json:"to"`
	Quantity circuits.Quantity `json:"quantity"`
	Taken    bool              `json:"taken"`
	Value    *Amount           `json:"value,omitempty"` // the value read, or the lower of the two seen
	High     *Amount           `json:"high,omitempty"`  // the higher of two
	When     string            `json:"when,omitempty"`  // the state in words
	Note     string            `json:"note,omitempty"`
}

// ReadingOf is a reading as every answer shows it.
func ReadingOf(c *circuits.Circuit, r circuits.Reading) ReadingJSON { return readingJSON(c, r) }

// PlannedOf is a reading without its value, in the words of a job file.
func PlannedOf(r circuits.Reading) PlannedReadingJSON { return plannedReadingJSON(r) }

func readingJSON(c *circuits.Circuit, r circuits.Reading) ReadingJSON {
	out := ReadingJSON{At: r.At.String(), To: r.To.String(), Quantity: r.Quantity, Taken: r.Taken, When: spaced(Conditions(c, r)), Note: r.Note}
	if !r.Taken {
		return out
	}
	low, high := Amount(r.Value), Amount(r.High)
	if r.OL {
		high = Amount(math.Inf(1))
		if !r.Pair {
			low = high
		}
	}
	out.Value = &low
	if r.Pair {
		out.High = &high
	}
	return out
}

// JSON writes a value as programs read it: one line an object where it is short, no letters escaped for HTML.
func JSON(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
