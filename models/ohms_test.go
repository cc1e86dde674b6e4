package models

import (
	"math"
	"strings"
	"testing"
)

// The letter code of IEC 60062 (examples of the code's R, K and M from memory of the standard; the contract's own three are
// 4k7, 0R5 and 1M). The letter stands where the decimal point would.
func TestParseOhmsReadsTheLetterCode(t *testing.T) {
	for text, want := range map[string]float64{
		"4k7": 4700, "0R5": 0.5, "1M": 1e6, "R47": 0.47, "4R7": 4.7, "47R": 47, "47K": 47e3, "47k": 47e3, "4K75": 4750, "2M2": 2.2e6, "1G": 1e9, "0R0": 0,
		"R005": 0.005, "5L": 0.005, "4L7": 0.0047, "120": 120, "0": 0, "-0": 0, "4700": 4700, "4.7": 4.7, "4.7k": 4700, "1e3": 1000, " 4k7 ": 4700,
		"4k7 Ω": 4700, "120\u2126": 120, "100k": 1e5, "0k47": 470, "10M": 10e6, "5m": 0.005,
	} {
		got, err := ParseOhms(text)
		if err != nil || math.Abs(got-want) > 1e-12*want || math.Signbit(got) {
			t.Errorf("%q is %v Ω (%v), want %v", text, got, err, want)
		}
	}
}

func TestParseOhmsRefusesWhatIsNoResistance(t *testing.T) {
	for _, text := range []string{"", " ", "k", "R", "4k7k", "4k7R", "4,7k", "4.7k5", "-5", "-4k7", "4k-7", "k-7", "nan", "inf", "+Inf", "OL", "open", "4 k 7", "1e999", "4kk7", "47 kΩhm",
		"0x10", "0x1p4", "1_000", strings.Repeat("9", 308) + "G", "1e308k"} {
		if got, err := ParseOhms(text); err == nil {
			t.Errorf("%q is read as %v Ω", text, got)
		} else if !strings.Contains(err.Error(), "4k7") {
			t.Errorf("the message for %q shows no example: %v", text, err)
		}
	}
}
