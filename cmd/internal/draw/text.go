package draw

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"ohmtrail/cmd/internal/lines"
)

// Sizes of text, in units of the drawing. One unit is one pixel of a screen at its natural size.
const (
	titleSize = 18.0
	nameSize  = 14.0
	textSize  = 12.0
	smallSize = 11.0
)

// families are what a viewer of the SVG is asked for. The Go fonts, with which texts are measured and the PNG is
// drawn, are within 1 % of the width of the first three.
const families = "Arial, Helvetica, 'Liberation Sans', Go, sans-serif"

// slack widens every measured text, for a viewer whose sans-serif is wider than those.
const slack = 1.06

// line is one line of text in a drawing.
type line struct {
	text string
	size float64
	bold bool
	ink  string
}

// leading is the height that a line takes.
func (l line) leading() float64 { return l.size * 1.2 }

// ruler measures text in the fonts that the PNG is drawn with.
type ruler struct {
	regular, bold *sfnt.Font
	buffer        sfnt.Buffer
}

func newRuler() *ruler {
	return &ruler{regular: mustParse(goregular.TTF), bold: mustParse(gobold.TTF)}
}

func mustParse(ttf []byte) *sfnt.Font {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(err) // the fonts are compiled in
	}
	return f
}

// width is the width of a line, with its slack.
func (r *ruler) width(l line) float64 {
	w, _ := r.measured(l)
	return w * slack
}

// measured is the width of a line in the Go fonts; known is false where they lack a letter of it, which then counts as a
// square.
func (r *ruler) measured(l line) (width float64, known bool) {
	f := r.regular
	if l.bold {
		f = r.bold
	}
	total, known := 0.0, l.text != ""
	for _, letter := range l.text {
		i, err := f.GlyphIndex(&r.buffer, letter)
		advance := fixed.I(1024)
		if err == nil && i != 0 {
			advance, err = f.GlyphAdvance(&r.buffer, i, advance, font.HintingNone)
		}
		known = known && err == nil && i != 0
		total += float64(advance) / 64 / 1024
	}
	return total * l.size, known
}

// widest is the width of the widest of the lines.
func (r *ruler) widest(lines []line) float64 {
	w := 0.0
	for _, l := range lines {
		w = max(w, r.width(l))
	}
	return w
}

// wrapped sets a text in lines of about so many letters, each like a line; none of an empty text. A longer word stays
// whole.
func wrapped(text string, letters int, like line) []line {
	if strings.Trim(text, " ") == "" {
		return nil
	}
	var out []line
	for _, like.text = range lines.Wrap(text, float64(letters), func(s string) float64 { return float64(utf8.RuneCountInString(s)) }, nil) {
		out = append(out, like)
	}
	return out
}

func heightOf(ls []line) float64 {
	h := 0.0
	for _, l := range ls {
		h += l.leading()
	}
	return h
}

// printable keeps what may stand in a text of the drawing: control characters are not allowed in XML 1.0, and signs that
// turn the direction of text would make a label say another thing.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case r < 0x20 || r >= 0x7f && r < 0xa0 || r == 0xfffe || r == 0xffff || r == 0xfffd || unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, s)
}
