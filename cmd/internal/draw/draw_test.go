package draw

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/diff"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

var update = flag.Bool("update", false, "rewrite the golden files in testdata")

// golden compares text with testdata/name and shows a unified diff.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := diff.Diff(file, want, "drawn now", []byte(got)); len(d) > 0 {
		t.Errorf("%s\n(run with -update to accept)", d)
	}
}

func fromLibrary(t testing.TB, name string) *circuits.Circuit {
	t.Helper()
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func parse(t testing.TB, text string) *circuits.Circuit {
	t.Helper()
	c, problems := read.Circuit("test.circuit.toml", []byte(text))
	if c == nil {
		t.Fatal(problems.Errors())
	}
	return c
}

func location(t testing.TB, s string) circuits.Location {
	t.Helper()
	l, err := circuits.ParseLocation(s)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func point(t testing.TB, s string) circuits.Point {
	t.Helper()
	p, err := circuits.ParsePoint(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// markedThrottle is a set of marks with one of each kind of place.
func markedThrottle(t testing.TB) Marks {
	return Marks{
		Title:    "pedal pressed, engine does not follow",
		Cautions: []string{"Hot engine: keep clear of the exhaust."},
		Legend:   true,
		Suspects: []Suspect{
			{Location: location(t, "C12:1>TPS:A"), Probability: 0.71, Words: "open here? 71 %"},
			{Location: location(t, "C12:1"), Probability: 0.2, Words: "poor contact here? 20 %"},
			{Location: location(t, "ECM:21/device"), Probability: 0.05, Words: "reference dead? 5 %"},
			{Location: location(t, "TPS"), Probability: 0.03, Words: "open inside? 3 %"},
			{Location: location(t, "C12:2>TPS:C"), Other: location(t, "C12:3>TPS:B"), Probability: 0.01, Words: "touching? 1 %"},
		},
		Tests: []Test{
			{Point: point(t, "TPS:A"), Measured: "0.00 V", Healthy: "5.00 V", Leading: "0.00 V"},
			{Point: point(t, "C12:1/chassis"), Measured: "5.01 V", Healthy: "5.00 V", Leading: "5.00 V"},
			{Point: point(t, "C12:1/engine"), Healthy: "5.00 V", Leading: "5.00 V"},
			{Point: point(t, "G3"), Measured: "0.004 V"},
		},
	}
}

// everywhere marks every place of a circuit at once: the most that a drawing can be asked to carry.
func everywhere(c *circuits.Circuit) Marks {
	var m Marks
	suspect := func(l circuits.Location) {
		m.Suspects = append(m.Suspects, Suspect{Location: l, Probability: 0.5, Words: "high resistance here? 50 %"})
	}
	test := func(p circuits.Point) {
		m.Tests = append(m.Tests, Test{Point: p, Measured: "12.34 V", Healthy: "12.56 V", Leading: "12.34 V"})
	}
	seen := map[circuits.Point]bool{}
	for _, w := range c.Wires {
		suspect(w.Location)
		for _, p := range []circuits.Point{w.From, w.To} {
			if !seen[p] {
				seen[p] = true
				test(p)
			}
		}
	}
	for _, k := range c.Contacts {
		suspect(k.Location)
	}
	for _, d := range c.Devices {
		suspect(circuits.PointLocation(circuits.Point{Place: d.Name}))
	}
	for _, s := range c.Studs {
		suspect(circuits.PointLocation(circuits.Point{Place: s.Name}))
	}
	return m
}

const nasty = `<b>&amp;"\ 'x' -->]]>`

// nastyCircuit has signs in its labels that mean something to XML, DOT or TOML.
const nastyCircuit = `format = 1
title = '''<b>&"\ title'''
[battery]
volts = 12
[module.M]
label = '''<b>&"\ module'''
pins.1 = { kind = "reference", label = '''<i>&"\pin''' }
pins.2 = { kind = "return" }
[device.R]
label = '''</TABLE>&quot;"\ device'''
kind = "resistor"
ohms = 100
terminals = { a = "1", b = "2" }
[connector.C]
label = '''<!-- &"\ connector'''
sides = ["left", "right"]
[splice.S]
label = '''{|}&"\ splice'''
[[run]]
name = '''<b>&"\ run'''
path = ["M:1", "C:1", "R:1"]
color = "GN/WH"
[[run]]
path = ["M:2", "S", "R:2"]
`
