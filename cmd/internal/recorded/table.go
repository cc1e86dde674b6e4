package recorded

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"github.com/agnivade/levenshtein"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// Column is a column of a table.
type Column struct {
	Name  string // without its unit; "" where the table has no head
	Unit  Unit
	Index int // from 1
}

// Title is a column as one says it.
func (c Column) Title() string {
	switch {
	case c.Name == "":
		return "column " + strconv.Itoa(c.Index)
	case c.Unit.Text == "" || c.Unit.Text == c.Name:
		return c.Name
	}
	return c.Name + " (" + c.Unit.Text + ")"
}

// Table is a table whose rows are still to be read.
type Table struct {
	File    string
	Columns []Column
	d       dialect
	in      *bufio.Reader
	line    int // lines read so far
	head    [][]byte
	held    [][]byte // lines read ahead, of a table that comes line by line
}

const (
	headBytes = 1 << 16 // in which the first rows are looked for
	headMost  = 400     // lines of it
	lineMost  = 1 << 20 // bytes of a line
)

// Open finds out how a table is written. file is its name for messages. Nothing beyond its head is read yet.
func Open(file string, from io.Reader) (*Table, error) {
	in, err := plainBytes(file, from)
	if err != nil {
		return nil, err
	}
	peeked, err := in.Peek(headBytes)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	whole := errors.Is(err, io.EOF)
	lines := bytes.SplitAfterN(peeked, []byte("\n"), headMost+1)
	if n := len(lines); n > 0 && (len(lines[n-1]) == 0 || !whole || n > headMost) {
		lines = lines[:n-1] // its end is not in sight
	}
	s := &Table{File: file, in: in}
	for _, l := range lines {
		s.head = append(s.head, bytes.Clone(l))
	}
	return s, s.recognise()
}

// plainBytes is a table as UTF-8 without its byte order mark.
func plainBytes(file string, from io.Reader) (*bufio.Reader, error) {
	in := bufio.NewReaderSize(from, lineMost)
	mark, err := in.Peek(2)
	switch {
	case errors.Is(err, io.EOF) && len(mark) == 0:
		return nil, fmt.Errorf("%s: the file is empty", file)
	case err != nil && !errors.Is(err, io.EOF):
		return nil, fmt.Errorf("%s: %w", file, err)
	case bytes.Equal(mark, []byte{0xff, 0xfe}) || bytes.Equal(mark, []byte{0xfe, 0xff}):
		return bufio.NewReaderSize(transform.NewReader(in, unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder()), lineMost), nil
	case bytes.Equal(mark, []byte{0xef, 0xbb}):
		if three, err := in.Peek(3); err == nil && three[2] == 0xbf {
			if _, err := in.Discard(3); err != nil {
				return nil, fmt.Errorf("%s: %w", file, err)
			}
		}
	}
	return in, nil
}

// recognise takes the dialect from the head's lines.
func (s *Table) recognise() error {
	d, ok := dialectOf(s.head[:min(len(s.head), headMost)])
	if !ok {
		looked := "it"
		if len(s.head) > 1 {
			looked = fmt.Sprintf("its first %d lines", len(s.head))
		}
		return fmt.Errorf("%s: no row with a time and a value in %s; export it as a table of text with commas, semicolons or tabs", s.File, looked)
	}
	s.d, s.Columns = d, d.columns
	return nil
}

// OpenLive is Open for a table that comes line by line: it reads no more than it takes to recognise it.
func OpenLive(file string, from io.Reader) (*Table, error) {
	in, err := plainBytes(file, from)
	if err != nil {
		return nil, err
	}
	s := &Table{File: file, in: in}
	for size := 0; len(s.head) < headMost && size < headBytes; {
		line, err := in.ReadSlice('\n')
		if len(line) > 0 {
			s.head = append(s.head, bytes.Clone(line))
			size += len(line)
		}
		if d, ok := dialectOf(s.head); ok && (len(s.head)-d.headLines >= 2 || err != nil) {
			break
		}
		if err != nil {
			break
		}
	}
	s.held = s.head
	return s, s.recognise()
}

// Find is the column that a user names by its head, or by its number where no head is that number.
func (s *Table) Find(name string) (Column, error) {
	var names []string
	wanted := strings.ToLower(strings.TrimSpace(name))
	for _, c := range s.Columns { // "T" beside "t" is the temperature, not the time
		if c.Name != "" && c.Name == strings.TrimSpace(name) {
			return c, nil
		}
	}
	for _, c := range s.Columns {
		if c.Name != "" && (strings.ToLower(c.Name) == wanted || strings.ToLower(c.Title()) == wanted || strings.ToLower(c.Name+"/"+c.Unit.Text) == wanted) {
			return c, nil
		}
	}
	if n, err := strconv.Atoi(wanted); err == nil && n >= 1 && n <= len(s.Columns) {
		return s.Columns[n-1], nil
	}
	best, distance := "", 1+len(wanted)/2
	for _, c := range s.Columns {
		names = append(names, c.Title())
		if d := levenshtein.ComputeDistance(wanted, strings.ToLower(c.Name)); c.Name != "" && d < distance {
			best, distance = c.Name, d
		}
	}
	if best != "" {
		return Column{}, fmt.Errorf("%s: no column is called %q; did you mean %q?", s.File, name, best)
	}
	return Column{}, fmt.Errorf("%s: no column is called %q; the columns are %s", s.File, name, strings.Join(names, ", "))
}

// rows are the head's rows, parted into cells.
func (s *Table) rows() [][][]byte {
	var out [][][]byte
	for _, line := range s.head[min(s.d.headLines, len(s.head)):] {
		if cells := cellsOf(line, s.d.separator); len(cells) == s.d.cells {
			out = append(out, cells)
		}
	}
	return out
}

// Time is the column that holds the time: the first that is headed so, else the first column where it holds clock times or
// rising numbers; ok is false where there is none.
func (s *Table) Time() (Column, bool) {
	for _, c := range s.Columns {
		if saysTime(c) && s.holdsTimes(c) {
			return c, true
		}
	}
	if len(s.Columns) > 1 && s.rises(s.Columns[0]) {
		return s.Columns[0], true
	}
	return Column{}, false
}

// holdsTimes tells whether a column's first cells are numbers or clock times.
func (s *Table) holdsTimes(c Column) bool {
	for _, row := range s.rows() {
		var k clock
		if _, ok := k.read(row[c.Index-1], s.d.decimal); ok {
			return true
		}
		if _, ok, _ := value(row[c.Index-1], s.d.decimal); ok {
			return true
		}
	}
	return false
}

func (s *Table) rises(c Column) bool {
	last, rose := math.Inf(-1), 0
	var k clock
	for _, row := range s.rows() {
		v, ok := k.read(row[c.Index-1], s.d.decimal)
		if !ok {
			v, ok = number(row[c.Index-1], s.d.decimal)
		}
		if !ok || v < last {
			return false
		}
		if v > last {
			rose++
		}
		last = v
	}
	return rose > 1
}

// Numeric are the columns whose first cells are numbers, other than one.
func (s *Table) Numeric(other Column) []Column {
	var out []Column
	for _, c := range s.Columns {
		if c.Index == other.Index {
			continue
		}
		for _, row := range s.rows() {
			if _, ok, over := value(row[c.Index-1], s.d.decimal); ok || over {
				out = append(out, c)
				break
			}
		}
	}
	return out
}

// Step is the finest step in which a column's first values are written, in its SI unit; 0 where that cannot be told.
func (s *Table) Step(c Column) float64 {
	most, some := 0, false
	for _, row := range s.rows() {
		cell := row[c.Index-1]
		if bytes.ContainsAny(cell, "eE") {
			return 0
		}
		if _, ok := number(cell, s.d.decimal); ok {
			most, some = max(most, decimals(cell, s.d.decimal)), true
		}
	}
	if !some {
		return 0
	}
	return math.Pow(10, -float64(most)) * c.scale()
}

// scale is how many SI units one of a column's is.
func (c Column) scale() float64 {
	if c.Unit.Measure == Other {
		return 1
	}
	return c.Unit.Scale
}
