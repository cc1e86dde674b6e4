package web_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/web"
)

// The environment by which the test binary serves a folder as a process of its own, to be killed or to be kept short of
// disk.
const (
	envFolder  = "OHMTRAIL_TEST_FOLDER"
	envJournal = "OHMTRAIL_TEST_JOURNAL"
	envBytes   = "OHMTRAIL_TEST_FILE_BYTES" // no file may grow beyond it
)

// TestServeAsProcess is no test of its own: it is the process that others start.
func TestServeAsProcess(t *testing.T) {
	folder := os.Getenv(envFolder)
	if folder == "" {
		return
	}
	if n, err := strconv.ParseUint(os.Getenv(envBytes), 10, 64); err == nil {
		signal.Ignore(syscall.SIGXFSZ)
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: n, Max: n}); err != nil {
			t.Fatal(err)
		}
	}
	p, err := web.New(web.Options{Folder: folder, Now: time.Now, Journal: os.Getenv(envJournal), Log: os.Stderr})
	if err != nil {
		t.Fatal(err)
	}
	d, err := door.Open(door.Options{Port: door.AnyPort, Log: os.Stderr})
	if err != nil {
		t.Fatal(err)
	}
	fmt.Printf("serving %s\n", d.URL())
	d.Serve(context.Background(), p)
}

// process serves a folder in a process of its own.
func process(t *testing.T, folder, journal string, environment ...string) (url string, kill func()) {
	t.Helper()
	c := exec.Command(os.Args[0], "-test.run=^TestServeAsProcess$", "-test.v")
	c.Env = append(os.Environ(), envFolder+"="+folder, envJournal+"="+journal)
	c.Env = append(c.Env, environment...)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	kill = func() {
		c.Process.Kill() // SIGKILL: nothing is tidied up
		c.Wait()
	}
	t.Cleanup(kill)
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, address, ok := strings.Cut(lines.Text(), "serving "); ok {
			go io.Copy(io.Discard, out)
			return strings.TrimSuffix(address, "/"), kill
		}
	}
	t.Fatal("the process serves nothing")
	return "", nil
}

// TestKilledAgainAndAgain kills the program at random moments while readings are sent, and sends anew what was not
// answered. At every kill the file is a whole one; in the end each reading stands in it once, in order.
func TestKilledAgainAndAgain(t *testing.T) {
	folder := jobs(t)
	journal := filepath.Join(t.TempDir(), "written.jsonl")
	path := filepath.Join(folder, "mast-height-start.job.toml")
	before := contents(t, path)
	random := rand.New(rand.NewPCG(1, 2))
	sent, want := 0, before
	for round := range 8 {
		url, kill := process(t, folder, journal)
		killed := make(chan struct{})
		first := sent + 1 + random.IntN(4) // readings that are answered before, however slow the machine
		armed := false
		for {
			if sent == first && !armed {
				armed = true
				time.AfterFunc(time.Duration(random.IntN(40_000))*time.Microsecond, func() {
					kill()
					close(killed)
				})
			}
			typed := fmt.Sprintf("4.%03d1", sent)
			status, text, err := post(url+startReadings, volts(fmt.Sprintf("kill-%06d", sent), typed))
			if err != nil {
				if !armed {
					t.Fatalf("round %d: no answer before the kill: %v", round, err)
				}
				break // killed: the same one goes to the next process
			}
			if status != 200 {
				t.Fatalf("round %d: %d %s", round, status, text)
			}
			want += "\n[[reading]]\nat = \"MHS:1\"\nvolts = " + strings.TrimRight(typed, "0") + "\n"
			sent++
		}
		<-killed
		got := contents(t, path)
		if j, problems := read.Job("x.job.toml", []byte(got), func(string) (string, []byte, error) {
			return "c", []byte(contents(t, filepath.Join(folder, "mast-height.circuit.toml"))), nil
		}); j == nil {
			t.Fatalf("round %d: the file is no whole one: %v\n%s", round, problems, got)
		}
		if !strings.HasPrefix(got, want) {
			t.Fatalf("round %d: an answered reading is lost:\n%s", round, got)
		}
	}
	url, _ := process(t, folder, journal)
	if status, text, err := post(url+startReadings, volts(fmt.Sprintf("kill-%06d", sent), fmt.Sprintf("4.%03d1", sent))); err != nil || status != 200 {
		t.Fatalf("%d %s %v", status, text, err)
	}
	want += fmt.Sprintf("\n[[reading]]\nat = \"MHS:1\"\nvolts = 4.%03d1\n", sent)
	if got := contents(t, path); got != want {
		t.Errorf("after %d readings the file holds\n%s", sent+1, got)
	}
	if sent < 8 {
		t.Errorf("only %d readings were sent between the kills", sent)
	}
	t.Logf("%d readings over 8 kills", sent)
}

// TestDiskFull lets no file grow any more: the reading is refused with the reason, the file stays as it was, nothing is
// left beside it, and the reading is written when there is room again.
func TestDiskFull(t *testing.T) {
	folder := jobs(t)
	path := filepath.Join(folder, "mast-height-start.job.toml")
	write(t, path, contents(t, path)+"# "+strings.Repeat("a long remark ", 8000)+"\n")
	before := contents(t, path)
	journal := filepath.Join(t.TempDir(), "written.jsonl")
	url, kill := process(t, folder, journal, fmt.Sprintf("%s=%d", envBytes, len(before)+10))
	status, text, err := post(url+startReadings, volts("abcdefgh1", "4.98"))
	if err != nil || status != 507 || !strings.Contains(text, "the disk is full; the file is as it was") {
		t.Errorf("%d %s %v", status, text, err)
	}
	if got := contents(t, path); got != before {
		t.Errorf("the file has %d bytes instead of %d", len(got), len(before))
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 3 {
		t.Errorf("the folder holds %v", entries)
	}
	kill()
	url, _ = process(t, folder, journal)
	if status, text, err := post(url+startReadings, volts("abcdefgh1", "4.98")); err != nil || status != 200 {
		t.Errorf("with room again: %d %.200s %v", status, text, err)
	}
	if got := contents(t, path); got != before+"\n[[reading]]\nat = \"MHS:1\"\nvolts = 4.98\n" {
		t.Errorf("with room again the file ends with %q", got[len(got)-200:])
	}
}

// TestPartsAreSweptAway removes what a killed program left long ago, and nothing else.
func TestPartsAreSweptAway(t *testing.T) {
	folder := jobs(t)
	old := time.Now().Add(-time.Hour)
	for _, name := range []string{".a.job.toml.77.0.part", ".b.job.toml.77.0.part", ".mine.part", "c.job.toml.part"} {
		path := filepath.Join(folder, name)
		write(t, path, "x")
		if name != ".b.job.toml.77.0.part" {
			if err := os.Chtimes(path, old, old); err != nil {
				t.Fatal(err)
			}
		}
	}
	serve(t, folder, 0, nil)
	for name, stays := range map[string]bool{".a.job.toml.77.0.part": false, ".b.job.toml.77.0.part": true, ".mine.part": true, "c.job.toml.part": true} {
		if _, err := os.Stat(filepath.Join(folder, name)); errors.Is(err, os.ErrNotExist) == stays {
			t.Errorf("%s: %v", name, err)
		}
	}
}
