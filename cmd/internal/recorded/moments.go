package recorded

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Moment is a time that a user gives for a recording, in the seconds in which Read gives its rows: a number of seconds, or a
// time of the day where the recording's times are of the day.
func (s *Table) Moment(time Column, text string) (float64, error) {
	cell := []byte(strings.TrimSpace(text))
	for _, decimal := range []byte{'.', ','} {
		if v, ok := number(cell, decimal); ok {
			return v, nil
		}
	}
	var k clock
	v, ok := k.read(cell, '.')
	if !ok {
		return 0, fmt.Errorf("%q is no time: write seconds, or hh:mm:ss as in the recording", text)
	}
	if time.Index > 0 {
		for _, row := range s.rows() {
			var first clock
			if zero, ok := first.read(row[time.Index-1], s.d.decimal); ok {
				if v -= zero; v < -halfADay {
					v += secondsADay
				}
				return v, nil
			}
		}
	}
	return 0, fmt.Errorf("%q is a time of the day, and the recording's times are not; write seconds", text)
}

// Movement is a row of a table of marks: from one time to another a place was moved. The times are as written.
type Movement struct {
	Line            int
	From, To, Place string
}

// mostMovements bounds a table of marks.
const mostMovements = 100_000

// Movements reads a table of from, to, place, with or without a head, in that order unless a head says otherwise.
func Movements(file string, from io.Reader) ([]Movement, error) {
	in, err := plainBytes(file, from)
	if err != nil {
		return nil, err
	}
	var lines [][]byte
	scan := bufio.NewScanner(in)
	scan.Buffer(nil, lineMost)
	for scan.Scan() {
		lines = append(lines, append([]byte(nil), scan.Bytes()...))
		if len(lines) > mostMovements {
			return nil, fmt.Errorf("%s:%d: more than %d movements", file, len(lines), mostMovements)
		}
	}
	if err := scan.Err(); err != nil {
		return nil, fmt.Errorf("%s:%d: %w", file, len(lines)+1, err)
	}
	separator, most, order := byte(0), 0, [3]int{0, 1, 2}
	for _, c := range []byte{';', '\t', ','} {
		rows := 0
		for _, line := range lines {
			if len(cellsOf(line, c)) >= 3 {
				rows++
			}
		}
		if rows > most {
			separator, most = c, rows
		}
	}
	var out []Movement
	var problems []error
	for i, line := range lines {
		cells := cellsOf(line, separator)
		if len(cells) == 1 && len(cells[0]) == 0 {
			continue
		}
		if len(out) == 0 && headed(cells, &order) {
			continue
		}
		if len(cells) <= max(order[0], order[1], order[2]) {
			problems = append(problems, fmt.Errorf("%s:%d: a movement needs from, to and place; write 12.5,18,C7", file, i+1))
			continue
		}
		out = append(out, Movement{Line: i + 1, From: plainText(cells[order[0]]), To: plainText(cells[order[1]]), Place: plainText(cells[order[2]])})
	}
	return out, errors.Join(problems...)
}

// headed reads a head that names from, to and place; false for any other line.
func headed(cells [][]byte, order *[3]int) bool {
	found := 0
	for i, c := range cells {
		name, _ := headOf(strings.ToLower(plainText(c)))
		for k, words := range [3]string{" from start begin ", " to end until stop ", " place moved what mark where "} {
			if strings.Contains(words, " "+name+" ") && name != "" {
				order[k] = i
				found++
			}
		}
	}
	return found >= 2
}
