package wirelist

import (
	"bytes"
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

func demo(t *testing.T) *circuits.Circuit {
	t.Helper()
	const file = "testdata/small.circuit.toml"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	c, problems := read.Circuit(file, text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return c
}

func TestExports(t *testing.T) {
	for _, e := range []struct {
		name  string
		write func(*bytes.Buffer, *circuits.Circuit) error
	}{
		{"small.wires.csv", func(b *bytes.Buffer, c *circuits.Circuit) error { return Wires(b, c, ExportOptions{}) }},
		{"small.wires-comma.csv", func(b *bytes.Buffer, c *circuits.Circuit) error {
			return Wires(b, c, ExportOptions{DecimalComma: true})
		}},
		{"small.points.csv", func(b *bytes.Buffer, c *circuits.Circuit) error { return TestPoints(b, c, ExportOptions{}) }},
	} {
		var b bytes.Buffer
		if err := e.write(&b, demo(t)); err != nil {
			t.Fatal(err)
		}
		golden(t, e.name, b.String())
	}
}

// Every point of the bill resolves in its circuit, none stands twice, and every end of a wire is in it.
func TestTestPointsAreComplete(t *testing.T) {
	for name, c := range everyCircuit(t) {
		var b bytes.Buffer
		if err := TestPoints(&b, c, ExportOptions{}); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		met := map[circuits.Point]bool{}
		for _, row := range rows[1:] {
			p, err := circuits.ParsePoint(unquoteCell(row[0]))
			if err == nil {
				p, err = c.Resolve(p)
			}
			if err != nil || met[p] {
				t.Errorf("%s: %s (twice: %v): %v", name, row[0], met[p], err)
			}
			met[p] = true
		}
		for _, w := range c.Wires {
			if !met[w.From] || !met[w.To] {
				t.Errorf("%s: an end of %s is missing", name, w.Location)
			}
		}
	}
}

// A cell that a spreadsheet would take for a formula is written as text, and read back as it was.
func TestNoCellIsAFormula(t *testing.T) {
	text := "format = 1\n[module.ECU]\npins.1 = { kind = \"return\" }\n[device.R]\nkind = \"resistor\"\nohms = 1\nterminals = { a = \"1\", b = \"2\" }\n" +
		"[[run]]\nname = \"=1+1\"\npath = [\"ECU:1\", \"R:1\"]\n[[run]]\nname = \"'@x\"\npath = [\"B-\", \"R:2\"]\n"
	c, problems := read.Circuit("x", []byte(text))
	if c == nil {
		t.Fatal(problems)
	}
	var b bytes.Buffer
	if err := Wires(&b, c, ExportOptions{}); err != nil {
		t.Fatal(err)
	}
	rows, _ := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	for _, row := range rows {
		for _, cell := range row {
			if cell != "" && strings.ContainsRune("=+-@", rune(cell[0])) {
				t.Errorf("%q is a formula", cell)
			}
		}
	}
	s, err := Import(&b, ImportOptions{File: "x"})
	if err != nil {
		t.Fatal(err)
	}
	back, _ := read.Circuit("x", s.Text)
	if back.Runs[0].Name != "=1+1" || back.Runs[1].Name != "'@x" {
		t.Errorf("names came back as %q and %q", back.Runs[0].Name, back.Runs[1].Name)
	}
}
