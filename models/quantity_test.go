package models

import (
	"math"
	"strings"
	"testing"
)

// Three significant digits, and the prefix of the value as it is printed: 999.9 Ω is 1.00 kΩ.
func TestSI(t *testing.T) {
	for _, test := range []struct {
		value float64
		unit  string
		want  string
	}{
		{4700, "Ω", "4.70 kΩ"}, {999.9, "Ω", "1.00 kΩ"}, {999.4, "Ω", "999 Ω"}, {0.005, "Ω", "5.00 mΩ"}, {0, "V", "0 V"}, {-0.00049, "A", "-490 µA"},
		{12.6, "V", "12.6 V"}, {5, "V", "5.00 V"}, {40e6, "Ω", "40.0 MΩ"}, {1e9, "Ω", "1.00 GΩ"}, {2.5e12, "Ω", "2500 GΩ"}, {1.2e-9, "A", "1.20 nA"}, {1.2e-12, "A", "1.2e-12 A"},
		{99.95, "Ω", "100 Ω"}, {99.94, "Ω", "99.9 Ω"}, {9.995, "Ω", "9.99 Ω"}, {9.996, "Ω", "10.0 Ω"}, {0.9996, "V", "1.00 V"}, {-999.9, "Ω", "-1.00 kΩ"},
		{math.Inf(1), "Ω", "Inf Ω"}, {math.Inf(-1), "V", "-Inf V"},
	} {
		if got := SI(test.value, test.unit); got != test.want {
			t.Errorf("SI(%v, %q) is %q, want %q", test.value, test.unit, got, test.want)
		}
	}
}

// Between 1 n and 1000 G nothing is printed with an exponent or a fourth digit before the point.
func TestSIStaysShort(t *testing.T) {
	for exponent := -9.0; exponent < 11.99; exponent += 0.0137 {
		number, _, _ := strings.Cut(SI(math.Pow(10, exponent), "V"), " ")
		if digits := strings.ReplaceAll(number, ".", ""); len(digits) != 3 || strings.ContainsAny(number, "e+") {
			t.Errorf("10^%.4f V is printed as %q", exponent, SI(math.Pow(10, exponent), "V"))
		}
	}
}

func TestVolts(t *testing.T) {
	for value, want := range map[float64]string{4.98: "4.98 V", 0.02: "0.020 V", 0.9994: "0.999 V", 0.9996: "1.00 V", 12.6: "12.60 V", 0: "0.000 V", -0.0001: "0.000 V", -0.45: "-0.450 V", -12.604: "-12.60 V"} {
		if got := Volts(value); got != want {
			t.Errorf("Volts(%v) is %q, want %q", value, got, want)
		}
	}
}
