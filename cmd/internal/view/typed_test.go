package view

import (
	"strings"
	"testing"

	"ohmtrail/circuits"
)

func TestTyped(t *testing.T) {
	m := circuits.DefaultMeter()
	for _, c := range []struct {
		q         circuits.Quantity
		text      string
		low, high float64
		pair, ol  bool
	}{
		{circuits.Volts, "4.98", 4.98, 4.98, false, false},
		{circuits.Volts, "4,98", 4.98, 4.98, false, false},
		{circuits.Volts, " 980m ", 0.98, 0.98, false, false},
		{circuits.Volts, "12 mV", 0.012, 0.012, false, false},
		{circuits.Volts, "-.02", -0.02, -0.02, false, false},
		{circuits.Volts, "\u22120,02 V", -0.02, -0.02, false, false},
		{circuits.Volts, "12,600", 12.6, 12.6, false, false}, // no circuit here has thousands of volts
		{circuits.Volts, "4.98 1.9", 1.9, 4.98, true, false},
		{circuits.Volts, "1,9, 4,98", 1.9, 4.98, true, false},
		{circuits.Volts, "1.9 to 4.98 V", 1.9, 4.98, true, false},
		{circuits.Volts, "5 5", 5, 5, false, false},
		{circuits.ScanVolts, "0", 0, 0, false, false},
		{circuits.Ohms, "4k7", 4700, 4700, false, false},
		{circuits.Ohms, "4.7 kΩ", 4700, 4700, false, false},
		{circuits.Ohms, "4,7k", 4700, 4700, false, false},
		{circuits.Ohms, "0,470", 0.47, 0.47, false, false},
		{circuits.Ohms, "12m", 0.012, 0.012, false, false},
		{circuits.Ohms, "1M2", 1.2e6, 1.2e6, false, false},
		{circuits.Ohms, "1.2 Mohm", 1.2e6, 1.2e6, false, false},
		{circuits.Ohms, "ol", 40e6, 40e6, false, true},
		{circuits.Ohms, "OL 12.5", 12.5, 40e6, true, true},
		{circuits.Amps, "350 mA", 0.35, 0.35, false, false},
	} {
		r, err := Typed(circuits.Reading{Quantity: c.q, Note: "n"}, m, c.text)
		if err != nil || !r.Taken || r.Note != "n" || !near(r.Value, c.low) || !near(r.High, c.high) || r.Pair != c.pair || r.OL != c.ol {
			t.Errorf("%s %q: %+v, %v", c.q, c.text, r, err)
		}
	}
}

// A symptom that comes and goes is said behind the value.
func TestTypedSymptom(t *testing.T) {
	for text, want := range map[string]circuits.Symptom{"4.98 there": circuits.SymptomThere, "4,98 V Away": circuits.SymptomAway, "1.9 4.98 there": circuits.SymptomThere, "4.98": circuits.SymptomUnknown} {
		r, err := Typed(circuits.Reading{Quantity: circuits.Volts}, circuits.DefaultMeter(), text)
		if err != nil || r.Symptom != want || !near(r.High, 4.98) {
			t.Errorf("%q: %+v, %v", text, r, err)
		}
	}
	if _, err := Typed(circuits.Reading{Quantity: circuits.Volts}, circuits.DefaultMeter(), "there"); err == nil {
		t.Error("a symptom alone is taken for a value")
	}
}

func near(a, b float64) bool { return a-b < 1e-12 && b-a < 1e-12 }

func TestTypedRefuses(t *testing.T) {
	for _, c := range []struct {
		q          circuits.Quantity
		text, says string
	}{
		{circuits.Volts, "", "type the value"},
		{circuits.Volts, "OL", "OL is no value in volts"},
		{circuits.ScanVolts, "beep", "a beep says nothing in volts"},
		{circuits.Ohms, "beep", "some path is below 30 to 50 Ω"},
		{circuits.Ohms, "4,700", `"4,700" may be 4.700 or 4700 ohms`},
		{circuits.Ohms, "-3", "-3 is no resistance"},
		{circuits.Ohms, "4.98V", `"4.98V" is in V, and this reading is in ohms`},
		{circuits.Volts, "4k7Ω", `is in Ω, and this reading is in volts`},
		{circuits.Volts, "4k7", `"4k7" is no value in volts`},
		{circuits.Volts, "1 2 3", "these are 3 values"},
		{circuits.Volts, "1.2.3", `"1.2.3" is no value in volts`},
		{circuits.Volts, "1.234,5", "more than one point"},
		{circuits.Volts, "0x10", "is no value"},
		{circuits.Volts, "1e3", "is no value"},
		{circuits.Volts, "NaN", "is no value"},
		{circuits.Volts, "-", "nothing shown is no value"},
		{circuits.Volts, "\xff", "is no value"},
		{circuits.Amps, strings.Repeat("9", 400), "is no value"},
	} {
		if r, err := Typed(circuits.Reading{Quantity: c.q}, circuits.DefaultMeter(), c.text); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s %q: %+v, %v, want %q", c.q, c.text, r, err, c.says)
		}
	}
}
