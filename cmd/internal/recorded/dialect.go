package recorded

import (
	"bytes"
	"unicode/utf8"
)

// dialect is how a table is written.
type dialect struct {
	separator byte // 0 for a single column
	decimal   byte
	columns   []Column
	headLines int // lines before the first row
	cells     int // of a row
}

// dialectOf finds out how lines are written; ok is false where no row of numbers is among them. With several separators
// that would do, the one that parts rows most alike wins, then the semicolon, the tab, the comma.
func dialectOf(lines [][]byte) (dialect, bool) {
	var best dialect
	bestScore := 0
	for _, separator := range []byte{';', '\t', ',', 0} {
		d, rows := tryDialect(lines, separator)
		score := rows * min(d.cells, 2)
		if score > bestScore {
			best, bestScore = d, score
		}
	}
	if bestScore == 0 {
		return dialect{}, false
	}
	best.columns = best.head(lines)
	return best, true
}

// tryDialect reads lines with a separator and gives the number of rows that fit it.
func tryDialect(lines [][]byte, separator byte) (dialect, int) {
	d := dialect{separator: separator, decimal: '.'}
	counts := map[int]int{}
	for _, line := range lines {
		if n := len(cellsOf(line, separator)); len(bytes.TrimSpace(line)) > 0 && hasDigit(line) {
			counts[n]++
		}
	}
	for n, times := range counts {
		if times > counts[d.cells] || times == counts[d.cells] && n > d.cells {
			d.cells = n
		}
	}
	if d.cells == 0 || separator != 0 && d.cells < 2 {
		return d, 0
	}
	d.decimal = decimalOf(lines, separator, d.cells)
	first, rows := -1, 0
	for i, line := range lines {
		if !d.isRow(line) {
			continue
		}
		if first < 0 {
			first = i
		}
		rows++
	}
	d.headLines = max(first, 0)
	return d, rows
}

func hasDigit(line []byte) bool { return bytes.ContainsAny(line, "0123456789") }

// isRow tells whether a line is a row of numbers and times: with as many cells, and more of them numbers than words. A
// first cell in words is none.
func (d *dialect) isRow(line []byte) bool {
	cells := cellsOf(line, d.separator)
	if len(cells) != d.cells {
		return false
	}
	numbers, words := 0, 0
	for _, c := range cells {
		var k clock
		_, isClock := k.read(c, d.decimal)
		_, isNumber, over := value(c, d.decimal)
		switch {
		case isNumber || isClock || over:
			numbers++
		case len(c) > 0:
			words++
		}
	}
	return numbers >= min(2, d.cells) && numbers >= words
}

// decimalOf tells a decimal comma: cells with one comma between digits and no point, where the comma does not part cells.
func decimalOf(lines [][]byte, separator byte, cells int) byte {
	commas, points := 0, 0
	for _, line := range lines {
		row := cellsOf(line, separator)
		if len(row) != cells {
			continue
		}
		for _, c := range row {
			comma, point := bytes.IndexByte(c, ','), bytes.IndexByte(c, '.')
			switch {
			case comma >= 0 && bytes.Count(c, []byte(",")) == 1 && point < comma:
				if _, ok := slowNumber(c, ','); ok {
					commas++
				}
			case point >= 0:
				if _, ok := slowNumber(c, '.'); ok {
					points++
				}
			}
		}
	}
	if commas > points {
		return ','
	}
	return '.'
}

// head names the columns: by the nearest line before the first row that has as many cells, with a line of units between.
func (d *dialect) head(lines [][]byte) []Column {
	columns := make([]Column, d.cells)
	for i := range columns {
		columns[i] = Column{Name: "", Index: i + 1}
	}
	at := d.headLines - 1
	above := func() [][]byte {
		for ; at >= 0; at-- {
			cells := cellsOf(lines[at], d.separator)
			if len(cells) == d.cells+1 && len(cells[d.cells]) == 0 {
				cells = cells[:d.cells]
			}
			if len(cells) == d.cells || len(cells) == d.cells-1 && d.cells > 2 {
				at--
				return cells
			}
			if len(bytes.TrimSpace(lines[at])) > 0 {
				return nil
			}
		}
		return nil
	}
	names := above()
	if names == nil {
		return columns
	}
	var units [][]byte
	if allUnits(names) {
		if higher := above(); higher != nil && !allUnits(higher) {
			units, names = names, higher
		}
	}
	for i := range columns {
		if i < len(names) {
			columns[i].Name, columns[i].Unit = headOf(plainText(names[i]))
		}
		if i < len(units) && len(units[i]) > 0 {
			columns[i].Unit = unitCell(units[i])
		}
	}
	return columns
}

// allUnits tells whether a line of a head holds nothing but units.
func allUnits(cells [][]byte) bool {
	some := false
	for _, c := range cells {
		if len(c) == 0 {
			continue
		}
		if u := unitCell(c); u.Measure == Other {
			return false
		}
		some = true
	}
	return some
}

func unitCell(cell []byte) Unit {
	u, _ := unitNamed(string(bytes.Trim([]byte(plainText(cell)), "()[] ")))
	return u
}

// plainText is a cell as UTF-8; what is not is taken for Latin-1, as older instruments write it.
func plainText(cell []byte) string {
	if utf8.Valid(cell) {
		return string(cell)
	}
	var out []rune
	for _, b := range cell {
		out = append(out, rune(b))
	}
	return string(out)
}

// cellsOf parts a line into cells without the space around them and without quotes.
func cellsOf(line []byte, separator byte) [][]byte {
	line = bytes.TrimRight(line, "\r\n")
	var out [][]byte
	for {
		cell, rest, more := nextCell(line, separator)
		out = append(out, cell)
		if !more {
			return out
		}
		line = rest
	}
}

// nextCell takes the first cell off a line; more is false where it was the last.
func nextCell(line []byte, separator byte) (cell, rest []byte, more bool) {
	if start := bytes.TrimLeft(line, " "); len(start) > 0 && start[0] == '"' {
		inside := start[1:]
		for i := 0; i < len(inside); i++ {
			if inside[i] != '"' {
				continue
			}
			if i+1 < len(inside) && inside[i+1] == '"' {
				i++
				continue
			}
			after := inside[i+1:]
			cell = bytes.TrimSpace(bytes.ReplaceAll(inside[:i], []byte(`""`), []byte(`"`)))
			if at := bytes.IndexByte(after, separator); separator != 0 && at >= 0 {
				return cell, after[at+1:], true
			}
			return cell, nil, false
		}
	}
	at := -1
	if separator != 0 {
		at = bytes.IndexByte(line, separator)
	}
	if at < 0 {
		return bytes.TrimSpace(line), nil, false
	}
	return bytes.TrimSpace(line[:at]), line[at+1:], true
}
