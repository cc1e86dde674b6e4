package draw

import (
	"strings"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
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

// wrap breaks a text at plain spaces into lines of about so many letters; a longer word stays whole.
func wrap(text string, letters int) []string {
	var out []string
	for _, word := range strings.Split(text, " ") {
		if word == "" {
			continue
		}
		if n := len(out); n > 0 && len([]rune(out[n-1]))+1+len([]rune(word)) <= letters {
			out[n-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

// lines sets wrapped text in one size.
func lines(text string, letters int, like line) []line {
	var out []line
	for _, s := range wrap(text, letters) {
		like.text = s
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
