package models

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// LeastOhms stands in for a joint of no resistance at all (a dead short, a potentiometer at its stop). It is far below
// anything that shows even in a dead short across a battery, and the solver forms its pivots by additions only, so that
// it costs no digits beside 10 MΩ.
const LeastOhms = 1e-10

// ParseOhms reads a resistance in ohms, as a plain number ("4700") or in the letter code of IEC 60062 ("4k7", "0R5",
// "1M"), in which the letter stands where the decimal point would.
func ParseOhms(s string) (float64, error) {
	t := strings.TrimSpace(s)
	t = strings.TrimSuffix(strings.TrimSuffix(t, "\u03a9"), "\u2126") // the Greek letter, or the sign that looks like it
	t = strings.TrimSpace(t)
	bad := fmt.Errorf("%q is not a resistance: write ohms (4700) or the letter code of IEC 60062 (4k7, 0R5, 1M)", s)
	if t == "" {
		return 0, bad
	}
	for i, r := range t {
		scale, ok := letterScale(r)
		if !ok {
			continue
		}
		whole, part := t[:i], t[i+len(string(r)):]
		if strings.ContainsAny(whole, ".eE+-") && part != "" || !digits(part) || !digitsOrPoint(whole) || whole == "" && part == "" {
			return 0, bad
		}
		if whole == "" {
			whole = "0"
		}
		text := whole
		if part != "" {
			text += "." + part
		}
		v, err := strconv.ParseFloat(text, 64)
		if v *= scale; err != nil || math.IsInf(v, 0) {
			return 0, bad
		}
		return v, nil
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || v < 0 || strings.Trim(t, "0123456789.eE+-") != "" { // no hexadecimals, underscores, inf or nan
		return 0, bad
	}
	return math.Abs(v), nil // -0 is 0
}

// letterScale is the multiplier of an IEC 60062 letter; L is the code's milliohm, k is met as often as K.
func letterScale(r rune) (float64, bool) {
	switch r {
	case 'L', 'm':
		return 1e-3, true
	case 'R', 'r':
		return 1, true
	case 'K', 'k':
		return 1e3, true
	case 'M':
		return 1e6, true
	case 'G':
		return 1e9, true
	}
	return 0, false
}

func digits(s string) bool {
	return strings.Trim(s, "0123456789") == ""
}

func digitsOrPoint(s string) bool {
	return strings.Trim(s, "0123456789.") == "" && strings.Count(s, ".") <= 1
}
