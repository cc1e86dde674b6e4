package wirelist

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// maxBytes bounds a list: far more than any harness has.
const maxBytes = 16 << 20

// wire is one row of the list. sizeMM2 and lengthM are negative where the list does not say; awg is noGauge where the size
// is none of the American gauges.
type wire struct {
	line     int
	from, to end
	color    string
	sizeMM2  float64
	awg      float64
	lengthM  float64
	name     string
	role     string
}

// list is what was read, and what was found on the way: errors for rows that are no wire, warnings for guesses.
type list struct {
	file     string
	wires    []wire
	problems circuits.Problems
	sides    bool // the list names the halves of in-line connectors
}

func (l *list) lost(line int, what, hint string) {
	l.problems = append(l.problems, circuits.Problem{File: l.file, Line: line, What: what, Hint: hint})
}

func (l *list) guessed(line int, what, hint string) {
	l.problems = append(l.problems, circuits.Problem{File: l.file, Line: line, What: what, Hint: hint, Warning: true})
}

// text gives the list's bytes as UTF-8: a byte order mark of UTF-8 or UTF-16 is heeded, anything that is no UTF-8 is taken
// as Windows-1252, as spreadsheets write it.
func text(in io.Reader) (string, error) {
	raw, err := io.ReadAll(io.LimitReader(in, maxBytes+1))
	if err != nil {
		return "", err
	}
	if len(raw) > maxBytes {
		return "", fmt.Errorf("the list is longer than %d MB", maxBytes>>20)
	}
	marked := bytes.HasPrefix(raw, []byte("\xff\xfe")) || bytes.HasPrefix(raw, []byte("\xfe\xff")) || bytes.HasPrefix(raw, []byte("\xef\xbb\xbf"))
	if !marked && !utf8.Valid(raw) {
		out, err := charmap.Windows1252.NewDecoder().Bytes(raw)
		return string(out), err
	}
	out, _, err := transform.Bytes(unicode.BOMOverride(transform.Nop), raw)
	return string(out), err
}

// separator is the sign that parts the cells: the one of tab, ';', ',' and '|' that stands most often in the same number
// on many lines.
func separator(text string) rune {
	best, most := ',', 0
	lines := strings.Split(text, "\n")
	if len(lines) > 50 {
		lines = lines[:50]
	}
	for _, r := range []rune{'\t', ';', ',', '|'} {
		counts := map[int]int{}
		for _, line := range lines {
			if n := strings.Count(line, string(r)); n > 0 {
				counts[n]++
			}
		}
		for n, times := range counts {
			if score := times * min(n, 8); score > most {
				best, most = r, score
			}
		}
	}
	return best
}

// readList finds the header and the wires below it.
func readList(in io.Reader, o ImportOptions) (*list, error) {
	l := &list{file: o.File}
	content, err := text(in)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	r := csv.NewReader(strings.NewReader(content))
	r.Comma = o.Separator
	if r.Comma == 0 {
		r.Comma = separator(content)
	}
	r.FieldsPerRecord = -1
	r.LazyQuotes = true
	r.TrimLeadingSpace = r.Comma != '\t'
	var rows [][]string
	var lines []int
	for {
		row, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", o.File, err)
		}
		line, _ := r.FieldPos(0)
		rows, lines = append(rows, row), append(lines, line)
	}
	header := -1
	var columns layout
	for i := 0; i < len(rows) && i < 30 && header < 0; i++ {
		if found, ok := readHeader(rows[i], o.Columns); ok {
			header, columns = i, found
		}
	}
	if header < 0 {
		seen := "it is empty"
		if len(rows) > 0 {
			seen = "its first row is " + strings.Join(rows[0], " | ")
		}
		return nil, fmt.Errorf("%s: no row names a column for both ends of a wire (from, to); %s; name them with --column from=HEADER --column to=HEADER", o.File, seen)
	}
	l.read(rows[header+1:], lines[header+1:], columns)
	return l, nil
}

// read turns rows into wires.
func (l *list) read(rows [][]string, lines []int, columns layout) {
	cell := func(row []string, c Column) string {
		if i, ok := columns.at[c]; ok && i < len(row) {
			return strings.TrimSpace(row[i])
		}
		return ""
	}
	awg := columns.sizeUnit == "awg" || columns.sizeUnit == "" && allOf(rows, columns, Size, func(v float64) bool { return v >= 8 && v == float64(int(v)) })
	unit := columns.lengthUnit
	if _, given := columns.at[Length]; given && unit == "" {
		unit = "m"
		if allOf(rows, columns, Length, func(v float64) bool { return v >= 20 }) {
			unit = "mm"
		}
		l.guessed(lines0(lines), fmt.Sprintf("the header does not say the unit of length: %s was taken", unit), "name the unit in the header, such as length_mm")
	}
	if _, given := columns.at[Size]; given && columns.sizeUnit == "" {
		l.guessed(lines0(lines), fmt.Sprintf("the header does not say the unit of size: %s was taken", map[bool]string{true: "AWG", false: "mm²"}[awg]), "name the unit in the header, size_mm2 or awg")
	}
	how := howSplit(rows, columns)
	for i, row := range rows {
		if blank(row) || strings.HasPrefix(strings.TrimSpace(row[0]), "#") {
			continue
		}
		w := wire{line: lines[i], sizeMM2: -1, awg: noGauge, lengthM: -1}
		var errFrom, errTo error
		w.from, errFrom = readEnd(cell(row, From), cell(row, FromCavity), cell(row, FromSide), how)
		w.to, errTo = readEnd(cell(row, To), cell(row, ToCavity), cell(row, ToSide), how)
		if errFrom != nil || errTo != nil {
			err := errFrom
			if err == nil {
				err = errTo
			}
			l.lost(w.line, fmt.Sprintf("no wire: %v", err), "complete the row, or leave it out")
			continue
		}
		l.sides = l.sides || w.from.side != "" || w.to.side != ""
		l.details(&w, cell(row, Color), cell(row, Size), cell(row, Length), awg, unit)
		if w.name = unquoteCell(cell(row, Name)); w.name == "" {
			w.name = unquoteCell(cell(row, Number))
		}
		if w.role = strings.ToLower(cell(row, Role)); w.role != "" && !isRole(w.role) {
			l.guessed(w.line, fmt.Sprintf("%q is no role of a run and was left out", w.role), "roles: "+strings.Join(read.Roles(), ", "))
			w.role = ""
		}
		l.wires = append(l.wires, w)
	}
}

// howSplit finds how the list writes a cavity.
func howSplit(rows [][]string, columns layout) splitting {
	_, from := columns.at[FromCavity]
	_, to := columns.at[ToCavity]
	if from && to {
		return splitNever
	}
	for _, row := range rows {
		for _, c := range []Column{From, To} {
			if i := columns.at[c]; i < len(row) && strings.LastIndex(strings.TrimSpace(row[i]), ":") > 0 {
				return splitColon
			}
		}
	}
	return splitAny
}

// details reads what a wire is made of; what cannot be read is left out and told.
func (l *list) details(w *wire, color, size, length string, awg bool, unit string) {
	if color != "" {
		code, doubt, ok := colour(color)
		switch {
		case !ok:
			l.guessed(w.line, fmt.Sprintf("the colour %q is unknown and was left out", color), "write a code of IEC 60757, such as GN or GN/BK")
		case doubt != "":
			l.guessed(w.line, "the colour "+doubt, "check it: houses differ in that short form")
		}
		w.color = code
	}
	if size != "" {
		var err error
		if w.sizeMM2, w.awg, err = wireSize(size, awg); err != nil {
			l.guessed(w.line, err.Error()+" and was left out", "write mm² or AWG")
		}
	}
	if length != "" {
		if v, err := lengthM(length, unit); err != nil {
			l.guessed(w.line, err.Error()+" and was left out", "write a number with its unit")
		} else {
			w.lengthM = v
		}
	}
}

func lines0(lines []int) int {
	if len(lines) == 0 {
		return 1
	}
	return max(1, lines[0]-1)
}

func blank(row []string) bool { return strings.TrimSpace(strings.Join(row, "")) == "" }

// allOf tells whether a column has numbers without a unit, and they all are so.
func allOf(rows [][]string, columns layout, c Column, so func(float64) bool) bool {
	any := false
	for _, row := range rows {
		i, ok := columns.at[c]
		if !ok || i >= len(row) {
			continue
		}
		v, unit, ok := number(row[i])
		if !ok || unit != "" {
			continue
		}
		if !so(v) {
			return false
		}
		any = true
	}
	return any
}

func isRole(s string) bool {
	for _, r := range read.Roles() {
		if r == s {
			return true
		}
	}
	return false
}

// A cell that begins with one of these is a formula to a spreadsheet; the export puts an apostrophe before it.
const formulaSigns = "=+-@"

func quoteCell(s string) string {
	if s != "" && strings.ContainsRune(formulaSigns+"'", rune(s[0])) {
		return "'" + s
	}
	return s
}

func unquoteCell(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && rest != "" && strings.ContainsRune(formulaSigns+"'", rune(rest[0])) {
		return rest
	}
	return s
}
