package recorded

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
)

// Plan says which columns are read.
type Plan struct {
	Time     Column // Index 0: there is none, and rows come every Interval seconds
	Interval float64
	Values   []Column
	Mark     Column // a column that names what is moved; Index 0: none
}

// Row is one row: its time in seconds, and its values in SI units, NaN where there is none. Its slices are used again for
// the next row.
type Row struct {
	Line   int
	Time   float64
	Values []float64
	Over   []bool // the instrument was beyond its range
	Mark   string // what is moved, "" for nothing
}

// Oddity counts something that is not as it should be, with the first line at which it was met.
type Oddity struct {
	Count, Line int
	Text        string // the cell there
}

func (o *Oddity) note(line int, text []byte) {
	if o.Count == 0 {
		o.Line, o.Text = line, plainText(bytes.Clone(text[:min(len(text), 40)]))
	}
	o.Count++
}

// Tally is what a table came to.
type Tally struct {
	Rows      int
	Clock     string // how the first time was written, where times are of the day or of the calendar: time 0 is there
	Assumed   bool   // the times have no unit, and were taken for seconds
	Repeats   int    // rows with the time of the row before
	Skipped   Oddity // lines that are no rows
	Words     Oddity // cells that are no numbers
	Empty     int    // cells without a value
	Resets    Oddity // times that fell back: the clock began anew, and is counted on
	Disorder  Oddity // rows a little out of order: taken at the time of the row before
	FirstTime float64
	LastTime  float64
}

// reader works through rows.
type reader struct {
	s      *Table
	p      Plan
	row    Row
	tally  Tally
	wanted []int // by cell: 0 time, 1+i value i, -1 nothing, -2 mark
	last   int   // last cell that is wanted
	scales []float64
	times  timeline
	mark   []byte
}

// Read gives the rows one by one. It ends at the table's end, or with each's error.
func (s *Table) Read(p Plan, each func(*Row) error) (Tally, error) {
	r := &reader{s: s, p: p, wanted: make([]int, s.d.cells), row: Row{Values: make([]float64, len(p.Values)), Over: make([]bool, len(p.Values))}}
	for i := range r.wanted {
		r.wanted[i] = -1
	}
	want := func(c Column, as int) {
		if c.Index > 0 {
			r.wanted[c.Index-1] = as
			r.last = max(r.last, c.Index-1)
		}
	}
	want(p.Mark, -2)
	want(p.Time, 0)
	for i, c := range p.Values {
		want(c, i+1)
		r.scales = append(r.scales, c.scale())
	}
	r.times = timeline{scale: p.Time.scale(), decimal: s.d.decimal}
	for {
		line, err := s.next()
		if len(line) > 0 && s.line > s.d.headLines {
			ok, failed := r.take(line)
			if failed != nil {
				return r.tally, failed
			}
			if ok {
				if failed := each(&r.row); failed != nil {
					return r.tally, failed
				}
			}
		}
		if errors.Is(err, io.EOF) {
			return r.done()
		}
		if err != nil {
			return r.tally, fmt.Errorf("%s:%d: %w", s.File, s.line+1, err)
		}
	}
}

// errLong is a line that no recording has.
var errLong = fmt.Errorf("a line of more than %d bytes; this is no table of text", lineMost)

// next is the next line; it stands until the one after it is read.
func (s *Table) next() ([]byte, error) {
	if len(s.held) > 0 {
		line := s.held[0]
		s.held = s.held[1:]
		s.line++
		return line, nil
	}
	line, err := s.in.ReadSlice('\n')
	if err != nil && !errors.Is(err, io.EOF) {
		if strings.Contains(err.Error(), "buffer full") {
			err = errLong
		}
		return nil, err
	}
	if len(line) > 0 {
		s.line++
	}
	return line, err
}

func (r *reader) done() (Tally, error) {
	r.tally.Clock, r.tally.Repeats = r.times.clockText, r.times.repeats
	r.tally.Resets, r.tally.Disorder = r.times.resets, r.times.disorder
	r.tally.Assumed = r.p.Time.Index > 0 && r.p.Time.Unit.Measure != Seconds && r.times.clockText == "" && !r.times.hasUnit
	if r.tally.Rows == 0 {
		if o := r.tally.Skipped; o.Count > 0 {
			return r.tally, fmt.Errorf("%s:%d: %q is no time, and no line has one; name the column with --time", r.s.File, o.Line, o.Text)
		}
		return r.tally, fmt.Errorf("%s: no row has a time", r.s.File)
	}
	return r.tally, nil
}

// mostSkipped is how many lines may be no rows before a table with more of them than rows is given up.
const mostSkipped = 1000

// take reads one line into the row; ok is false for a line that is none.
func (r *reader) take(line []byte) (ok bool, err error) {
	r.row.Line = r.s.line
	d := &r.s.d
	r.row.Time = math.NaN()
	hasTime := r.p.Time.Index == 0
	line = trimEnd(line)
	if len(line) == 0 {
		return false, nil
	}
	for i := range r.row.Values {
		r.row.Values[i], r.row.Over[i] = math.NaN(), false
	}
	empty := r.tally.Empty
	r.tally.Empty += len(r.row.Values)
	for cell := 0; ; cell++ {
		text, rest, more := quickCell(line, d.separator)
		if cell < len(r.wanted) {
			switch as := r.wanted[cell]; {
			case as == 0:
				if r.row.Time, hasTime = r.times.read(text, r.s.line); !hasTime {
					r.tally.Empty = empty
					r.tally.Skipped.note(r.s.line, text)
					return false, r.hopeless()
				}
			case as > 0:
				r.value(as-1, text)
			case as == -2:
				r.moved(text)
			}
		}
		if !more || cell >= r.last {
			break
		}
		line = rest
	}
	if !hasTime {
		r.tally.Empty = empty
		r.tally.Skipped.note(r.s.line, line)
		return false, r.hopeless()
	}
	if r.p.Time.Index == 0 {
		r.row.Time = float64(r.tally.Rows) * r.p.Interval
	}
	if r.tally.Rows == 0 {
		r.tally.FirstTime = r.row.Time
	}
	r.tally.LastTime = r.row.Time
	r.tally.Rows++
	return true, nil
}

// hopeless gives a table up that is mostly not one.
func (r *reader) hopeless() error {
	if o := r.tally.Skipped; o.Count > mostSkipped && o.Count > r.tally.Rows {
		return fmt.Errorf("%s:%d: %q is no time, and %d lines have none; name the right column with --time", r.s.File, o.Line, o.Text, o.Count)
	}
	return nil
}

// emptyWords stand for no value.
var emptyWords = [][]byte{[]byte("-"), []byte("--"), []byte("---"), []byte("n/a"), []byte("na"), []byte("nan"), []byte("null"), []byte("none"), []byte("?")}

func (r *reader) value(i int, cell []byte) {
	if v, ok := number(cell, r.s.d.decimal); ok {
		r.row.Values[i] = v * r.scales[i]
		r.tally.Empty--
		return
	}
	if len(cell) == 0 {
		return
	}
	v, ok, over := value(cell, r.s.d.decimal)
	switch {
	case ok:
		r.row.Values[i] = v
		r.tally.Empty--
	case over:
		r.row.Over[i] = true
		r.tally.Empty--
	default:
		for _, w := range emptyWords {
			if bytes.EqualFold(cell, w) {
				return
			}
		}
		r.tally.Words.note(r.s.line, cell)
		r.tally.Empty--
	}
}

// moved keeps what a mark column says; nothing, a dash or 0 is nothing moved.
func (r *reader) moved(cell []byte) {
	if bytes.Equal(cell, r.mark) {
		return
	}
	r.mark = append(r.mark[:0], cell...)
	r.row.Mark = plainText(cell)
	if r.row.Mark == "-" || r.row.Mark == "--" || r.row.Mark == "0" {
		r.row.Mark = ""
	}
}

func trimEnd(line []byte) []byte {
	n := len(line)
	for n > 0 && (line[n-1] == '\n' || line[n-1] == '\r') {
		n--
	}
	return line[:n]
}

// quickCell is nextCell for the cells that nearly all are: without quotes or space around them.
func quickCell(line []byte, separator byte) (cell, rest []byte, more bool) {
	if len(line) > 0 && line[0] > ' ' && line[0] != '"' && separator != 0 {
		at := bytes.IndexByte(line, separator)
		if at < 0 {
			at = len(line)
		} else {
			rest, more = line[at+1:], true
		}
		if at == 0 || line[at-1] > ' ' {
			return line[:at], rest, more
		}
		return bytes.TrimSpace(line[:at]), rest, more
	}
	return nextCell(line, separator)
}
