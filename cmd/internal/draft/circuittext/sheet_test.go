package circuittext

import (
	"math"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"ohmtrail/circuits/read"
)

func TestSheetReadsAsAPersonWouldWriteIt(t *testing.T) {
	s := File{
		Head: []string{"from sheet 4"}, Title: "Oil \"hot\" side", Battery: []Field{{"volts", "12.6", "key on"}},
		Modules: []Module{{Name: "ECU", Pins: []Pin{
			{"A1", []Field{{Key: "kind", Value: `"input"`}, {Key: "pull_up_ohms", Value: `"2k2"`}}, "signal"},
			{"A12", []Field{{Key: "kind", Value: `"return"`}}, ""},
		}}},
		Places: []Place{{Section: "device", Name: "TS", Fields: []Field{{"kind", `"thermistor"`, ""}, {"ohms_25", "2000", ""}, {"beta", "3500", "K"},
			{"terminals", `{ a = "1", b = "2" }`, ""}}}, {Section: "splice", Name: "S1"}, {Section: "splice", Name: "S2"}},
		Runs: []Run{
			{Name: "signal", Role: "signal", Path: []string{"ECU:A1", "C1:1", "TS:1"}, Colors: []string{"GN", "GN/WH"}, SizesMM2: []float64{0.5, 0.5}, LengthsM: []float64{1, 0.25}},
			{Path: []string{"ECU:A12", "S1"}, Comment: "to the splices"}, {Path: []string{"S1", "S2"}}, {Path: []string{"S2", "TS:2"}},
		},
		Tail: []string{"end"},
	}
	want := `# from sheet 4
format = 1
title  = "Oil \"hot\" side"

[battery]
volts = 12.6                   # key on

[module.ECU]
pins.A1  = { kind = "input", pull_up_ohms = "2k2" }   # signal
pins.A12 = { kind = "return" }

[device.TS]
kind = "thermistor"
ohms_25 = 2000
beta = 3500                    # K
terminals = { a = "1", b = "2" }

[splice.S1]
[splice.S2]

[[run]]
name = "signal"
role = "signal"
path = ["ECU:A1", "C1:1", "TS:1"]
color = ["GN", "GN/WH"]
size_mm2 = 0.5
length_m = [1, 0.25]

[[run]]
path = ["ECU:A12", "S1"]       # to the splices

[[run]]
path = ["S1", "S2"]

[[run]]
path = ["S2", "TS:2"]

# end
`
	got := string(s.Text())
	if got != want {
		t.Errorf("got:\n%s\nwant:\n%s", got, want)
	}
	if c, problems := read.Circuit("sheet", []byte(got)); c == nil || len(problems) > 0 {
		t.Error(problems)
	}
}

// Whatever stands in a name or a comment, TOML reads back the text, and nothing of it leaks into the file's structure.
func FuzzQuote(f *testing.F) {
	for _, s := range []string{"", "plain", `a"b\c`, "line\nbreak = 1", "tab\tü Ω", "\x00\x1f\x7f", "\xff\xfe", "# no", "\u2028x", "'''"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		var tree map[string]map[string]string
		text := "# " + Comment(s) + "\n[" + Key(s) + "]   # " + Comment(s) + "\n" + "v = " + Quote(s) + "\n"
		if _, err := toml.Decode(text, &tree); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		valid := strings.ToValidUTF8(s, "�")
		if len(tree) != 1 || tree[valid]["v"] != valid {
			t.Errorf("%q came back as %v", s, tree)
		}
	})
}

func TestNumberReadsBack(t *testing.T) {
	for _, v := range []float64{0, 0.5, 0.1 + 0.2, 0.5176, 1e-7, 12345678, 1.0 / 3} {
		var tree struct{ V float64 }
		if _, err := toml.Decode("v = "+Number(v), &tree); err != nil || math.Abs(tree.V-v) > 0 {
			t.Errorf("%v came back as %v (%v)", v, tree.V, err)
		}
	}
}
