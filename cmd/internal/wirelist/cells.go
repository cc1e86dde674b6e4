package wirelist

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// end is where a wire ends: a place, its cavity ("" for none), and the half of an in-line connector where the list says it.
type end struct{ place, cavity, side string }

// point is the end as a circuit has it.
func (e end) point() circuits.Point {
	return circuits.Point{Place: e.place, Cavity: e.cavity, Side: e.side}
}

func (e end) String() string {
	if e.cavity == "" {
		return e.place
	}
	return e.place + ":" + e.cavity
}

// terminal is the end without its side.
func (e end) terminal() end { return end{e.place, e.cavity, ""} }

// splitting is how a list writes a place and its cavity.
type splitting int

const (
	splitAny   splitting = iota // in one cell, as each house likes: X1-3, C7 (3), C7 pin 3
	splitColon                  // in one cell, always with ':'; so X-3 without one is a name
	splitNever                  // in two cells
)

// readEnd reads a place cell and, where the list has one, a cavity cell.
func readEnd(place, cavity, side string, how splitting) (end, error) {
	place, cavity, side = strings.TrimSpace(place), strings.TrimSpace(cavity), strings.TrimSpace(side)
	if place == "" {
		return end{}, fmt.Errorf("one end is empty")
	}
	if post := postOf(place, cavity); post != "" {
		return end{place: post}, nil
	}
	if cavity == "" && how != splitNever {
		place, cavity = splitCavity(place, how)
	}
	e := end{cleanName(place), cleanName(cavity), cleanName(side)}
	if e.place == "" {
		return end{}, fmt.Errorf("%q cannot be a name", place)
	}
	e.place = strings.ReplaceAll(e.place, ".", "-")
	if e.side == "device" {
		e.side = ""
	}
	return e, nil
}

// postOf tells whether an end is a post of the battery: B+, BAT-, KL30 (clamps 30 and 15 of DIN 72552 are battery plus,
// from memory), or a battery with a cavity that is a sign.
func postOf(place, cavity string) string {
	p := strings.ToUpper(strings.NewReplacer(" ", "", "_", "", ".", "", ":", "").Replace(place + cavity))
	for _, stem := range []string{"BATTERY", "BATTERIE", "BATT", "BAT", "AKKU", "VBAT", "B"} {
		rest, ok := strings.CutPrefix(p, stem)
		if !ok {
			continue
		}
		switch rest {
		case "+", "POS", "POSITIVE", "PLUS", "1+":
			return "B+"
		case "-", "NEG", "NEGATIVE", "MINUS", "1-":
			return "B-"
		case "":
			if stem == "VBAT" {
				return "B+"
			}
		}
	}
	if p == "KL30" || p == "KL15" || p == "CLAMP30" || p == "CLAMP15" {
		return "B+"
	}
	return ""
}

// splitCavity parts a place from a cavity in one cell: at ':', or at a blank, '-', '.', '/' or brackets before something
// that looks like a cavity.
func splitCavity(s string, how splitting) (place, cavity string) {
	if i := strings.LastIndex(s, ":"); i > 0 {
		return s[:i], s[i+1:]
	}
	if how == splitColon {
		return s, ""
	}
	if i := strings.LastIndexAny(s, "(["); i > 0 && strings.HasSuffix(s, string(map[byte]byte{'(': ')', '[': ']'}[s[i]])) {
		return s[:i], s[i+1 : len(s)-1]
	}
	if f := strings.Fields(s); len(f) >= 2 && looksLikeCavity(f[len(f)-1]) {
		n := len(f) - 1
		if n >= 2 && anyOf(tokens(f[n-1]), cavityWords) {
			n--
		}
		return strings.Join(f[:n], " "), f[len(f)-1]
	}
	for _, sep := range []string{"/", ".", "-"} {
		i := strings.LastIndex(s, sep)
		if i <= 0 || !looksLikeCavity(s[i+1:]) {
			continue
		}
		// SP-12 and GND-1 are names: a splice or stud has no cavity
		if stem := strings.ToUpper(s[:i]); !strings.ContainsAny(stem, "0123456789") && (looksLikeSplice(stem+"1") || looksLikeStud(stem)) {
			continue
		}
		return s[:i], s[i+1:]
	}
	return s, ""
}

// looksLikeCavity tells 3, 12, A4, B12 from a part of a name.
func looksLikeCavity(s string) bool {
	letters := strings.TrimRight(s, "0123456789")
	return s != "" && len(s) <= 4 && len(letters) <= 1 && len(s) > len(letters) || len(s) == 1 && unicode.IsLetter(rune(s[0]))
}

// cleanName makes a cell a name that a circuit file can hold: a leading '-' or '=' of IEC 81346 goes, what names may not
// hold becomes '-'.
func cleanName(s string) string {
	s = strings.TrimLeft(strings.TrimSpace(strings.ToValidUTF8(s, "")), "-=+'")
	var b strings.Builder
	gap := false
	for _, r := range s {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' || r == '#' || r == '.' {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(r)
			continue
		}
		gap = true
	}
	out := strings.Trim(b.String(), ".")
	if _, err := circuits.ParsePoint("X:" + out); err != nil {
		return ""
	}
	return out
}

// number reads 0.5, 0,5, "0.5 mm²" or "20 AWG"; the unit is what stands around it, in lower case.
func number(cell string) (value float64, unit string, ok bool) {
	s := strings.ToLower(strings.TrimSpace(strings.ReplaceAll(cell, "²", "2")))
	for _, u := range []string{"awg", "mm2", "sqmm", "qmm", "mm", "cm", "ft", "in", "m", "\"", "'"} {
		if rest, cut := strings.CutSuffix(s, u); cut {
			s, unit = strings.TrimSpace(rest), u
			break
		}
		if rest, cut := strings.CutPrefix(s, u); cut && u == "awg" {
			s, unit = strings.TrimSpace(strings.TrimLeft(rest, "-")), u
			break
		}
	}
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, "", false
	}
	return v, unit, true
}

// noGauge stands where a wire has no American gauge.
const noGauge = -100

// wireSize reads a wire size; awg says that the column counts American gauges where the cell has no unit of its own. The
// gauge is noGauge for a size in mm², the area negative where there is none.
func wireSize(cell string, awg bool) (areaMM2, gauge float64, err error) {
	v, unit, ok := number(cell)
	if zeros, isZeros := strings.CutSuffix(strings.TrimSpace(cell), "/0"); isZeros { // 2/0 is gauge -1
		n, err := strconv.Atoi(zeros)
		v, unit, ok = float64(1-n), "awg", err == nil && n >= 1
	}
	switch {
	case !ok:
	case unit == "awg" || unit == "" && awg:
		if v >= -3 && v <= 40 {
			return models.AWGAreaMM2(v), v, nil
		}
	case (unit == "" || unit == "mm2" || unit == "sqmm" || unit == "qmm" || unit == "mm") && v > 0 && v <= 1000:
		return v, noGauge, nil
	}
	return -1, noGauge, fmt.Errorf("%q is no wire size", cell)
}

// lengthM is a length in metres; unit is the column's, for cells without one.
func lengthM(cell, unit string) (float64, error) {
	v, own, ok := number(cell)
	if own != "" {
		unit = own
	}
	scale := map[string]float64{"m": 1, "mm": 1e-3, "cm": 1e-2, "ft": 0.3048, "in": 0.0254, "\"": 0.0254, "'": 0.3048}[unit]
	if !ok || scale == 0 || v < 0 || v*scale > 1e4 {
		return 0, fmt.Errorf("%q is no length", cell)
	}
	if scale == 1 {
		return v, nil
	}
	return math.Round(v*scale*1e6) / 1e6, nil
}
