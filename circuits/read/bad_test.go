package read_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

const badFolder = "testdata/bad"

// wanted is a problem that a line of a file announces in a comment: # ERROR "text" or # WARN "text", in which the text
// is a Go string and a part of the message. A line may announce several.
type wanted struct {
	file    string
	line    int
	warning bool
	text    string
}

func (w wanted) String() string {
	word := "ERROR"
	if w.warning {
		word = "WARN"
	}
	return fmt.Sprintf("%s:%d: %s %q", w.file, w.line, word, w.text)
}

var announcement = regexp.MustCompile(`# (ERROR|WARN) "`)

// announced are the problems that a file's comments announce.
func announced(t *testing.T, file string) []wanted {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(badFolder, file))
	if err != nil {
		t.Fatal(err)
	}
	var out []wanted
	for i, line := range strings.Split(string(text), "\n") {
		for _, at := range announcement.FindAllStringSubmatchIndex(line, -1) {
			quoted, err := strconv.QuotedPrefix(line[at[1]-1:])
			if err != nil {
				t.Fatalf("%s:%d: the text behind # %s is no Go string: %v", file, i+1, line[at[2]:at[3]], err)
			}
			want, _ := strconv.Unquote(quoted)
			if want == "" {
				t.Fatalf("%s:%d: an empty text would match any message", file, i+1)
			}
			out = append(out, wanted{file, i + 1, line[at[2]:at[3]] == "WARN", want})
		}
	}
	return out
}

// openBeside opens the circuits that the jobs of the folder name.
func openBeside(name string) (string, []byte, error) {
	if library.Holds(name) {
		text, err := library.Text(name)
		return name, text, err
	}
	text, err := os.ReadFile(filepath.Join(badFolder, name))
	if err != nil {
		return name, nil, fmt.Errorf("there is no file %s", name)
	}
	return name, text, nil
}

// parseBad reads a file of the folder; usable tells whether it gave a circuit or job.
func parseBad(t *testing.T, file string) (problems circuits.Problems, usable bool) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(badFolder, file))
	if err != nil {
		t.Fatal(err)
	}
	if strings.HasSuffix(file, ".job.toml") {
		j, problems := read.Job(file, text, openBeside)
		return problems, j != nil
	}
	c, problems := read.Circuit(file, text)
	return problems, c != nil
}

var circuitKey = regexp.MustCompile(`(?m)^circuit\s*=\s*"([^"]+)"`)

// Every faulty line of the folder announces its messages, and nothing else may be reported: no more, no less, and at
// exactly that line. A job's circuit announces its own.
func TestBadFilesReportWhatTheirLinesAnnounce(t *testing.T) {
	files, err := filepath.Glob(badFolder + "/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 45 {
		t.Fatalf("only %d files in %s", len(files), badFolder)
	}
	for _, path := range files {
		file := filepath.Base(path)
		t.Run(strings.TrimSuffix(file, ".toml"), func(t *testing.T) {
			wants := announced(t, file)
			if len(wants) == 0 && !strings.HasPrefix(file, "sound") {
				t.Fatal("no line announces a message")
			}
			if text, _ := os.ReadFile(path); strings.HasSuffix(file, ".job.toml") {
				if m := circuitKey.FindSubmatch(text); m != nil && !library.Holds(string(m[1])) {
					if _, err := os.Stat(filepath.Join(badFolder, string(m[1]))); err == nil {
						wants = append(wants, announced(t, string(m[1]))...)
					}
				}
			}
			problems, usable := parseBad(t, file)
			if again, _ := parseBad(t, file); again.Error() != problems.Error() {
				t.Errorf("a second reading reports something else:\n%v\n\n%v", problems, again)
			}
			if usable != (len(problems.Errors()) == 0) {
				t.Errorf("usable is %v with %d errors", usable, len(problems.Errors()))
			}
			compareProblems(t, problems, wants)
		})
	}
}

// compareProblems pairs each problem with one announcement of its line.
func compareProblems(t *testing.T, problems circuits.Problems, wants []wanted) {
	t.Helper()
	open := append([]wanted(nil), wants...)
	sort.SliceStable(open, func(i, j int) bool { return len(open[i].text) > len(open[j].text) }) // the most exact first
	for _, p := range problems {
		found := -1
		for i, w := range open {
			if w.file == p.File && w.line == p.Line && w.warning == p.Warning && strings.Contains(p.Error(), w.text) {
				found = i
				break
			}
		}
		if found < 0 {
			t.Errorf("not announced: %s", p.Error())
			continue
		}
		open = append(open[:found], open[found+1:]...)
	}
	for _, w := range open {
		t.Errorf("not reported: %s", w)
	}
}

// No message shows what only a programmer would know, or an index counted from 0.
func TestMessagesAreInTheFilesWords(t *testing.T) {
	files, _ := filepath.Glob(badFolder + "/*.toml")
	odd := regexp.MustCompile(`map\[|%!|<nil>|interface|0x[0-9a-f]{6}|(run|note|reading|inspection)\[\d|; ;|;\s*$|\s$`)
	for _, path := range files {
		problems, _ := parseBad(t, filepath.Base(path))
		for _, p := range problems {
			if m := odd.FindString(p.Error()); m != "" {
				t.Errorf("%q in: %s", m, p.Error())
			}
			if p.What == "" || p.File == "" {
				t.Errorf("a problem without words or file: %+v", p)
			}
		}
	}
}
