package view

import "strings"

// table is a head and rows of cells, the first column in words, the others compared with each other. It is set in as
// many blocks of columns as the page's width asks for; each block repeats the first column.
type table struct {
	head []string
	rows [][]string
}

const (
	gutter    = 2
	leastWord = 18 // columns that the first column keeps on the narrowest page
	mostWord  = 44
	mostHead  = 20 // columns that a head may ask for, beyond its longest word
)

// set prints the table.
func (t table) set(p Page) string {
	wide := make([]int, len(t.head)) // columns that each cell needs; heads are broken to fit
	for c := 1; c < len(t.head); c++ {
		wide[c] = min(width(t.head[c])/2, mostHead) // two lines where they are not too wide, else more
		for _, word := range strings.Split(t.head[c], " ") {
			wide[c] = max(wide[c], width(word))
		}
		for _, r := range t.rows {
			wide[c] = max(wide[c], width(r[c]))
		}
	}
	for _, r := range t.rows {
		wide[0] = max(wide[0], width(r[0]))
	}
	wide[0] = t.firstColumn(p, max(wide[0], width(t.head[0])), wide[1:])
	var b strings.Builder
	for first := 1; ; {
		last, used := first, wide[0]
		for last < len(t.head) && (last == first || used+gutter+wide[last] <= p.Width) {
			used += gutter + wide[last]
			last++
		}
		t.block(&b, p, wide, first, last)
		if first = last; first >= len(t.head) {
			return spaced(b.String())
		}
		b.WriteString("\n")
	}
}

// firstColumn is the width of the first column: what it needs where the table fits the page, else a share of the page
// that leaves room for others.
func (t table) firstColumn(p Page, needs int, others []int) int {
	total, widest := 0, 0
	for _, w := range others {
		total += gutter + w
		widest = max(widest, w)
	}
	if needs = min(needs, mostWord); needs+total <= p.Width {
		return needs
	}
	return min(needs, max(2*p.Width/5, leastWord), max(p.Width-gutter-widest, leastWord))
}

// block prints the first column and those from first to before last.
func (t table) block(b *strings.Builder, p Page, wide []int, first, last int) {
	line := func(cells []string, head bool) {
		columns := append([]string{cells[0]}, cells[first:last]...)
		widths := append([]int{wide[0]}, wide[first:last]...)
		var broken [][]string
		deep := 0
		for i, c := range columns {
			lines := wrap(c, widths[i])
			if i == 0 && !head {
				lines = hanging(c, widths[i])
			}
			broken = append(broken, lines)
			deep = max(deep, len(lines))
		}
		for k := range deep {
			var s strings.Builder
			for i, lines := range broken {
				cell := ""
				if k < len(lines) {
					cell = lines[k]
				}
				if i > 0 {
					s.WriteString(strings.Repeat(" ", gutter))
				}
				s.WriteString(pad(cell, widths[i], false))
			}
			text := strings.TrimRight(s.String(), " ")
			if head {
				text = p.strong(text)
			}
			b.WriteString(text + "\n")
		}
	}
	line(t.head, true)
	for _, r := range t.rows {
		line(r, false)
	}
}

// hanging wraps "1 words" with its further lines indented under the words.
func hanging(s string, columns int) []string {
	number, words, ok := strings.Cut(s, " ")
	if !ok || width(number) > 3 || strings.Trim(number, "0123456789") != "" {
		return wrap(s, columns)
	}
	indent := strings.Repeat(" ", width(number)+1)
	lines := wrap(words, max(columns-len(indent), 1))
	for i := range lines {
		if i == 0 {
			lines[i] = number + " " + lines[i]
		} else {
			lines[i] = indent + lines[i]
		}
	}
	return lines
}
