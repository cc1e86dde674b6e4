package view

import (
	"math"
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

func itoa(n int) string { return strconv.Itoa(n) }

// nbsp holds a number to its unit where lines are broken.
const nbsp = "\u00a0"

// scale is how all values of one quantity in one column are printed, so that they compare by eye.
type scale struct {
	divisor  float64
	decimals int
	unit     string
}

// scaleOf chooses the scale by the values that will stand in the column. Values that are not finite do not count.
func scaleOf(q circuits.Quantity, values []float64) scale {
	least := 0.0095 // volts: less is nothing at two decimals, and need not be more
	if q == circuits.Ohms || q == circuits.Amps {
		least = 0.0005
	}
	smallest, largest := math.Inf(1), 0.0
	for _, v := range values {
		a := math.Abs(v)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		largest = max(largest, a)
		if a >= least {
			smallest = min(smallest, a)
		}
	}
	switch q {
	case circuits.Ohms:
		return ohmsScale(smallest)
	case circuits.Amps:
		if largest < 0.9995 {
			return scale{1e-3, 1, "mA"}
		}
		return scale{1, 3, "A"}
	}
	// A hand meter shows two or three decimals of a volt; three where some value needs them.
	if smallest < 0.0995 {
		return scale{1, 3, "V"}
	}
	return scale{1, 2, "V"}
}

// ohmsScale keeps three digits of the smallest value of a column, as far as a hand meter shows them.
func ohmsScale(smallest float64) scale {
	if math.IsInf(smallest, 1) {
		return scale{1, 1, "Ω"}
	}
	s := scale{1, 0, "Ω"}
	for _, step := range []struct {
		divisor float64
		unit    string
	}{{1e3, "kΩ"}, {1e6, "MΩ"}} {
		if smallest >= step.divisor*0.9995 {
			s.divisor, s.unit = step.divisor, step.unit
		}
	}
	switch shown := smallest / s.divisor; {
	case shown < 9.995:
		s.decimals = 2
	case shown < 99.95:
		s.decimals = 1
	}
	return s
}

// digits prints a value without its unit.
func (s scale) digits(v float64) string {
	if math.IsInf(v, 1) {
		return "OL"
	}
	t := strconv.FormatFloat(v/s.divisor, 'f', s.decimals, 64)
	if zero, err := strconv.ParseFloat(t, 64); err == nil && zero == 0 {
		t = strconv.FormatFloat(0, 'f', s.decimals, 64) // no -0.00
	}
	return t
}

// value prints a value with its unit.
func (s scale) value(v float64) string {
	if math.IsInf(v, 1) {
		return "OL"
	}
	return s.digits(v) + nbsp + s.unit
}

// Value prints one value that stands alone, such as one that was read.
func Value(q circuits.Quantity, v float64) string {
	switch q {
	case circuits.Ohms, circuits.Amps:
		if q == circuits.Amps && math.Abs(v) < 1e-9 {
			v = 0 // what the arithmetic leaves of no current
		}
		return models.SI(v, q.Unit())
	}
	return models.Volts(v)
}

// PercentInWords prints a probability in a sentence: whole percents, and neither 0 nor 100 of them.
func PercentInWords(p float64) string {
	switch {
	case p < 0.01:
		return "less than 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return strconv.FormatFloat(100*p, 'f', 0, 64) + " %"
}

// Percent prints a probability as every table does: whole percents, one decimal below one, and no 0 or 100 % for what is
// merely near it.
func Percent(p float64) string {
	switch {
	case p >= 0.995:
		return ">99" + nbsp + "%"
	case p >= 0.00995:
		return strconv.FormatFloat(100*p, 'f', 0, 64) + nbsp + "%"
	case p >= 0.00095:
		return strconv.FormatFloat(100*p, 'f', 1, 64) + nbsp + "%"
	case p == 0:
		return "0" + nbsp + "%"
	}
	return "<0.1" + nbsp + "%"
}

// rounded keeps four digits: what a sensor's own unit is good for.
func rounded(v float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	return r
}

// plainNumber prints a setting as its author would write it.
func plainNumber(v float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
