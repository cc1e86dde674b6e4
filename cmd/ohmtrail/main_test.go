package main

import (
	"encoding/json"
	"errors"
	"flag"
	"io"
	"math"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite what scripts and the manual expect")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"ohmtrail": main})
}

// TestScripts runs one script for each thing that a user does.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		Setup:               shareCircuit,
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"status": status, "json": jsonValue, "fetch": fetch},
	})
}

// shareCircuit gives each script the circuit that most of them are about, and a port that is free, as $PORT.
func shareCircuit(e *testscript.Env) error {
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	defer free.Close()
	e.Setenv("PORT", strconv.Itoa(free.Addr().(*net.TCPAddr).Port))
	text, err := os.ReadFile("testdata/mast.circuit.toml")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(e.WorkDir, "mast.circuit.toml"), text, 0o644)
}

// status runs a command and checks its exit status: `status 2 ohmtrail rank`.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status NUMBER COMMAND…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, not %d; stderr:\n%s", got, want, ts.ReadFile("stderr"))
	}
}

// fetch asks a server that was just started until it answers, and checks the status of its answer: `fetch 200 URL WORDS`
// also wants words in it.
func fetch(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: fetch STATUS URL [WORDS]")
	}
	for end := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		answer, err := http.Get(args[1])
		if err != nil && time.Now().Before(end) {
			continue
		}
		ts.Check(err)
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		ts.Check(err)
		if strconv.Itoa(answer.StatusCode) != args[0] || len(args) > 2 && !strings.Contains(string(body), args[2]) {
			ts.Fatalf("%s answers %d:\n%s", args[1], answer.StatusCode, body)
		}
		return
	}
}

// jsonValue checks one value of a JSON text: `json stdout faults.0.expected.2 4.98 0.01`. The path's words are keys and
// indices, `length` that of a list; a number is compared within the tolerance [1e-9], anything else as its JSON text.
func jsonValue(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 3 {
		ts.Fatalf("usage: json FILE PATH VALUE [TOLERANCE]")
	}
	var v any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &v))
	for _, step := range strings.Split(args[1], ".") {
		switch at := v.(type) {
		case map[string]any:
			if _, ok := at[step]; !ok {
				ts.Fatalf("%s: there is no key %q", args[1], step)
			}
			v = at[step]
		case []any:
			if step == "length" {
				v = float64(len(at))
				continue
			}
			i, err := strconv.Atoi(step)
			if err != nil || i >= len(at) {
				ts.Fatalf("%s: there is no element %q among %d", args[1], step, len(at))
			}
			v = at[i]
		default:
			ts.Fatalf("%s: nothing is below %v", args[1], v)
		}
	}
	if same := sameJSON(ts, v, args[2:]); same == neg {
		got, _ := json.Marshal(v)
		ts.Fatalf("%s is %s, want %s (%v)", args[1], got, args[2], !neg)
	}
}

func sameJSON(ts *testscript.TestScript, got any, args []string) bool {
	number, isNumber := got.(float64)
	want, err := strconv.ParseFloat(args[0], 64)
	if isNumber && err == nil {
		tolerance := 1e-9
		if len(args) > 1 {
			tolerance, err = strconv.ParseFloat(args[1], 64)
			ts.Check(err)
		}
		return math.Abs(number-want) <= tolerance
	}
	if text, ok := got.(string); ok && text == args[0] {
		return true
	}
	body, err := json.Marshal(got)
	ts.Check(err)
	return string(body) == args[0]
}

// TestRunIsWhole holds run itself against what the scripts see of the program.
func TestRunIsWhole(t *testing.T) {
	var out, errs strings.Builder
	if got := run([]string{"rank"}, strings.NewReader(""), &out, &errs); got != wrongUsage {
		t.Errorf("status %d", got)
	}
	const want = "ohmtrail rank: name one job file\nexample: ohmtrail rank mast-height.job.toml\n"
	if errs.String() != want || out.String() != "" {
		t.Errorf("said %q and %q", errs.String(), out.String())
	}
	if _, err := os.Stat("testdata/script"); err != nil {
		t.Error(err)
	}
}
