package view

import (
	"strings"

	"github.com/rivo/uniseg"

	"ohmtrail/cmd/internal/lines"
)

// Page is what text is set on.
type Page struct {
	Width int  // columns
	Bold  bool // headings in bold, as a terminal can show them
}

// Plain is the page of a pipe.
var Plain = Page{Width: 100}

// strong sets words that lead the eye.
func (p Page) strong(s string) string {
	if !p.Bold || s == "" {
		return s
	}
	return "\x1b[1m" + s + "\x1b[22m"
}

// width is the number of columns that a text takes on a terminal.
func width(s string) int { return uniseg.StringWidth(s) }

// wrap breaks a text at its spaces into lines of at most that many columns. A word that is longer stands alone.
func wrap(s string, columns int) []string {
	return lines.Wrap(s, float64(columns), func(s string) float64 { return float64(width(s)) }, nil)
}

// paragraph is a wrapped text whose first line begins with head and whose other lines are indented as far.
func (p Page) paragraph(head, s string) string {
	var b strings.Builder
	indent := strings.Repeat(" ", width(head))
	for i, line := range wrap(s, max(p.Width-len(indent), 24)) {
		if i == 0 {
			b.WriteString(head)
		} else {
			b.WriteString(indent)
		}
		b.WriteString(line + "\n")
	}
	return spaced(b.String())
}

// spaced turns the spaces that hold words together into plain ones, once no more lines are broken.
func spaced(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

// pad fills a text up to a width, on its right, or on its left for a number.
func pad(s string, columns int, number bool) string {
	fill := strings.Repeat(" ", max(columns-width(s), 0))
	if number {
		return fill + s
	}
	return s + fill
}

// count says how many of a thing there are.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return itoa(n) + " " + many
}
