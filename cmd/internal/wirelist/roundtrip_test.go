package wirelist

import (
	"bytes"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

// everyCircuit are the circuits of the library and of the demo.
func everyCircuit(t *testing.T) map[string]*circuits.Circuit {
	t.Helper()
	out := map[string]*circuits.Circuit{}
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		out[name] = c
	}
	files, _ := filepath.Glob("../../../testdata/*/*.circuit.toml")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if c, problems := read.Circuit(file, text); c != nil {
			out[filepath.Base(file)] = c
		} else {
			t.Log(problems)
		}
	}
	return out
}

// wireTexts are all that a list says of a circuit's wires, sorted.
func wireTexts(c *circuits.Circuit) []string {
	var out []string
	for _, w := range c.Wires {
		run := c.Runs[w.Run]
		out = append(out, strings.Join([]string{w.Location.String(), w.From.String(), w.To.String(), w.Color, number6(w.SizeMM2), number6(w.LengthM), run.Name, run.Role}, " | "))
	}
	sort.Strings(out)
	return out
}

func moduleNames(c *circuits.Circuit) []string {
	var out []string
	for _, m := range c.Modules {
		out = append(out, m.Name)
	}
	return out
}

// number6 prints the six digits that a list has of a number.
func number6(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// A circuit written as a wire list and read back has the same wires: names, ends with their halves, colours, sizes, lengths,
// and what they are for.
func TestExportThenImportGivesTheSameWires(t *testing.T) {
	all := everyCircuit(t)
	if len(all) < 8 {
		t.Fatalf("only %d circuits", len(all))
	}
	for name, c := range all {
		for _, o := range []ExportOptions{{}, {Separator: '\t'}, {DecimalComma: true}, {Separator: '|'}} {
			var list bytes.Buffer
			if err := Wires(&list, c, o); err != nil {
				t.Fatal(err)
			}
			s, err := Import(bytes.NewReader(list.Bytes()), ImportOptions{File: name + ".csv", Modules: moduleNames(c)})
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			for _, p := range s.Problems {
				t.Errorf("%s: %v", name, p)
			}
			back, problems := read.Circuit(name, s.Text)
			if back == nil {
				t.Errorf("%s: %v", name, problems)
				continue
			}
			want, got := wireTexts(c), wireTexts(back)
			if strings.Join(want, "\n") != strings.Join(got, "\n") {
				t.Errorf("%s: got\n%s\nwant\n%s\n%s", name, strings.Join(got, "\n"), strings.Join(want, "\n"), s.Text)
			}
		}
	}
}

// The list also reads back when every row is written from its other end, and the rows stand in another order: the wires
// are the same but for their direction.
func TestDirectionOfRowsDoesNotMatter(t *testing.T) {
	undirected := func(c *circuits.Circuit) string {
		var out []string
		for _, w := range c.Wires {
			a, b := w.From.Terminal().String(), w.To.Terminal().String()
			if b < a {
				a, b = b, a
			}
			out = append(out, strings.Join([]string{a, b, w.Color, number6(w.SizeMM2), number6(w.LengthM)}, " | "))
		}
		sort.Strings(out)
		return strings.Join(out, "\n")
	}
	for name, c := range everyCircuit(t) {
		var list bytes.Buffer
		if err := Wires(&list, c, ExportOptions{}); err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(list.String()), "\n")
		var shuffled []string
		for i, line := range lines[1:] {
			f := strings.SplitN(line, ",", 5)
			if i%3 != 0 { // some rows one way, some the other
				f[0], f[1], f[2], f[3] = f[2], f[3], f[0], f[1]
			}
			shuffled = append(shuffled, strings.Join(f, ","))
		}
		sort.Slice(shuffled, func(i, j int) bool { return shuffled[i][3:] < shuffled[j][3:] })
		s, err := Import(strings.NewReader(lines[0]+"\n"+strings.Join(shuffled, "\n")), ImportOptions{File: name, Modules: moduleNames(c)})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, p := range s.Problems {
			t.Errorf("%s: %v", name, p)
		}
		back, problems := read.Circuit(name, s.Text)
		if back == nil {
			t.Errorf("%s: %v", name, problems)
		} else if undirected(back) != undirected(c) {
			t.Errorf("%s: got\n%s\nwant\n%s", name, undirected(back), undirected(c))
		}
	}
}
