package wirelist

import (
	"strings"

	"ohmtrail/models"
)

// colourWords turn what wire lists write into the letter codes of IEC 60757: English words and their usual short forms,
// German short forms and words (DIN 47100 writes WS BN GN GE GR RS BL RT SW VI), French, Italian and Spanish words.
// Common practice, no source.
var colourWords = colourTable(`
BK black blk bla schwarz sw noir nr nero negro
BN brown brn bro braun br marron brun marrone cafe
RD red rot rt rouge rosso rojo
OG orange orn org ora or arancione naranja
YE yellow yel gelb ge jaune giallo amarillo
GN green grn gruen verde vert
BU blue blu blau bleu azul
VT violet vio violett vi purple pur ppl pu viola lila morado
GY grey gray gry gra grau gris grigio
WH white wht whi weiss ws blanc bianco blanco
PK pink pnk rosa rs rose
TQ turquoise tur tuerkis tk trq turchese turquesa
`)

// unsureColours are short forms that mean different colours in different houses, with the reading taken here.
var unsureColours = map[string]string{"b": "BK", "bl": "BU", "gr": "GY", "l": "BU", "w": "WH", "r": "RD", "g": "GN", "y": "YE", "o": "OG", "v": "VT", "p": "PK"}

func colourTable(text string) map[string]string {
	out := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		f := strings.Fields(line)
		for _, word := range f[1:] {
			out[word] = f[0]
		}
		out[strings.ToLower(f[0])] = f[0]
	}
	return out
}

// colour reads a cell as an IEC 60757 colour, "GN" or "GN/BK". doubt says what was guessed, "" for nothing; ok is false
// where the cell names no colour that is known.
func colour(cell string) (code, doubt string, ok bool) {
	cell = strings.TrimSpace(cell)
	if codes, listed := models.Colour(strings.ToUpper(cell)); listed && cell != "" {
		return strings.Join(codes, "/"), "", true
	}
	plain := strings.NewReplacer("ü", "ue", "ß", "ss", "é", "e").Replace(strings.ToLower(cell))
	parts := strings.FieldsFunc(plain, func(r rune) bool { return strings.ContainsRune("/-_+ .,&", r) })
	if len(parts) == 1 && colourWords[parts[0]] == "" {
		parts = unglue(parts[0])
	}
	if len(parts) == 0 || len(parts) > 2 {
		return "", "", false
	}
	var codes []string
	for _, p := range parts {
		switch {
		case colourWords[p] != "":
			codes = append(codes, colourWords[p])
		case unsureColours[p] != "":
			codes = append(codes, unsureColours[p])
			doubt = cell + " was read as "
		default:
			return "", "", false
		}
	}
	code = strings.Join(codes, "/")
	if doubt != "" {
		doubt += models.ColourName(codes[0])
		if len(codes) == 2 {
			doubt += "/" + models.ColourName(codes[1])
		}
	}
	return code, doubt, true
}

// unglue parts GNBK and BLKWHT.
func unglue(word string) []string {
	if n := len(word); n == 4 || n == 6 {
		a, b := word[:n/2], word[n/2:]
		if colourWords[a] != "" && colourWords[b] != "" {
			return []string{a, b}
		}
	}
	return []string{word}
}
