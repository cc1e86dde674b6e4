package recorded

import (
	"bytes"
	"math"
	"strconv"
)

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// number reads a decimal number with that decimal sign. What has at most fifteen digits is exact in one step (Clinger, "How
// to read floating point numbers accurately", 1990); anything else goes to the standard library.
func number(cell []byte, decimal byte) (float64, bool) {
	i, n := 0, len(cell)
	if n == 0 {
		return 0, false
	}
	negative := cell[0] == '-'
	if negative || cell[0] == '+' {
		i++
	}
	var mantissa uint64
	digits, after := 0, -1
	for ; i < n; i++ {
		c := cell[i]
		switch {
		case c >= '0' && c <= '9':
			if digits++; digits > 18 {
				return slowNumber(cell, decimal)
			}
			mantissa = mantissa*10 + uint64(c-'0')
		case c == decimal && after < 0:
			after = digits
		default:
			return slowNumber(cell, decimal)
		}
	}
	if digits == 0 {
		return 0, false
	}
	fraction := 0
	if after >= 0 {
		fraction = digits - after
	}
	if mantissa >= 1<<53 {
		return slowNumber(cell, decimal)
	}
	v := float64(mantissa) / tens[fraction]
	if negative {
		v = -v
	}
	return v, true
}

// longestNumber is more than any instrument writes.
const longestNumber = 64

// slowNumber reads what the quick way does not: exponents, a point in a table of decimal commas, thousands.
func slowNumber(cell []byte, decimal byte) (float64, bool) {
	if len(cell) > longestNumber {
		return 0, false
	}
	text := cell
	if decimal == ',' && bytes.IndexByte(cell, ',') >= 0 {
		text = bytes.ReplaceAll(bytes.ReplaceAll(cell, []byte("."), nil), []byte(","), []byte("."))
	}
	for _, c := range text { // neither hexadecimal nor words such as infinity
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(string(text), 64)
	return v, err == nil && !math.IsInf(v, 0) && !math.IsNaN(v)
}

// decimals is how many digits behind its decimal sign a cell has, and 0 for a number with an exponent.
func decimals(cell []byte, decimal byte) int {
	at := bytes.IndexByte(cell, decimal)
	if at < 0 || bytes.ContainsAny(cell, "eE") {
		return 0
	}
	return len(cell) - at - 1
}

// overWords are what instruments write beyond their range.
var overWords = []string{"OL", "O.L", "O.L.", "0L", "OVLD", "OVERLOAD", "OVER", "INF", "OVERFLOW"}

// isOver tells whether a cell says that the value was beyond the range.
func isOver(cell []byte) bool {
	if len(cell) > 9 || len(cell) < 2 {
		return false
	}
	cell = bytes.TrimPrefix(bytes.TrimPrefix(cell, []byte("-")), []byte("+"))
	for _, w := range overWords {
		if bytes.EqualFold(cell, []byte(w)) {
			return true
		}
	}
	return false
}

// value reads a cell that may carry its own unit: "4.98", "4.98 V", "980mV". over is an instrument beyond its range.
func value(cell []byte, decimal byte) (v float64, ok, over bool) {
	if v, ok = number(cell, decimal); ok {
		return v, true, false
	}
	if isOver(cell) {
		return 0, false, true
	}
	at := bytes.LastIndexAny(cell, "0123456789.,")
	if at < 0 || at == len(cell)-1 || len(cell) > longestNumber {
		return 0, false, false
	}
	u, known := unitNamed(string(bytes.TrimSpace(cell[at+1:])))
	if !known {
		return 0, false, false
	}
	if v, ok = number(bytes.TrimSpace(cell[:at+1]), decimal); !ok {
		return 0, false, false
	}
	return v * u.Scale, true, false
}
