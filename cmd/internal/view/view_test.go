package view

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

func TestAmountJSON(t *testing.T) {
	got, err := json.Marshal([]Amount{4.98, 0, Amount(math.Inf(1)), Amount(math.NaN()), Amount(math.Inf(-1)), -0.25})
	if err != nil || string(got) != `[4.98,0,"OL",null,null,-0.25]` {
		t.Errorf("%s, %v", got, err)
	}
}

// TestScale: one scale a column, with the digits that a hand meter shows of its smallest value.
func TestScale(t *testing.T) {
	ol, none := math.Inf(1), math.NaN()
	for _, c := range []struct {
		q      circuits.Quantity
		values []float64
		want   string
	}{
		{circuits.Volts, []float64{4.9812, 12.604, 0}, "4.98 V, 12.60 V, 0.00 V"},
		{circuits.Volts, []float64{4.9812, 0.054}, "4.981 V, 0.054 V"},
		{circuits.Volts, []float64{4.9812, 0.0011}, "4.98 V, 0.00 V"},
		{circuits.Volts, []float64{-0.0001, 2}, "0.00 V, 2.00 V"},
		{circuits.Ohms, []float64{4700, 220e3}, "4.70 kΩ, 220.00 kΩ"},
		{circuits.Ohms, []float64{0.31, 4700}, "0.31 Ω, 4700.00 Ω"},
		{circuits.Ohms, []float64{999.9, ol}, "1.00 kΩ, OL"},
		{circuits.Ohms, []float64{ol, none}, "OL"},
		{circuits.Amps, []float64{0.0231, 0.1}, "23.1 mA, 100.0 mA"},
		{circuits.Amps, []float64{0.0231, 4.2}, "0.023 A, 4.200 A"},
	} {
		s := scaleOf(c.q, c.values)
		var got []string
		for _, v := range c.values {
			if !math.IsNaN(v) {
				got = append(got, spaced(s.value(v)))
			}
		}
		if joined := strings.Join(got, ", "); joined != c.want {
			t.Errorf("%s %v: %s, want %s", c.q, c.values, joined, c.want)
		}
	}
}

func TestPercentNeverClaimsCertainty(t *testing.T) {
	for p, want := range map[float64]string{1: ">99 %", 0.9999: ">99 %", 0.994: "99 %", 0.71: "71 %", 0.01: "1 %", 0.004: "0.4 %", 0.0001: "<0.1 %", 0: "0 %"} {
		if got := spaced(Percent(p)); got != want {
			t.Errorf("%g is %s, want %s", p, got, want)
		}
	}
}

// TestTableFitsThePage sets one table on pages of every width down to a phone's: no line is wider than the page, no cell
// is lost, and each block repeats the first column.
func TestTableFitsThePage(t *testing.T) {
	table := table{head: []string{"reading", "read", "healthy", "high-resistance C7:1>MHS:1", "device MHS: open inside"}, rows: [][]string{
		{"1 scan MCU:A2", "0.000 V", "2.70 V", "0.001 V", "0.000 V"},
		{"12 MHS:1 to MHS:3, MHS unplugged, 220 Ω from MHS:1 to MHS:3", "2.03 V", "5.00 V", "2.02 V", "≠ 4.98 V"},
	}}
	for columns := 36; columns <= 120; columns++ {
		text := table.set(Page{Width: columns})
		for _, line := range strings.Split(text, "\n") {
			if width(line) > columns {
				t.Errorf("at %d columns this line has %d: %q", columns, width(line), line)
			}
			if strings.HasSuffix(line, " ") {
				t.Errorf("at %d columns a line ends in spaces: %q", columns, line)
			}
		}
		for _, word := range []string{"0.000 V", "2.70 V", "0.001 V", "2.03 V", "≠ 4.98 V", "high-resistance", "C7:1>MHS:1", "inside"} {
			if !strings.Contains(text, word) {
				t.Errorf("at %d columns %q is lost:\n%s", columns, word, text)
			}
		}
		blocks := strings.Count(text, "\n\n") + 1
		if n := strings.Count(text, "12 MHS:1"); n != blocks {
			t.Errorf("at %d columns %d blocks name the reading %d times", columns, blocks, n)
		}
	}
}

func TestHangingIndentsUnderTheWords(t *testing.T) {
	got := strings.Join(hanging("12 MHS:1, MHS unplugged", 12), "|")
	if got != "12 MHS:1,|   MHS|   unplugged" {
		t.Errorf("%q", got)
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{"": "", "no readings yet": "No readings yet.", "Done.": "Done."} {
		if got := sentence(in); got != want {
			t.Errorf("%q is %q, want %q", in, got, want)
		}
	}
}

func TestFootnotesNameAReasonOnce(t *testing.T) {
	var n footnotes
	for i, want := range []string{"a", "b", "a"} {
		if got := n.mark([]string{"floating", "live", "floating"}[i]); got != want {
			t.Errorf("mark %d is %s, want %s", i, got, want)
		}
	}
	if letter(25) != "z" || letter(26) != "aa" || letter(27) != "ab" {
		t.Errorf("letters %s %s %s", letter(25), letter(26), letter(27))
	}
}

// squib, loaded and running jobs each get the words of care that apply, and no others.
func TestCautions(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	squib, err := library.Circuit("squib")
	if err != nil {
		t.Fatal(err)
	}
	of := func(c *circuits.Circuit, readings ...circuits.Reading) string {
		return strings.Join(Cautions(&circuits.Job{Circuit: c, Readings: readings}), "\n")
	}
	for _, k := range []struct {
		name, said string
		has, lacks []string
	}{
		{"no reading", of(c), []string{"test lamp"}, []string{"Ohms only", "Engine", "fuse"}},
		{"ohms", of(c, circuits.Reading{Quantity: circuits.Ohms}), []string{"Ohms only on a dead circuit"}, []string{"Engine"}},
		{"running", of(c, circuits.Reading{State: circuits.State{Key: circuits.KeyRun}}), []string{"hot and moving"}, []string{"Ohms only"}},
		{"jumper", of(c, circuits.Reading{State: circuits.State{Jumpers: make([][2]circuits.Point, 1)}}), []string{"fuse in the lead"}, nil},
		{"squib", of(squib), []string{"Stop: this is a pyrotechnic circuit"}, []string{"test lamp", "Ohms only"}},
	} {
		for _, s := range k.has {
			if !strings.Contains(k.said, s) {
				t.Errorf("%s: lacks %q:\n%s", k.name, s, k.said)
			}
		}
		for _, s := range k.lacks {
			if strings.Contains(k.said, s) {
				t.Errorf("%s: has %q:\n%s", k.name, s, k.said)
			}
		}
	}
}

// TestWords says readings and places of a circuit as a technician would.
func TestWords(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	wire := c.Wires[0]
	for got, want := range map[string]string{
		Place(c, wire.Location): "GN/WH wire of the coolant temperature signal, 1.4 m, from ECU (engine control unit) to C101 (bulkhead connector)",
		Place(c, circuits.PointLocation(circuits.Point{Place: "C101", Cavity: "7"})):                  "contact 7 of C101 (bulkhead connector)",
		Place(c, circuits.PointLocation(circuits.Point{Place: "ECU", Cavity: "A12", Side: "device"})): "inside ECU (engine control unit), behind pin A12",
		Place(c, circuits.PointLocation(circuits.Point{Place: "G101"})):                               "G101 (stud on the left inner wing)",
		Stimulus(c, "ECT", 80): "ECT at 80 °C",
	} {
		if spaced(got) != want {
			t.Errorf("%q, want %q", spaced(got), want)
		}
	}
	r := circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: "ECT", Cavity: "1"}), To: circuits.Point{Place: "ECT", Cavity: "2"}, Quantity: circuits.Ohms,
		State: circuits.State{Key: circuits.KeyOff, Unplugged: []string{"ECT"}}, Taken: true, Value: 330, High: 40e6, Pair: true, OL: true}
	if got := spaced(readingWords(c, r) + ": " + Read(r)); got != "ohms ECT:1 to ECT:2, key off, ECT unplugged: 330 Ω to OL" {
		t.Errorf("%q", got)
	}
}

// No current prints as none, not as what the arithmetic left of it.
func TestNoCurrent(t *testing.T) {
	for _, v := range []float64{0, 1.99e-19, -1.99e-19} {
		if got := Value(circuits.Amps, v); got != "0"+nbsp+"A" && got != "0 A" {
			t.Errorf("%g A prints as %q", v, got)
		}
	}
}
