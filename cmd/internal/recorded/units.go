package recorded

import (
	"strings"
	"unicode"
)

// Measure is what a unit measures.
type Measure string

// The measures that a recording of a circuit can hold, and time.
const (
	Seconds Measure = "s"
	Volts   Measure = "V"
	Amps    Measure = "A"
	Ohms    Measure = "Ω"
	Other   Measure = "" // none of these, or none given
)

// Unit is a unit as written, and how many SI units it is.
type Unit struct {
	Text    string
	Measure Measure
	Scale   float64
}

var baseUnits = map[string]Measure{"s": Seconds, "V": Volts, "A": Amps, "Ω": Ohms, "\u2126": Ohms}

var prefixScales = map[string]float64{"": 1, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}

// namedUnits are units in words, in lower case.
var namedUnits = map[string]Unit{
	"sec": {Measure: Seconds, Scale: 1}, "secs": {Measure: Seconds, Scale: 1}, "second": {Measure: Seconds, Scale: 1}, "seconds": {Measure: Seconds, Scale: 1},
	"msec": {Measure: Seconds, Scale: 1e-3}, "millisecond": {Measure: Seconds, Scale: 1e-3}, "milliseconds": {Measure: Seconds, Scale: 1e-3},
	"usec": {Measure: Seconds, Scale: 1e-6}, "microseconds": {Measure: Seconds, Scale: 1e-6},
	"min": {Measure: Seconds, Scale: 60}, "minutes": {Measure: Seconds, Scale: 60}, "h": {Measure: Seconds, Scale: 3600}, "hr": {Measure: Seconds, Scale: 3600}, "hours": {Measure: Seconds, Scale: 3600},
	"volt": {Measure: Volts, Scale: 1}, "volts": {Measure: Volts, Scale: 1}, "vdc": {Measure: Volts, Scale: 1}, "v dc": {Measure: Volts, Scale: 1}, "mvdc": {Measure: Volts, Scale: 1e-3}, "millivolts": {Measure: Volts, Scale: 1e-3},
	"amp": {Measure: Amps, Scale: 1}, "amps": {Measure: Amps, Scale: 1}, "ampere": {Measure: Amps, Scale: 1}, "adc": {Measure: Amps, Scale: 1},
	"ohm": {Measure: Ohms, Scale: 1}, "ohms": {Measure: Ohms, Scale: 1}, "kohm": {Measure: Ohms, Scale: 1e3}, "kohms": {Measure: Ohms, Scale: 1e3},
}

// unitNamed reads a unit; known is false for one that is no time, voltage, current or resistance.
func unitNamed(text string) (Unit, bool) {
	text = strings.TrimSpace(text)
	if u, ok := namedUnits[strings.ToLower(text)]; ok {
		u.Text = text
		return u, true
	}
	if text == "Mohm" || text == "MOhm" {
		return Unit{text, Ohms, 1e6}, true
	}
	for base, m := range baseUnits {
		prefix, ok := strings.CutSuffix(text, base)
		if !ok {
			continue
		}
		if scale, ok := prefixScales[prefix]; ok && (m != Seconds || scale < 1e3) {
			return Unit{text, m, scale}, true
		}
	}
	if text == "S" { // as some write seconds
		return Unit{text, Seconds, 1}, true
	}
	return Unit{Text: text}, false
}

// headOf parts a column's head into its name and its unit: "Voltage (mV)", "t/s", "CH1 [V]", "U in V", "ms".
func headOf(text string) (name string, u Unit) {
	text = strings.TrimSpace(text)
	for _, p := range [][2]string{{"(", ")"}, {"[", "]"}} {
		open, inside := strings.LastIndex(text, p[0]), ""
		if open >= 0 && strings.HasSuffix(text, p[1]) {
			inside = text[open+1 : len(text)-1]
			u, _ = unitNamed(inside)
			if name = strings.TrimSpace(text[:open]); name == "" {
				name = inside
			}
			return name, u
		}
	}
	for _, between := range []string{" in ", "/", " ", "_"} {
		at := strings.LastIndex(text, between)
		if at <= 0 {
			continue
		}
		if u, known := unitNamed(text[at+len(between):]); known {
			return strings.TrimSpace(text[:at]), u
		}
	}
	if u, known := unitNamed(text); known {
		return text, u
	}
	return text, Unit{}
}

// timeWords are how a time column is headed.
var timeWords = []string{"time", "t", "timestamp", "time stamp", "elapsed", "elapsed time", "seconds", "second", "sec", "clock", "x", "x-axis", "zeit", "temps", "tiempo", "tid", "czas", "date/time", "datetime", "date time", "timeofday", "time of day"}

// saysTime tells whether a column is headed as a time.
func saysTime(c Column) bool {
	if c.Unit.Measure == Seconds {
		return true
	}
	name := strings.ToLower(c.Name)
	for _, w := range timeWords {
		if name == w {
			return true
		}
	}
	words := strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) })
	return len(words) > 0 && (words[0] == "time" || words[0] == "elapsed")
}
