package files

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ohmtrail/circuits"
)

// holds checks a file's content and that nothing else lies in its folder.
func holds(t *testing.T, path, want string, alone bool) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s holds %q, want %q", path, got, want)
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		t.Fatal(err)
	}
	if alone && len(entries) != 1 {
		t.Errorf("beside %s lies something else: %v", path, entries)
	}
}

func TestReplaceWritesWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.svg")
	for _, content := range []string{"first", "second, longer", ""} {
		if err := Replace(path, []byte(content)); err != nil {
			t.Fatal(err)
		}
		holds(t, path, content, true)
	}
}

func TestReplaceKeepsTheFilesRights(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.svg")
	if err := os.WriteFile(path, []byte("old"), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := Replace(path, []byte("new")); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm() != 0o640 {
		t.Errorf("rights are %v, not 0640", info.Mode())
	}
}

func TestReplaceFollowsALink(t *testing.T) {
	folder, other := t.TempDir(), t.TempDir()
	real, link := filepath.Join(other, "real.svg"), filepath.Join(folder, "link.svg")
	if err := os.WriteFile(real, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(real, link); err != nil {
		t.Fatal(err)
	}
	if err := Replace(link, []byte("new")); err != nil {
		t.Fatal(err)
	}
	holds(t, real, "new", true)
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v, %v", info, err)
	}
}

func TestReplaceOfWhatIsNoFile(t *testing.T) {
	folder := t.TempDir()
	if err := Replace(folder, nil); err == nil || !strings.HasSuffix(err.Error(), "this is a folder; name a file in it") {
		t.Errorf("a folder: %v", err)
	}
	if err := Replace(filepath.Join(folder, "none", "a.svg"), nil); err == nil || !strings.HasSuffix(err.Error(), "a.svg: there is no such folder") {
		t.Errorf("no folder: %v", err)
	}
	if err := Replace(os.DevNull, []byte("x")); err != nil {
		t.Errorf("a device: %v", err)
	}
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode().IsRegular() {
		t.Fatalf("the device was replaced by a file: %v", err)
	}
}

func TestCreateNeverWritesOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.circuit.toml")
	if err := Create(path, []byte("mine")); err != nil {
		t.Fatal(err)
	}
	if err := Create(path, []byte("other")); err == nil || !strings.Contains(err.Error(), "there is a file of that name already") {
		t.Errorf("written over: %v", err)
	}
	holds(t, path, "mine", true)
}

func TestKindOf(t *testing.T) {
	for _, c := range []struct {
		name, body string
		want       Kind
	}{
		{"a.job.toml", "", Job},
		{"a.circuit.toml", "circuit = 'x'", Circuit},
		{"library:squib", "", Circuit},
		{"a.toml", "circuit = 'x'", Job},
		{"a.toml", "[[reading]]\nat = 'x'", Job},
		{"stdin", "title = 'x'", Circuit},
		{"a.toml", "no = toml = at all", Circuit},
	} {
		if got := (Text{Name: c.name, Body: []byte(c.body)}).KindOf(); got != c.want {
			t.Errorf("%s with %q is a %s, want %s", c.name, c.body, got, c.want)
		}
	}
}

func TestReadIsBounded(t *testing.T) {
	endless := io.MultiReader(bytes.NewReader(make([]byte, mostBytes)), strings.NewReader("x"))
	if _, err := Read(Stdin, endless); err == nil || !strings.Contains(err.Error(), "larger than 16 MB") {
		t.Errorf("read %v", err)
	}
	if text, err := Read(Stdin, strings.NewReader("x")); err != nil || string(text.Body) != "x" || text.Name != "stdin" {
		t.Errorf("read %v, %v", text, err)
	}
}

func TestJobFindsItsCircuitBesideIt(t *testing.T) {
	folder := t.TempDir()
	job := filepath.Join(folder, "a.job.toml")
	for path, body := range map[string]string{
		job: "format = 1\ncircuit = \"part/b.circuit.toml\"\n",
		filepath.Join(folder, "part", "b.circuit.toml"): "format = 1\n[device.L1]\nkind = \"load\"\nohms = 10\nterminals = { a = \"1\", b = \"2\" }\n[[run]]\npath = [\"B+\", \"L1:1\"]\n[[run]]\npath = [\"L1:2\", \"B-\"]\n",
	} {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(body), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	text, err := Read(job, nil)
	if err != nil {
		t.Fatal(err)
	}
	j, problems := text.Job()
	if j == nil || j.Circuit.File != filepath.Join(folder, "part", "b.circuit.toml") {
		t.Errorf("%v, %v", j, problems)
	}
}

// What a reading says of today survives being written and read again.
func TestTodayIsWrittenAsItIsRead(t *testing.T) {
	block := ReadingBlock(circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: "MCU", Cavity: "A2"}), Quantity: circuits.ScanVolts, Taken: true, Pair: true,
		Value: 0.5, High: 4.4, Sound: true, State: circuits.State{Key: circuits.KeyOn, Set: []circuits.SetDevice{{Device: "MHS", Set: 0.95, To: 0.05, Moved: true}}}})
	want := "[[reading]]\nat = \"MCU:A2\"\nscan_volts = [0.5, 4.4]\nset = { MHS = [0.95, 0.05] }\nsound = true\n"
	if block != want {
		t.Errorf("a reading is written as\n%swant\n%s", block, want)
	}
	tried := TriedBlock(circuits.Tried{At: circuits.PointLocation(circuits.Point{Place: "C7", Cavity: "3"}), Done: "tightened", Result: circuits.ResultRemains})
	if want := "[[tried]]\nat = \"C7:3\"\ndone = \"tightened\"\nresult = \"remains\"\n"; tried != want {
		t.Errorf("what was tried is written as\n%swant\n%s", tried, want)
	}
}
