package files_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
)

const entriesText = `# my job
format = 1
circuit = "library:coolant-temperature" # theirs

# the first one
[[reading]]   # header
at = "ECT:1"  # where
volts = 4.98  # odd spacing   kept
note = """two
# lines that are no comment
[[reading]]
"""

[[inspection]]
at = "ECT:1"
seen = "clean"

[[reading]]
at = "ECT:2"
volts = [
  1.9, # low
  4.9,
]
[reading.set]
ECT = 20

# behind all
[[reading]]
at = "ECT:1"
quantity = "ohms"
key = "off"
# the end
`

func anything([]byte) error { return nil }

func TestRemoveLeavesAllElse(t *testing.T) {
	for _, ends := range []string{"\n", "\r\n"} {
		whole := strings.ReplaceAll(entriesText, "\n", ends)
		for _, c := range []struct {
			name  string
			index int
			gone  string
		}{
			{"reading", 0, "[[reading]]   # header\nat = \"ECT:1\"  # where\nvolts = 4.98  # odd spacing   kept\nnote = \"\"\"two\n# lines that are no comment\n[[reading]]\n\"\"\"\n"},
			{"reading", 1, "\n[[reading]]\nat = \"ECT:2\"\nvolts = [\n  1.9, # low\n  4.9,\n]\n[reading.set]\nECT = 20\n"},
			{"reading", 2, "[[reading]]\nat = \"ECT:1\"\nquantity = \"ohms\"\nkey = \"off\"\n"},
			{"inspection", 0, "\n[[inspection]]\nat = \"ECT:1\"\nseen = \"clean\"\n"},
		} {
			path := filepath.Join(t.TempDir(), "a.job.toml")
			if err := os.WriteFile(path, []byte(whole), 0o644); err != nil {
				t.Fatal(err)
			}
			if _, err := files.Remove(path, c.name, c.index, anything); err != nil {
				t.Fatal(err)
			}
			got, _ := os.ReadFile(path)
			want := strings.Replace(whole, strings.ReplaceAll(c.gone, "\n", ends), "", 1)
			if string(got) != want || want == whole {
				t.Errorf("%s %d: left\n%s", c.name, c.index, got)
			}
		}
	}
}

func TestAppendedAndRemovedIsAsBefore(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job.toml")
	if err := os.WriteFile(path, []byte(entriesText), 0o644); err != nil {
		t.Fatal(err)
	}
	at, err := circuits.ParseLocation("ECT:2")
	if err != nil {
		t.Fatal(err)
	}
	r := circuits.Reading{At: at, Quantity: circuits.Volts, Taken: true, Value: 4.9, High: 4.9}
	if _, err := files.Append(path, files.ReadingBlock(r), anything); err != nil {
		t.Fatal(err)
	}
	removed, err := files.Remove(path, "reading", 3, anything)
	got, _ := os.ReadFile(path)
	if err != nil || string(got) != entriesText || removed != files.ReadingBlock(r) {
		t.Errorf("%v, removed %q, left\n%s", err, removed, got)
	}
	if _, err := files.Remove(path, "reading", 3, anything); err == nil || !strings.Contains(err.Error(), "edit the file by hand") {
		t.Errorf("a reading that is not there: %v", err)
	}
}

func TestSetReadingTouchesTheValueAlone(t *testing.T) {
	for _, c := range []struct {
		index    int
		reading  circuits.Reading
		old, new string
	}{
		{0, circuits.Reading{Quantity: circuits.Volts, Taken: true, Value: 4.5, High: 4.5, Note: "a\nb"}, "volts = 4.98  # odd spacing   kept\nnote = \"\"\"two\n# lines that are no comment\n[[reading]]\n\"\"\"", "volts = 4.5  # odd spacing   kept\nnote = \"a\\nb\""},
		{0, circuits.Reading{Quantity: circuits.Volts, Taken: true, Value: 4.98, High: 4.98}, "note = \"\"\"two\n# lines that are no comment\n[[reading]]\n\"\"\"\n", ""},
		{1, circuits.Reading{Quantity: circuits.Volts, Taken: true, Value: 1, High: 2, Pair: true}, "volts = [\n  1.9, # low\n  4.9,\n]", "volts = [1.0, 2.0]"},
		{2, circuits.Reading{Quantity: circuits.Ohms, Taken: true, OL: true, Note: "n"}, "at = \"ECT:1\"\nquantity", "at = \"ECT:1\"\nohms = \"OL\"\nnote = \"n\"\nquantity"},
	} {
		path := filepath.Join(t.TempDir(), "a.job.toml")
		if err := os.WriteFile(path, []byte(entriesText), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := files.SetReading(path, c.index, c.reading, anything); err != nil {
			t.Fatal(err)
		}
		got, _ := os.ReadFile(path)
		if want := strings.Replace(entriesText, c.old, c.new, 1); string(got) != want || want == entriesText {
			t.Errorf("%d: got\n%s", c.index, got)
		}
	}
}

// TestAnEditAtTheSameMomentStands edits the file by another hand between its reading and its writing.
func TestAnEditAtTheSameMomentStands(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job.toml")
	if err := os.WriteFile(path, []byte(entriesText), 0o644); err != nil {
		t.Fatal(err)
	}
	const byHand = "# edited by hand\n"
	meanwhile := func([]byte) error { return os.WriteFile(path, []byte(byHand), 0o644) }
	if _, err := files.Append(path, "[[reading]]\n", meanwhile); !errors.Is(err, files.ErrChanged) {
		t.Errorf("appended: %v", err)
	}
	if got, _ := os.ReadFile(path); string(got) != byHand {
		t.Errorf("the file holds %q", got)
	}
	if left, _ := os.ReadDir(filepath.Dir(path)); len(left) != 1 {
		t.Errorf("the folder holds %v", left)
	}
}
