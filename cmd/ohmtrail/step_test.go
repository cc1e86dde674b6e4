package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

const coolantJob = `format = 1
circuit = "library:coolant-temperature"
codes = ["P0118"]

[[reading]]
at = "ECT:1"
volts = 4.98

[[reading]]
at = "ECT:2"
volts = 0.01
`

// talk is a session that a test types into.
type talk struct {
	t      *testing.T
	typing *io.PipeWriter
	status chan int

	mu   sync.Mutex
	said bytes.Buffer
}

func (k *talk) Write(p []byte) (int, error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.said.Write(p)
}

func begin(t *testing.T, args ...string) *talk {
	in, typing := io.Pipe()
	k := &talk{t: t, typing: typing, status: make(chan int, 1)}
	go func() { k.status <- run(args, in, k, k) }()
	return k
}

// hears waits until the session has said something and asks again, and forgets it then.
func (k *talk) hears(words string) {
	k.t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		k.mu.Lock()
		said := k.said.String()
		asks := strings.HasSuffix(said, "> ")
		if asks {
			k.said.Reset()
		}
		k.mu.Unlock()
		if asks {
			if !strings.Contains(said, words) {
				k.t.Fatalf("heard\n%s\nand not %q", said, words)
			}
			return
		}
	}
	k.t.Fatalf("waited a minute for %q", words)
}

func (k *talk) types(line string) {
	k.t.Helper()
	if _, err := io.WriteString(k.typing, line+"\n"); err != nil {
		k.t.Fatal(err)
	}
}

func mustWrite(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func holds(t *testing.T, path, want string) {
	t.Helper()
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s holds\n%s\nwant\n%s", path, got, want)
	}
}

// TestStepWhileTheFileIsEdited: a job that becomes unusable in an editor, or goes away, is left as it is and said so; once
// it is in order again the session goes on, with what was edited.
func TestStepWhileTheFileIsEdited(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job.toml")
	mustWrite(t, path, coolantJob)
	k := begin(t, "step", path)
	k.hears("Reading 3\n")

	broken := coolantJob + "[[reading]\n"
	mustWrite(t, path, broken)
	k.types("OL")
	k.hears("Not written: ")
	holds(t, path, broken)

	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	k.types("OL")
	k.hears("there is no such file")
	if _, err := os.Stat(path); err == nil {
		t.Error("the file was made again")
	}

	edited := "# edited\n" + coolantJob + "\n[[inspection]]\nat = \"ECT:1\"\nseen = \"clean\"\n"
	mustWrite(t, path, edited)
	k.types("OL")
	k.hears("ECT: open inside")
	const block = "\n[[reading]]\nat = \"ECT:1/device\"\nto = \"ECT:2/device\"\nohms = \"OL\"\nkey = \"off\"\nunplugged = [\"ECT\"]\n"
	holds(t, path, edited+block)

	later := strings.Replace(edited, "# edited", "# edited twice", 1)
	mustWrite(t, path, later+block+"# behind it\n")
	k.types("undo")
	k.hears("Taken back.")
	holds(t, path, later+"# behind it\n")

	k.typing.Close()
	if status := <-k.status; status != done {
		t.Errorf("status %d", status)
	}
}

// TestStepTakesAnyBytes types what no person would; the file holds its bytes and the session ends well.
func TestStepTakesAnyBytes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.job.toml")
	mustWrite(t, path, coolantJob)
	in := "\xff\xfe\n\x00\n\x1b[A\ntake -1\ntake x\nnote\nskip it\n\u2028\n" + strings.Repeat("9", 60000) + "\ndraw\ndraw -\nwhy not\n"
	var out, errs bytes.Buffer
	if status := run([]string{"step", path}, strings.NewReader(in), &out, &errs); status != done || errs.Len() > 0 {
		t.Errorf("status %d\n%s", status, errs.String())
	}
	holds(t, path, coolantJob)
	out.Reset()
	if status := run([]string{"step", path}, strings.NewReader(strings.Repeat("9", longestLine+1)), &out, &errs); status != atFault {
		t.Errorf("an endless line: status %d", status)
	}
	holds(t, path, coolantJob)
}

// TestNextOnTheDemo: the demo's fault is proven by its readings; before them it is not.
func TestNextOnTheDemo(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run([]string{"next", "../../testdata/demo/mast-height.job.toml"}, nil, &out, &errs); status != done {
		t.Fatalf("status %d\n%s", status, errs.String())
	}
	for _, words := range []string{"Done\n  Proven: C7:1 (high-resistance C7:1)", ">99 %  C7:1: high-resistance"} {
		if !strings.Contains(out.String(), words) {
			t.Errorf("%q is not in\n%s", words, out.String())
		}
	}
	text, err := os.ReadFile("../../testdata/demo/mast-height.job.toml")
	if err != nil {
		t.Fatal(err)
	}
	circuit, err := filepath.Abs("../../testdata/demo/mast-height.circuit.toml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(text), "[[reading]]")
	job := filepath.Join(t.TempDir(), "a.job.toml")
	mustWrite(t, job, strings.Replace(head, "mast-height.circuit.toml", filepath.ToSlash(circuit), 1))
	out.Reset()
	if status := run([]string{"next", "--top", "6", job}, nil, &out, &errs); status != done {
		t.Fatalf("status %d\n%s", status, errs.String())
	}
	for _, words := range []string{"Still open\n  Not decided", "Next\n  1  Key on. Volts of MCU:A", "No test lamp on a module's pin"} {
		if !strings.Contains(out.String(), words) {
			t.Errorf("%q is not in\n%s", words, out.String())
		}
	}
}

func TestTheLibraryIsTriedWithoutSquibs(t *testing.T) {
	names := libraryNames()
	if len(names) < 20 || slices.Contains(names, "library:squib") || !slices.Contains(names, "library:coolant-temperature") {
		t.Errorf("%q", names)
	}
}
