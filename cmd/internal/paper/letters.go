package paper

import (
	"strings"
	"unicode"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// lacking stands for a letter that the fonts do not have.
const lacking = '□'

// alike are letters and the one of the fonts that says the same.
var alike = map[rune]string{
	'\u202f': "\u00a0", '\u2007': "\u00a0", '\u2009': " ", '\u200a': " ", '\u2002': " ", '\u2003': " ", '\u3000': " ",
	'\u2011': "-", '\u2010': "-", '\u2212': "–", '\u2215': "/", '\u2126': "Ω", '\u03bc': "µ", '✓': "√", '✔': "√", '✗': "×", '✘': "×",
	'☐': "□", '⚠': "!", '≫': ">>", '≪': "<<",
}

// alphabet is what the fonts can set.
type alphabet struct {
	regular, bold *sfnt.Font
	buffer        sfnt.Buffer
	known         map[rune]bool
	lacks         int
}

func newAlphabet() *alphabet {
	return &alphabet{regular: mustParse(goregular.TTF), bold: mustParse(gobold.TTF), known: map[rune]bool{}}
}

func mustParse(ttf []byte) *sfnt.Font {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("the embedded font: " + err.Error()) // compiled in
	}
	return f
}

func (a *alphabet) has(r rune) bool {
	known, there := a.known[r]
	if !there {
		i, err := a.regular.GlyphIndex(&a.buffer, r)
		j, errBold := a.bold.GlyphIndex(&a.buffer, r)
		known = r <= 0xffff && err == nil && errBold == nil && i != 0 && j != 0
		a.known[r] = known
	}
	return known
}

// clean keeps what may be shown: line ends become '\n', other control characters and the signs that turn the direction
// of text go.
func clean(s string) string {
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "�"), "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\u2028' || r == '\u2029' || r == '\v' || r == '\f':
			return '\n'
		case r == '\t':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r), r == '\ufeff', r == '\ufffe', r == '\uffff':
			return -1
		}
		return r
	}, s)
}

// flat is a text on one line.
func flat(s string) string { return strings.ReplaceAll(clean(s), "\n", " ") }

// settable is a clean text in letters of the fonts alone, a letter and its accent as one. Joiners, variation signs and hyphens that are not seen go; a
// letter that is lacking is shown as □.
func (a *alphabet) settable(s string) string {
	var b strings.Builder
	for _, r := range norm.NFC.String(clean(s)) {
		switch {
		case r == '\n' || r < 0x7f:
			b.WriteRune(r)
		case alike[r] != "":
			b.WriteString(alike[r])
		case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r), r >= 0x1f3fb && r <= 0x1f3ff: // the last: skin tones
		case a.has(r):
			b.WriteRune(r)
		default:
			b.WriteRune(lacking)
			a.lacks++
		}
	}
	return b.String()
}

// Lacks counts the letters of a text that the PDF shows as □ because its fonts do not have them.
func Lacks(text string) int {
	a := newAlphabet()
	a.settable(text)
	return a.lacks
}
