package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// A floor is a package, or all below a folder, and what it must never reach, however far the way. A name that ends in
// "/" means everything below it. The reasons are in DEVELOPERS.md.
var floors = []struct {
	of    string
	never []string
}{
	{"ohmtrail/models", []string{"ohmtrail/", "os", "net", "time", "math/rand", "math/rand/v2"}},
	{"ohmtrail/circuits/wording", []string{"ohmtrail/", "os", "net", "time"}},
	{"ohmtrail/circuits", []string{"ohmtrail/circuits/read", "ohmtrail/circuits/remarks", "ohmtrail/circuits/library", "ohmtrail/solver/", "ohmtrail/cmd/", "github.com/BurntSushi/toml", "github.com/pelletier/go-toml/", "net/http"}},
	{"ohmtrail/circuits/remarks", []string{"ohmtrail/circuits/read", "ohmtrail/circuits/library", "ohmtrail/solver/", "ohmtrail/cmd/", "github.com/BurntSushi/toml", "github.com/pelletier/go-toml/", "net/http"}},
	{"ohmtrail/circuits/read", []string{"ohmtrail/circuits/library", "ohmtrail/solver/", "ohmtrail/cmd/", "net/http", "github.com/goccy/go-graphviz/"}},
	{"ohmtrail/circuits/library", []string{"ohmtrail/solver/", "ohmtrail/cmd/", "net/http", "github.com/goccy/go-graphviz/"}},
	{"ohmtrail/circuits/made", []string{"ohmtrail/"}},
	{"ohmtrail/cmd/ohmtrail", []string{"ohmtrail/circuits/made"}}, // for tests only
	{"ohmtrail/solver/network", []string{"ohmtrail/solver/hypothesis", "ohmtrail/solver/evidence", "ohmtrail/solver/rank", "ohmtrail/solver/plan", "ohmtrail/solver/trial", "ohmtrail/cmd/", "net/http"}},
	{"ohmtrail/solver/safety", []string{"ohmtrail/solver/hypothesis", "ohmtrail/solver/evidence", "ohmtrail/solver/rank", "ohmtrail/solver/plan", "ohmtrail/solver/trial", "ohmtrail/cmd/", "net/http"}},
	{"ohmtrail/solver/hypothesis", []string{"ohmtrail/solver/network", "ohmtrail/solver/evidence", "ohmtrail/solver/rank", "ohmtrail/solver/plan", "ohmtrail/solver/trial", "ohmtrail/cmd/", "net/http"}},
	{"ohmtrail/solver/evidence", []string{"ohmtrail/solver/rank", "ohmtrail/solver/plan", "ohmtrail/solver/trial", "ohmtrail/cmd/", "net/http"}},
	{"ohmtrail/solver/rank", []string{"ohmtrail/solver/plan", "ohmtrail/solver/trial", "ohmtrail/cmd/", "net/http"}},
	{"ohmtrail/solver/plan", []string{"ohmtrail/solver/trial", "ohmtrail/cmd/", "net/http"}},
	{"ohmtrail/solver/trial", []string{"ohmtrail/cmd/", "github.com/goccy/go-graphviz/", "net/http"}},
	{"ohmtrail/solver/recording", []string{"ohmtrail/", "os", "net", "time", "log", "math/rand", "math/rand/v2"}},
	{"ohmtrail/solver/levels", []string{"ohmtrail/solver/plan", "ohmtrail/solver/trial", "ohmtrail/cmd/", "github.com/goccy/go-graphviz/", "net/http"}},
	{"ohmtrail/cmd/internal/draw", []string{"ohmtrail/solver/", "ohmtrail/cmd/internal/web", "ohmtrail/cmd/internal/view", "net/http"}},
	{"ohmtrail/cmd/internal/layout", []string{"ohmtrail/", "net/http", "github.com/goccy/go-graphviz"}},
	{"ohmtrail/cmd/ohmtrail", []string{"github.com/goccy/go-graphviz"}}, // it costs every start 30 ms
	{"ohmtrail/cmd/ohmtrail-layout", []string{"ohmtrail/", "net/http"}},
	{"ohmtrail/cmd/internal/phrase", []string{"ohmtrail/", "net/http"}},
	{"ohmtrail/cmd/internal/lines", []string{"ohmtrail/", "os", "net", "time"}},
	{"ohmtrail/cmd/ohmtrail", []string{"ohmtrail/cmd/internal/phrase/phrasetest"}}, // for tests only
	{"ohmtrail/cmd/internal/files", []string{"ohmtrail/solver/", "net/http"}},
	{"ohmtrail/cmd/internal/paper", []string{"ohmtrail/solver/", "ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/view", "ohmtrail/cmd/internal/web", "net/http"}},
	{"ohmtrail/cmd/internal/recorded", []string{"ohmtrail/circuits", "ohmtrail/solver/", "ohmtrail/cmd/internal/files", "net/http"}},
	{"ohmtrail/cmd/internal/recordings", []string{"ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/web", "net/http"}},
	{"ohmtrail/cmd/internal/chart", []string{"ohmtrail/circuits", "ohmtrail/solver/network", "ohmtrail/solver/hypothesis", "ohmtrail/cmd/internal/view", "net/http"}},
	{"ohmtrail/cmd/internal/report", []string{"ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/web", "net/http"}},
	{"ohmtrail/cmd/internal/view", []string{"ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/web", "net/http"}},
	{"ohmtrail/cmd/internal/worksheet", []string{"ohmtrail/cmd/internal/exercise", "ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/web", "ohmtrail/cmd/internal/class", "net/http"}},
	{"ohmtrail/cmd/internal/web", []string{"ohmtrail/cmd/internal/class", "github.com/goccy/go-graphviz/"}},
	{"ohmtrail/cmd/internal/class", []string{"ohmtrail/cmd/internal/web", "ohmtrail/cmd/internal/worksheet", "github.com/goccy/go-graphviz/"}},
	{"ohmtrail/cmd/internal/page", []string{"ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/exercise", "ohmtrail/cmd/internal/web", "ohmtrail/cmd/internal/class"}},
	{"ohmtrail/cmd/internal/door", []string{"ohmtrail/models", "ohmtrail/circuits", "ohmtrail/solver/", "ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/view", "ohmtrail/cmd/internal/web"}},
	{"ohmtrail/cmd/internal/exercise/seal", []string{"ohmtrail/", "net/http"}},
	{"ohmtrail/cmd/internal/exercise", []string{"ohmtrail/cmd/internal/exercise/marking", "ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/web", "net/http", "math/rand"}},
	{"ohmtrail/cmd/internal/exercise/marking", []string{"ohmtrail/cmd/internal/files", "ohmtrail/cmd/internal/web", "net/http"}},
}

// What a package may not import itself, although a library below it may.
var forbidden = []struct {
	of    string
	never []string
}{
	{"ohmtrail/circuits", []string{"os", "net", "time", "math/rand", "math/rand/v2"}},
	{"ohmtrail/circuits/remarks", []string{"os", "net", "time", "math/rand", "math/rand/v2"}},
	{"ohmtrail/circuits/read", []string{"os", "net", "time", "math/rand", "math/rand/v2"}},
	{"ohmtrail/circuits/library", []string{"os", "net", "time", "math/rand", "math/rand/v2"}},
	{"ohmtrail/solver/network", []string{"os", "net", "time", "math/rand", "math/rand/v2", "github.com/BurntSushi/toml"}},
	{"ohmtrail/solver/hypothesis", []string{"os", "net", "time", "log", "github.com/BurntSushi/toml"}},
	{"ohmtrail/solver/evidence", []string{"os", "net", "time", "log", "github.com/BurntSushi/toml"}},
	{"ohmtrail/solver/rank", []string{"os", "net", "time", "log", "github.com/BurntSushi/toml"}},
	{"ohmtrail/solver/plan", []string{"os", "net", "time", "log", "github.com/BurntSushi/toml"}},
	{"ohmtrail/solver/trial", []string{"os", "net", "time", "log", "github.com/BurntSushi/toml"}},
	{"ohmtrail/solver/levels", []string{"os", "net", "time", "log", "github.com/BurntSushi/toml"}},
	{"ohmtrail/cmd/internal/view", []string{"os", "io", "log"}},
	{"ohmtrail/cmd/internal/report", []string{"os", "io", "log", "math/rand", "math/rand/v2"}},
	{"ohmtrail/cmd/internal/paper", []string{"os", "log", "math/rand", "math/rand/v2"}},
	{"ohmtrail/cmd/internal/worksheet", []string{"os", "time", "log"}},
	{"ohmtrail/cmd/internal/exercise", []string{"os", "io", "log", "time"}},
	{"ohmtrail/cmd/internal/exercise/marking", []string{"os", "io", "log", "time"}},
}

// imports lists what each package of the build imports, for every package that this program and its floors need.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "-json=ImportPath,Imports", "ohmtrail/...").Output()
	if err != nil {
		var failed *exec.ExitError
		if errors.As(err, &failed) {
			t.Fatalf("go list: %v\n%s", err, failed.Stderr)
		}
		t.Fatal(err)
	}
	graph := map[string][]string{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			ImportPath string
			Imports    []string
		}
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return graph
		} else if err != nil {
			t.Fatal(err)
		}
		graph[p.ImportPath] = p.Imports
	}
}

// chain is the shortest way of imports from a package to another that matches, nil where there is none. Ways through
// the standard library count only as their first step: that the library itself uses os says nothing of us.
func chain(graph map[string][]string, from string, matches func(string) bool) []string {
	type step struct {
		path string
		way  []string
	}
	seen := map[string]bool{from: true}
	for queue := []step{{from, []string{from}}}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if first, _, _ := strings.Cut(at.path, "/"); !strings.Contains(first, ".") && first != "ohmtrail" {
			continue
		}
		for _, next := range graph[at.path] {
			if seen[next] {
				continue
			}
			seen[next] = true
			way := append(slices.Clone(at.way), next)
			if matches(next) {
				return way
			}
			queue = append(queue, step{next, way})
		}
	}
	return nil
}

func matcher(pattern string) func(string) bool {
	return func(path string) bool {
		if folder, ok := strings.CutSuffix(pattern, "/"); ok {
			return path == folder || strings.HasPrefix(path, pattern)
		}
		return path == pattern
	}
}

func TestFloors(t *testing.T) {
	graph := imports(t)
	for _, f := range floors {
		if graph[f.of] == nil {
			t.Errorf("%s is not built, so its floor is not tested", f.of)
		}
		for _, never := range f.never {
			if way := chain(graph, f.of, matcher(never)); way != nil {
				t.Errorf("%s must not reach %s, and does:\n\t%s", f.of, never, strings.Join(way, "\n\t-> "))
			}
		}
	}
	for _, f := range forbidden {
		for _, path := range graph[f.of] {
			if slices.Contains(f.never, path) {
				t.Errorf("%s must not import %s:\n\t%s\n\t-> %s", f.of, path, f.of, path)
			}
		}
	}
}

// TestFloorsSeeAChain holds the test above against ways that are there and ways that are not.
func TestFloorsSeeAChain(t *testing.T) {
	graph := map[string][]string{"ohmtrail/a": {"ohmtrail/b", "fmt"}, "ohmtrail/b": {"example.org/c"}, "example.org/c": {"net/http"}, "fmt": {"os"}}
	if way := chain(graph, "ohmtrail/a", matcher("net/http")); strings.Join(way, " ") != "ohmtrail/a ohmtrail/b example.org/c net/http" {
		t.Errorf("the way to net/http is %q", way)
	}
	if way := chain(graph, "ohmtrail/a", matcher("os")); way != nil {
		t.Errorf("the library's own way to os counts: %q", way)
	}
}
