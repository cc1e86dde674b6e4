// Package paper sets finished documents: a Document is a list of blocks (headings, paragraphs, tables, lists, forms to
// fill in, drawings), and PDF, HTML and Markdown each write the same one out. A report is made with it, and a worksheet.
//
//	d := paper.Document{Title: "Worksheet 1", Foot: "mast height", Blocks: []paper.Block{
//		paper.Heading{Text: "What would you measure first?"},
//		paper.Paragraph{Text: "Write the reading and what you expect before you take it."},
//		paper.Fields{Columns: 2, Items: []paper.Field{{Label: "Name"}, {Label: "Date", Value: "2026-11-25"}}},
//		paper.Table{
//			Columns: []paper.Column{{Head: "Where", Share: 3}, {Head: "Expected", Share: 1}, {Head: "Measured", Share: 1}},
//			Rows:    []paper.Row{{Cells: []paper.Cell{{Text: "MHS:1"}, {}, {}}, LeastMM: 9}},
//		},
//		paper.Drawing{Picture: draw.Draw(circuit, draw.Marks{})},
//		paper.Ruled{Lines: 4},
//	}}
//	pdf, err := paper.PDF(d, paper.A4)
//
// Any text may be put into any field: line ends and control characters, letters that the fonts lack, words without end.
// All three forms show it or a visible sign in its place, and none lets it become markup. Lengths are in millimetres.
//
// Everything prints in black and white: nothing is told by colour alone. The fonts are the Go fonts (Latin, Greek,
// Cyrillic, signs such as Ω ° µ ≠ ≥ – → □); a letter that they lack is shown as □, and Lacks tells of it. There is no
// clock here: the same document gives the same bytes.
package paper

import (
	"time"

	"ohmtrail/cmd/internal/draw"
)

// Document is a finished document. Title stands on top of its first page and in the file's properties.
type Document struct {
	Title    string
	Language string    // of the words, such as "en"; "" counts as "en"
	Foot     string    // small words at the foot of every page, left of the page's number
	Numbers  string    // how pages are numbered: {page} and {pages} stand for the numbers; "" counts as "{page} / {pages}"
	Made     time.Time // the file's date of creation; the zero time gives a fixed one
	Blocks   []Block
}

// Block is one piece of a document: one of the types below.
type Block interface{ isBlock() }

// Heading is a heading. Level is 1 for a main one (0 counts as 1) and 2 for one within. It never stands alone at the
// foot of a page.
type Heading struct {
	Level int
	Text  string
}

// Paragraph is running text. Lead is set before it in bold ("Verified. "), Small sets it in the size of notes. A line
// end in Text breaks the line.
type Paragraph struct {
	Lead, Text string
	Small      bool
}

// Notice is words in a heavy frame, for what must not be missed. Its lines are kept on one page where they fit one.
type Notice struct{ Head, Text string }

// List is a list of points, with numbers or without. First is the first number; 0 counts as 1.
type List struct {
	Items    []string
	Numbered bool
	First    int
	Small    bool
}

// Table is rows of cells under a head that is repeated on each page. Words break within their cells; a row goes to the
// next page as a whole unless it is longer than a page.
type Table struct {
	Columns []Column
	Rows    []Row
	Small   bool // in the size of notes, for many columns
}

// Column is a column's head and how wide it is: a share of the width, or, where every Share is 0, as wide as its words
// ask for. Right sets its cells flush right.
type Column struct {
	Head  string
	Share float64
	Right bool
}

// Row is one row. A row with fewer cells than the table has columns is filled up with empty ones. LeastMM is the least
// height, for a row to write in; Heavy draws a heavy rule above it.
type Row struct {
	Cells   []Cell
	LeastMM float64
	Heavy   bool
}

// Cell is one cell of a table.
type Cell struct {
	Text string
	Bold bool
}

// Cells makes a row of plain cells.
func Cells(texts ...string) Row {
	r := Row{Cells: make([]Cell, len(texts))}
	for i, t := range texts {
		r.Cells[i].Text = t
	}
	return r
}

// Fields is a form: labels with values beside each other in so many columns (0 counts as 1). A field without a value
// is a rule to write on.
type Fields struct {
	Columns int
	Items   []Field
}

// Field is one entry of a form. LeastMM is the least height of what is written; 0 is one line.
type Field struct {
	Label, Value string
	LeastMM      float64
}

// Ticks is a list of points with a box to tick before each.
type Ticks struct{ Items []string }

// Ruled is empty lines to write on, 8 mm apart.
type Ruled struct{ Lines int }

// Box is an empty frame to write or draw in, with its caption above.
type Box struct {
	Caption  string
	HeightMM float64
}

// Drawing is a drawing, as vectors in the PDF and the HTML, as wide as the page allows. MostMM limits its height in the
// PDF; 0 is what is left of a page. A drawing that would be too small to read goes on a page of its own that is turned,
// unless Upright is set. Alt describes it for those who cannot see it.
type Drawing struct {
	Picture draw.Picture
	MostMM  float64
	Upright bool
	Alt     string
}

// Together keeps its blocks on one page where they fit one.
type Together struct{ Blocks []Block }

// Space is empty space; PageBreak begins a new page.
type (
	Space     struct{ MM float64 }
	PageBreak struct{}
)

func (Heading) isBlock()   {}
func (Paragraph) isBlock() {}
func (Notice) isBlock()    {}
func (List) isBlock()      {}
func (Table) isBlock()     {}
func (Fields) isBlock()    {}
func (Ticks) isBlock()     {}
func (Ruled) isBlock()     {}
func (Box) isBlock()       {}
func (Drawing) isBlock()   {}
func (Together) isBlock()  {}
func (Space) isBlock()     {}
func (PageBreak) isBlock() {}

// Size is a size of paper, upright.
type Size struct {
	Name              string
	WidthMM, HeightMM float64
}

// The sizes of paper: ISO 216 A4, and US Letter of 8.5 × 11 inches.
var (
	A4     = Size{"a4", 210, 297}
	Letter = Size{"letter", 215.9, 279.4}
)

// Sizes are the sizes that SizeNamed knows.
func Sizes() []Size { return []Size{A4, Letter} }

// SizeNamed finds a size by its name, "a4" or "letter"; ok is false where there is none.
func SizeNamed(name string) (s Size, ok bool) {
	for _, s := range Sizes() {
		if s.Name == name {
			return s, true
		}
	}
	return Size{}, false
}
