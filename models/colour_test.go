package models

import "testing"

// The letter codes of IEC 60757 that the contract lists.
func TestColours(t *testing.T) {
	if got := len(ColourCodes()); got != 12 {
		t.Errorf("%d codes, want 12", got)
	}
	for _, code := range ColourCodes() {
		if _, ok := Colour(code); !ok || ColourName(code) == "" || len(ColourHex(code)) != 7 || ColourHex(code)[0] != '#' {
			t.Errorf("%s is %q, %q", code, ColourName(code), ColourHex(code))
		}
	}
	for code, name := range map[string]string{"BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue", "VT": "violet",
		"GY": "grey", "WH": "white", "PK": "pink", "TQ": "turquoise"} {
		if ColourName(code) != name {
			t.Errorf("%s is %s, want %s", code, ColourName(code), name)
		}
	}
	if codes, ok := Colour("GN/BK"); !ok || len(codes) != 2 || codes[0] != "GN" || codes[1] != "BK" {
		t.Errorf("GN/BK is %v, %v", codes, ok)
	}
	for _, bad := range []string{"", "gn", "GN/", "/BK", "GN/BK/WH", "RED", "GN BK", "GN-BK"} {
		if _, ok := Colour(bad); ok {
			t.Errorf("%q is taken for a colour", bad)
		}
	}
	if ColourHex("XX") != "" || ColourName("XX") != "" {
		t.Error("an unlisted code has a name or a screen colour")
	}
}
