package view

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// Typed reads what a person types for a reading: one value, or two of a reading that moved, as "4.98", "4,98", "980m",
// "12 mV", "4k7", "4.7 kΩ" or "OL"; "there" or "away" behind it says whether a symptom that comes and goes was there. It
// gives the reading with its value; the error says what to type instead.
func Typed(r circuits.Reading, m circuits.Meter, text string) (circuits.Reading, error) {
	words := joinUnits(strings.Fields(strings.NewReplacer("\u2212", "-", nbsp, " ", ";", " ").Replace(text)))
	r.Taken, r.OL, r.Pair = true, false, false
	if n := len(words) - 1; n > 0 {
		if s := circuits.Symptom(strings.ToLower(words[n])); s == circuits.SymptomThere || s == circuits.SymptomAway {
			r.Symptom, words = s, words[:n]
		}
	}
	var values []float64
	between := false
	for i, word := range words {
		if (word == "to" || word == "…" || word == "..") && i > 0 && i < len(words)-1 {
			between = true
			continue
		}
		v, err := typedValue(r.Quantity, word)
		if err != nil {
			return r, err
		}
		values = append(values, v)
	}
	if between && len(values) != 2 {
		return r, errors.New("type two values of a reading that moved, as 1.9 .. 4.98, or the one that was read")
	}
	switch len(values) {
	case 0:
		return r, errors.New("type the value that was read, or help")
	case 1:
		r.Value, r.High = values[0], values[0]
	case 2:
		r.Value, r.High = min(values[0], values[1]), max(values[0], values[1])
		r.Pair = r.Value != r.High
	default:
		return r, fmt.Errorf("these are %d values: type the one that was read, or the lowest and the highest of a reading that moved", len(values))
	}
	if math.IsInf(r.High, 1) {
		r.OL, r.High = true, m.MaxOhms
		if !r.Pair {
			r.Value = r.High
		}
	}
	return r, nil
}

// joinUnits puts a unit that stands alone back to its number: "4.7 kΩ" is one value.
func joinUnits(words []string) []string {
	var out []string
	for _, w := range words {
		if n := len(out) - 1; n >= 0 && isUnit(w) && strings.ContainsAny(out[n][len(out[n])-1:], "0123456789.") {
			out[n] += w
			continue
		}
		out = append(out, strings.TrimRight(w, ","))
	}
	return out
}

func isUnit(w string) bool {
	switch strings.ToLower(w) {
	case "v", "mv", "kv", "a", "ma", "µa", "ua", "ohm", "ohms", "ω", "kω", "mω", "kohm", "kohms", "mohm", "mohms", "k", "m", "volt", "volts", "amp", "amps":
		return true
	}
	return false
}

// typedValue reads one value in the quantity's own unit; OL is +Inf.
func typedValue(q circuits.Quantity, word string) (float64, error) {
	switch strings.ToLower(word) {
	case "ol", "o.l", "o.l.", "0l", "0.l", "0.l.", "inf", "infinite":
		if q != circuits.Ohms {
			return 0, fmt.Errorf("OL is no value in %s: set the meter to %s and a higher range, or skip", unitWord(q), unitWord(q))
		}
		return math.Inf(1), nil
	case "beep":
		if q != circuits.Ohms {
			return 0, fmt.Errorf("a beep says nothing in %s", unitWord(q))
		}
		// 30 to 50 Ω: common practice, no source
		return 0, errors.New("a beep says only that some path is below 30 to 50 Ω: set the meter to ohms and type the number")
	case "none", "nothing", "-", "--", "---":
		return 0, errors.New("nothing shown is no value: check the leads and the key; if it stays so, skip")
	}
	number, err := withoutUnit(q, word)
	if err != nil {
		return 0, err
	}
	if number, err = decimalPoint(q, number, word); err != nil {
		return 0, err
	}
	v, err := scaled(q, number)
	switch {
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
		return 0, fmt.Errorf("%q is no value in %s: type it as %s", word, unitWord(q), typedExamples[q])
	case q == circuits.Ohms && v < 0:
		return 0, fmt.Errorf("%s is no resistance: a meter that shows less than nothing in ohms stands on a live circuit", word)
	}
	return v, nil
}

var typedExamples = map[circuits.Quantity]string{
	circuits.Volts: "4.98, 980m, or 1.9 4.98 of a reading that moved", circuits.ScanVolts: "4.98, 980m, or 1.9 4.98 of a reading that moved",
	circuits.Ohms: "220, 4k7, 4.7k, 1M or OL", circuits.Amps: "0.35, 350m, or 0.2 0.35 of a reading that moved",
}

// unitWord is a quantity as a meter's dial has it.
func unitWord(q circuits.Quantity) string {
	if q == circuits.ScanVolts {
		return "volts"
	}
	return string(q)
}

// withoutUnit takes the quantity's own unit off a word, and refuses another's.
func withoutUnit(q circuits.Quantity, word string) (string, error) {
	for _, u := range []struct {
		symbol string
		of     string
	}{{"ohms", "Ω"}, {"ohm", "Ω"}, {"\u03a9", "Ω"}, {"\u2126", "Ω"}, {"\u03c9", "Ω"}, {"volts", "V"}, {"volt", "V"}, {"v", "V"}, {"amps", "A"}, {"amp", "A"}, {"a", "A"}} {
		if len(word) < len(u.symbol) || !strings.EqualFold(word[len(word)-len(u.symbol):], u.symbol) {
			continue
		}
		if u.of != q.Unit() {
			return "", fmt.Errorf("%q is in %s, and this reading is in %s", word, u.of, unitWord(q))
		}
		return word[:len(word)-len(u.symbol)], nil
	}
	return word, nil
}

// decimalPoint turns a decimal comma into a point. A comma before three digits of ohms may part thousands, and which is
// meant cannot be told.
func decimalPoint(q circuits.Quantity, number, word string) (string, error) {
	whole, part, comma := strings.Cut(number, ",")
	if !comma {
		return number, nil
	}
	digits := strings.TrimRight(part, "kKmMRrG")
	if strings.ContainsAny(part, ",") || strings.Contains(whole, ".") || strings.Contains(part, ".") {
		return "", fmt.Errorf("%q has more than one point: type it as %s", word, typedExamples[q])
	}
	if q == circuits.Ohms && len(digits) == 3 && digits == part && strings.Trim(whole, "0") != "" {
		return "", fmt.Errorf("%q may be %s.%s or %s%s ohms: type %s.%s or %sk%s", word, whole, part, whole, part, whole, part, whole, part)
	}
	return whole + "." + part, nil
}

// scaled reads a number with an SI prefix, or ohms in the letter code of IEC 60062.
func scaled(q circuits.Quantity, number string) (float64, error) {
	number = strings.TrimPrefix(number, "+")
	if q == circuits.Ohms {
		negative := strings.HasPrefix(number, "-")
		v, err := models.ParseOhms(strings.TrimPrefix(number, "-"))
		if negative {
			v = -v
		}
		return v, err
	}
	scale := 1.0
	for _, p := range []struct {
		symbol string
		scale  float64
	}{{"m", 1e-3}, {"µ", 1e-6}, {"μ", 1e-6}, {"u", 1e-6}} {
		if strings.HasSuffix(number, p.symbol) {
			number, scale = strings.TrimSuffix(number, p.symbol), p.scale
			break
		}
	}
	if number == "" || strings.Trim(number, "0123456789.-") != "" { // no hexadecimals, exponents, inf or nan
		return 0, errors.New("no number")
	}
	v, err := strconv.ParseFloat(number, 64)
	return v * scale, err
}
