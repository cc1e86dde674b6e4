package remarks_test

import (
	"flag"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

var updateRemarks = flag.Bool("update-remarks", false, "rewrite the WARNS comments of testdata/remarks")

// Every file of testdata/remarks is a small circuit in which a line that must be warned of carries the whole sentence
// and its hint behind "# WARNS "; several sentences are parted by " && ". A file without such a comment must stay quiet.
func TestRemarksSayWhatTheirCircuitExpects(t *testing.T) {
	files, _ := filepath.Glob("testdata/remarks/*.circuit.toml")
	if len(files) < 30 {
		t.Fatalf("only %d circuits found", len(files))
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".circuit.toml"), func(t *testing.T) {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			c, problems := read.Circuit(filepath.Base(file), text)
			if c == nil {
				t.Fatalf("does not parse:\n%v", problems)
			}
			got := map[int][]string{}
			for _, p := range problems {
				sentence := p.What
				if p.Where != "" {
					sentence = p.Where + ": " + sentence
				}
				if p.Hint == "" {
					t.Errorf("line %d: %q does not say what to do", p.Line, p.What)
				}
				got[p.Line] = append(got[p.Line], sentence+"; "+p.Hint)
			}
			lines := strings.Split(string(text), "\n")
			if *updateRemarks {
				for i := range lines {
					bare, _, _ := strings.Cut(lines[i], " # WARNS ")
					lines[i] = bare
					if g := got[i+1]; len(g) > 0 {
						lines[i] = bare + " # WARNS " + strings.Join(g, " && ")
					}
				}
				if err := os.WriteFile(file, []byte(strings.Join(lines, "\n")), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			for i, line := range lines {
				_, want, _ := strings.Cut(line, " # WARNS ")
				if have := strings.Join(got[i+1], " && "); have != want {
					t.Errorf("line %d:\n got %q\nwant %q", i+1, have, want)
				}
				delete(got, i+1)
			}
			for line, g := range got {
				t.Errorf("line %d, outside the file: %q", line, g)
			}
		})
	}
}

// The circuits of the library are designs that were thought through: a remark on one of them is a false alarm.
func TestLibraryStaysQuiet(t *testing.T) {
	for _, name := range library.Names() {
		text, err := library.Text(name)
		if err != nil {
			t.Fatal(err)
		}
		c, problems := read.Circuit(name, text)
		if c == nil {
			t.Errorf("%s does not parse:\n%v", name, problems)
			continue
		}
		for _, p := range problems {
			t.Error(p)
		}
	}
}

func TestDemoStaysQuiet(t *testing.T) {
	files, _ := filepath.Glob("../../testdata/demo/*.circuit.toml")
	if len(files) == 0 {
		t.Fatal("no demo circuit found")
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, problems := read.Circuit(file, text); len(problems) > 0 {
			t.Error(problems)
		}
	}
}

// Two runs over one file give the same bytes, in line order.
func TestRemarksComeInLineOrder(t *testing.T) {
	files, _ := filepath.Glob("testdata/remarks/*.circuit.toml")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		_, first := read.Circuit(file, text)
		_, second := read.Circuit(file, text)
		if first.Error() != second.Error() {
			t.Errorf("%s: two runs differ:\n%v\n%v", file, first, second)
		}
		if !sort.SliceIsSorted(first, func(i, j int) bool { return first[i].Line < first[j].Line }) {
			t.Errorf("%s: not in line order:\n%v", file, first)
		}
	}
}
