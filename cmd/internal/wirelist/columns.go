package wirelist

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Column is what a column of a wire list holds.
type Column string

// The columns that an import reads. Number is a wire's number, the name of a run only where there is no Name.
const (
	From       Column = "from"
	FromCavity Column = "from-cavity"
	FromSide   Column = "from-side"
	To         Column = "to"
	ToCavity   Column = "to-cavity"
	ToSide     Column = "to-side"
	Color      Column = "color"
	Size       Column = "size"
	Length     Column = "length"
	Name       Column = "name"
	Number     Column = "number"
	Role       Column = "role"
)

// Columns lists the columns in the order of the constants.
func Columns() []Column {
	return []Column{From, FromCavity, FromSide, To, ToCavity, ToSide, Color, Size, Length, Name, Number, Role}
}

// The words of headers in the languages of the trade (English, German, French, Italian, Spanish), without accents.
var (
	fromWords   = words("from von de da desde start source src origin begin depart ausgang")
	toWords     = words("to nach zu vers hacia hasta target dest destination ziel arrivee verso")
	endWords    = words("1 a") // from-words only beside a word for a place or a cavity
	otherWords  = words("2 b") // to-words, likewise
	cavityWords = words("pin pins cavity cav terminal term contact way kammer kontakt klemme broche alveole voie cavita polo via contacto position pos")
	sideWords   = words("side seite cote lato lado half haelfte")
	placeWords  = words("connector conn component comp device plug item ref refdes stecker bauteil geraet ort location node end ende connecteur connettore conector composant componente point punkt housing gehaeuse")
	colorWords  = words("color colour colors colours col farbe couleur colore farben insulation isolation")
	sizeWords   = words("size mm2 sqmm csa cross querschnitt section sezione seccion area gauge awg ga qs")
	lengthWords = words("length len laenge lange longueur lunghezza longitud long")
	nameWords   = words("signal name net netname description function designation potential bezeichnung signalname benennung nom nome nombre senal segnale fonction funktion circuitname")
	numberWords = words("wire wireno wireid number no nr nummer circuit circuitno leitung ader kabel cable fil filo cavo hilo repere id conductor draht wirenumber leitungsnr")
	roleWords   = words("role rolle")
	oddWords    = words("ohms ohm resistance strip seal part partno mpn spec splice layer qty quantity")
)

func words(s string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(s) {
		out[w] = true
	}
	return out
}

// tokens cuts a header into lower-case words without accents: "FromConn." and "From Conn" are both from, conn; "mm²" is
// mm2.
func tokens(header string) []string {
	plain := strings.NewReplacer("²", "2", "ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue", "é", "e", "è", "e", "ê", "e", "à", "a", "á", "a",
		"í", "i", "ó", "o", "ò", "o", "ú", "u", "ù", "u", "ñ", "n", "ô", "o", "É", "E", "À", "A").Replace(header)
	var out []string
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			out = append(out, strings.ToLower(b.String()))
			b.Reset()
		}
	}
	lower := false
	for _, r := range plain {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			flush()
		case unicode.IsUpper(r) && lower:
			flush()
			fallthrough
		default:
			b.WriteRune(r)
		}
		lower = unicode.IsLower(r)
	}
	flush()
	return out
}

func anyOf(tokens []string, set map[string]bool) bool {
	for _, t := range tokens {
		if set[t] || set[strings.TrimRight(t, "0123456789")] && len(strings.TrimRight(t, "0123456789")) > 1 {
			return true
		}
	}
	return false
}

// endOf tells which end of the wire a header speaks of: 1, 2, or 0 for neither.
func endOf(t []string) int {
	beside := anyOf(t, placeWords) || anyOf(t, cavityWords) || anyOf(t, sideWords)
	last := ""
	if len(t) > 0 {
		last = t[len(t)-1]
		if digit := last[len(last)-1:]; len(last) > 1 && (digit == "1" || digit == "2") {
			last = digit // Pin1
		}
	}
	switch {
	case anyOf(t, fromWords):
		return 1
	case anyOf(t, toWords):
		return 2
	case beside && endWords[last]:
		return 1
	case beside && otherWords[last]:
		return 2
	}
	return 0
}

// columnOf tells what a header stands for; "" for nothing known. A header that is only "pin" or "side" belongs to the end
// named last before it.
func columnOf(header string, lastEnd int) Column {
	t := tokens(header)
	if len(t) == 0 {
		return ""
	}
	switch {
	case anyOf(t, oddWords):
		return ""
	case anyOf(t, colorWords):
		return Color
	case anyOf(t, lengthWords):
		return Length
	case anyOf(t, sizeWords):
		return Size
	case anyOf(t, roleWords):
		return Role
	}
	end := endOf(t)
	near := end
	if end == 0 {
		near = lastEnd
	}
	place := [3]Column{"", From, To}
	cavity := [3]Column{"", FromCavity, ToCavity}
	side := [3]Column{"", FromSide, ToSide}
	switch {
	case anyOf(t, sideWords):
		return side[near]
	case anyOf(t, cavityWords):
		return cavity[near]
	case end > 0:
		return place[end]
	case len(t) == 1 && t[0] == "a" && lastEnd == 1:
		return To // de/a, da/a
	case anyOf(t, nameWords):
		return Name
	case anyOf(t, numberWords):
		return Number
	}
	return ""
}

// layout is where each column stands in a row, and the units that the headers name.
type layout struct {
	at         map[Column]int
	sizeUnit   string // "mm2", "awg", or "" where the header does not say
	lengthUnit string // "m", "mm", "cm", "ft", "in", or ""
}

// readHeader finds the columns in a row; ok is false where it is no header, for lack of a from and a to.
func readHeader(row []string, given map[Column]string) (layout, bool) {
	l := layout{at: map[Column]int{}}
	lastEnd := 0
	for i, cell := range row {
		c := columnOf(cell, lastEnd)
		if c == From || c == FromCavity {
			lastEnd = 1
		}
		if c == To || c == ToCavity {
			lastEnd = 2
		}
		if _, twice := l.at[c]; c == "" || twice {
			continue
		}
		l.at[c] = i
	}
	for _, c := range Columns() {
		name, ok := given[c]
		if !ok {
			continue
		}
		delete(l.at, c)
		found := -1
		for i, cell := range row {
			if found < 0 && strings.EqualFold(strings.TrimSpace(cell), strings.TrimSpace(name)) {
				found = i
			}
		}
		if n, err := strconv.Atoi(name); err == nil && found < 0 && n >= 1 && n <= len(row) {
			found = n - 1
		}
		if found < 0 {
			return l, false
		}
		for other, i := range l.at {
			if _, fixed := given[other]; i == found && !fixed {
				delete(l.at, other)
			}
		}
		l.at[c] = found
	}
	if i, ok := l.at[Size]; ok {
		l.sizeUnit = sizeUnit(row[i])
	}
	if i, ok := l.at[Length]; ok {
		l.lengthUnit = lengthUnit(row[i])
	}
	_, from := l.at[From]
	_, to := l.at[To]
	return l, from && to
}

func sizeUnit(header string) string {
	t := tokens(header)
	switch {
	case anyOf(t, words("awg gauge ga")):
		return "awg"
	case anyOf(t, words("mm2 sqmm csa querschnitt qmm sezione seccion")):
		return "mm2"
	}
	return ""
}

func lengthUnit(header string) string {
	for _, t := range tokens(header) {
		switch t {
		case "m", "meters", "metres", "meter", "metre":
			return "m"
		case "mm", "cm", "ft", "in":
			return t
		case "inch", "inches":
			return "in"
		case "feet", "foot":
			return "ft"
		}
	}
	return ""
}

// ParseColumns reads COLUMN=HEADER options; HEADER is the header's text or its number from 1 on.
func ParseColumns(options []string) (map[Column]string, error) {
	out := map[Column]string{}
	for _, o := range options {
		name, header, ok := strings.Cut(o, "=")
		known := false
		var names []string
		for _, c := range Columns() {
			known = known || string(c) == name
			names = append(names, string(c))
		}
		if !ok || !known || header == "" {
			return nil, fmt.Errorf("%q: write COLUMN=HEADER, such as from=Start, with one of the columns %s", o, strings.Join(names, ", "))
		}
		out[Column(name)] = header
	}
	return out, nil
}
