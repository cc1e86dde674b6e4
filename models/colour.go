package models

import "strings"

// colours are the letter codes of IEC 60757 with a screen colour for drawing.
var colours = map[string]struct{ name, hex string }{
	"BK": {"black", "#1b1b1b"}, "BN": {"brown", "#7a4a1f"}, "RD": {"red", "#c8281e"}, "OG": {"orange", "#e87a12"},
	"YE": {"yellow", "#e3c000"}, "GN": {"green", "#2f8a3c"}, "BU": {"blue", "#2458b8"}, "VT": {"violet", "#7b3fa0"},
	"GY": {"grey", "#8a8f94"}, "WH": {"white", "#f4f4f0"}, "PK": {"pink", "#e58fae"}, "TQ": {"turquoise", "#2aa5a0"},
}

// ColourCodes lists the letter codes of IEC 60757 that this project knows, in the order of the standard's table.
func ColourCodes() []string {
	return strings.Fields("BK BN RD OG YE GN BU VT GY WH PK TQ")
}

// Colour splits a wire colour ("GN" or "GN/BK") into its IEC 60757 codes; ok is false where one is not listed.
func Colour(s string) (codes []string, ok bool) {
	codes = strings.Split(s, "/")
	for _, c := range codes {
		if _, known := colours[c]; !known {
			return codes, false
		}
	}
	return codes, len(codes) <= 2
}

// ColourHex is the screen colour of one IEC 60757 code, "" for an unlisted one.
func ColourHex(code string) string { return colours[code].hex }

// ColourName is the colour's name in English, "" for an unlisted code.
func ColourName(code string) string { return colours[code].name }
