package recorded

import "math"

// timeline turns the cells of a time column into seconds that never fall.
type timeline struct {
	scale     float64
	decimal   byte
	clock     clock
	isClock   bool
	clockText string
	hasUnit   bool
	begun     bool
	first     float64 // of a clock or calendar time: 0 is there
	offset    float64 // added since the clock began anew
	last      float64 // as given out
	raw       float64 // as read
	step      float64 // latest distance of two rows
	repeats   int
	resets    Oddity
	disorder  Oddity
}

const (
	halfADay = 43200
	// calendar is a number of seconds, milliseconds, … since 1970 rather than since the beginning of a recording.
	calendar = 3e8
	// disorderSteps is by how many steps a time may fall and still be only a row out of order.
	disorderSteps = 3
)

// read gives the time of a row; ok is false where the cell is no time.
func (t *timeline) read(cell []byte, line int) (float64, bool) {
	v, ok := 0.0, false
	if !t.isClock {
		if v, ok = number(cell, t.decimal); ok {
			v *= t.scale
		}
	}
	if !ok && (t.isClock || !t.begun) {
		if v, ok = t.clock.read(cell, t.decimal); ok {
			t.isClock = true
		}
	}
	if !ok && !t.isClock { // a time with its unit behind it
		if v, ok, _ = value(cell, t.decimal); ok {
			t.hasUnit = true
		}
	}
	if !ok || math.Abs(v) > 1e20 {
		return 0, false
	}
	if !t.begun {
		t.begin(&v, cell)
		return t.last, true
	}
	v = t.scaled(v)
	d := v - t.raw
	if t.isClock && d < -halfADay { // past midnight, with no date to say so
		t.clock.day++
		v += secondsADay
		d += secondsADay
	}
	switch {
	case d > 0:
		t.step = d
	case d == 0:
		t.repeats++
	case -d <= disorderSteps*t.step:
		t.disorder.note(line, cell)
		return t.last, true
	default:
		t.resets.note(line, cell)
		t.offset = t.last + t.step - v
	}
	t.raw = v
	t.last = max(t.last, v+t.offset) // never less by a rounding
	return t.last, true
}

// begin takes the first time. A time of the day or of the calendar counts from there.
func (t *timeline) begin(v *float64, cell []byte) {
	t.begun = true
	if !t.isClock && math.Abs(*v) >= calendar {
		for math.Abs(*v) >= 1e11 { // milliseconds, microseconds or nanoseconds since 1970
			*v /= 1000
			t.scale /= 1000
		}
	}
	if t.isClock || math.Abs(*v) >= calendar {
		t.clockText = plainText(cell)
		t.first = *v
	}
	t.raw = t.scaled(*v)
	t.last = t.raw
}

func (t *timeline) scaled(v float64) float64 { return v - t.first }
