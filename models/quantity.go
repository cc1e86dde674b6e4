package models

import (
	"math"
	"strconv"
	"strings"
)

// prefixes are the SI prefixes in use at a harness, largest first.
var prefixes = []struct {
	scale  float64
	symbol string
}{{1e9, "G"}, {1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}}

// SI prints a value with three significant digits and the SI prefix that leaves one to three digits before the point:
// SI(4700, "Ω") is "4.70 kΩ". The prefix is chosen after rounding, so 999.9 Ω prints as 1.00 kΩ, never 1000 Ω.
func SI(value float64, unit string) string {
	if math.IsInf(value, 0) {
		return strings.TrimPrefix(strconv.FormatFloat(value, 'g', -1, 64), "+") + " " + unit
	}
	v, _ := strconv.ParseFloat(strconv.FormatFloat(value, 'e', 2, 64), 64)
	if v == 0 {
		return "0 " + unit
	}
	for _, p := range prefixes {
		if a := math.Abs(v); a >= p.scale*(1-1e-12) {
			return fixed3(v/p.scale) + " " + p.symbol + unit
		}
	}
	return strconv.FormatFloat(v, 'g', 3, 64) + " " + unit
}

// Volts prints a voltage as a hand meter on its 20 V range would: two decimals, three below one volt.
func Volts(v float64) string {
	digits := 2
	if math.Abs(v) < 0.9995 {
		digits = 3
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	if s == "-0.000" {
		s = "0.000"
	}
	return s + " V"
}

// fixed3 prints 1 ≤ |v| < 1000 with three significant digits and no exponent.
func fixed3(v float64) string {
	switch a := math.Abs(v); {
	case a >= 99.95:
		return strconv.FormatFloat(v, 'f', 0, 64)
	case a >= 9.995:
		return strconv.FormatFloat(v, 'f', 1, 64)
	default:
		return strconv.FormatFloat(v, 'f', 2, 64)
	}
}
