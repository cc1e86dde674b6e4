package class_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"maps"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/class"
	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/exercise"
)

// made are exercises on the coolant temperature, for all tests.
var made = sync.OnceValues(func() ([]*exercise.Exercise, error) {
	text, err := library.Text("coolant-temperature")
	if err != nil {
		return nil, err
	}
	set, err := exercise.Make(exercise.Request{CircuitName: "library:coolant-temperature", CircuitText: text, Level: 2, Count: 6, Seed: 4})
	return set.Exercises, err
})

// folder is a folder with some exercises.
func folder(t testing.TB) string {
	t.Helper()
	list, err := made()
	if err != nil {
		t.Fatal(err)
	}
	if len(list) < 3 {
		t.Fatalf("%d exercises were made", len(list))
	}
	dir := t.TempDir()
	for _, x := range list {
		writeExercise(t, dir, x)
	}
	return dir
}

func writeExercise(t testing.TB, dir string, x *exercise.Exercise) {
	t.Helper()
	text, err := x.Text()
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, x.Name+exercise.Ending), text, 0o666)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// site is a class that is served.
type site struct {
	t     testing.TB
	class *class.Class
	door  *door.Door
	url   string
	stop  func()
}

// serve serves a folder; port 0 stands for any.
func serve(t testing.TB, dir string, port int, secrets []byte) *site {
	t.Helper()
	var way *door.Door
	c, err := class.New(class.Options{Folder: dir, Now: time.Now, Log: testLog{t}, Invitations: func() []door.Invitation { return way.Invitations() }})
	if err != nil {
		t.Fatal(err)
	}
	if port == 0 {
		port = door.AnyPort
	}
	way, err = door.Open(door.Options{Port: port, Locked: true, Passes: class.Passes(), BodyBytes: class.BodyBytes, Secrets: secrets, Log: testLog{t}})
	if err != nil {
		t.Fatal(err)
	}
	way.WhenClosing(c.Close)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- way.Serve(ctx, c) }()
	s := &site{t: t, class: c, door: way, url: strings.TrimSuffix(way.URL(), "/")}
	s.stop = sync.OnceFunc(func() {
		cancel()
		if err := <-ended; err != nil {
			t.Errorf("the server ended with %v", err)
		}
	})
	t.Cleanup(s.stop)
	return s
}

type testLog struct{ t testing.TB }

func (l testLog) Write(p []byte) (int, error) {
	l.t.Logf("log: %s", p)
	return len(p), nil
}

func (s *site) code(pass string) string {
	for _, i := range s.door.Invitations() {
		if i.Pass == pass {
			return i.Code
		}
	}
	return ""
}

// person is one browser.
type person struct {
	s    *site
	web  http.Client
	seen func(path string, body []byte) // is shown every answer; nil for nobody
}

func (s *site) person(pass string) *person {
	s.t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.t.Fatal(err)
	}
	p := &person{s: s, web: http.Client{Jar: jar, Timeout: 30 * time.Second}}
	if status, body := p.post("/door/in", map[string]string{"code": s.code(pass)}); status != http.StatusNoContent {
		s.t.Fatalf("the code is answered with %d %s", status, body)
	}
	return p
}

func (p *person) ask(method, path string, body io.Reader) (int, []byte) {
	r, err := http.NewRequest(method, p.s.url+path, body)
	if err != nil {
		p.s.t.Error(err)
		return 0, nil
	}
	answer, err := p.web.Do(r)
	if err != nil {
		p.s.t.Errorf("%s %s: %v", method, path, err)
		return 0, nil
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		p.s.t.Errorf("%s %s: %v", method, path, err)
	}
	if p.seen != nil {
		p.seen(method+" "+path, text)
		for _, name := range slices.Sorted(maps.Keys(answer.Header)) {
			p.seen(method+" "+path+" "+name, []byte(strings.Join(answer.Header.Values(name), " ")))
		}
	}
	return answer.StatusCode, text
}

func (p *person) get(path string) (int, []byte) { return p.ask(http.MethodGet, path, nil) }

func (p *person) post(path string, v any) (int, []byte) {
	body, err := json.Marshal(v)
	if err != nil {
		p.s.t.Fatal(err)
	}
	return p.ask(http.MethodPost, path, bytes.NewReader(body))
}

// me is what a student's page gets.
type me struct {
	Joined   bool
	Name     string
	Phase    string
	Round    int
	Exercise *struct {
		Title, Complaint string
		Questions        []string
	}
	Steps []struct {
		Kind, Words, Reason, Refused, Reply string
		Unsafe                              bool
		Minutes                             float64
	}
	Minutes  float64
	Done     bool
	Reckoned bool
	Marks    *struct {
		Total, Most float64
		Truth       string
	}
}

func (p *person) me() me {
	p.s.t.Helper()
	status, body := p.get("/api/me")
	return p.read(status, body)
}

func (p *person) read(status int, body []byte) (m me) {
	p.s.t.Helper()
	if status != http.StatusOK {
		p.s.t.Errorf("the page's state is answered with %d %s", status, body)
		return m
	}
	if err := json.Unmarshal(body, &m); err != nil {
		p.s.t.Errorf("%v: %s", err, body)
	}
	return m
}

func (p *person) join(name string) {
	p.s.t.Helper()
	if status, body := p.post("/api/join", map[string]string{"name": name}); status != http.StatusOK {
		p.s.t.Fatalf("%s joins: %d %s", name, status, body)
	}
}

type step map[string]any

func (p *person) step(after int, line, reason string) (int, []byte) {
	return p.post("/api/step", step{"round": 1, "after": after, "line": line, "reason": reason})
}

// must does a step that has to succeed.
func (p *person) must(after int, line, reason string) me {
	p.s.t.Helper()
	status, body := p.step(after, line, reason)
	return p.read(status, body)
}

func (p *person) round(do string) {
	p.s.t.Helper()
	if status, body := p.post("/api/board/round", map[string]string{"do": do}); status != http.StatusOK {
		p.s.t.Fatalf("round %s: %d %s", do, status, body)
	}
}

// board is what the board gets.
type board struct {
	Phase    string
	Round    int
	Waiting  int
	Students []struct {
		ID                              int
		Name, Exercise, Last, Found     string
		Steps, Readings, Open_places    int
		Minutes, Bits_left              float64
		True_place_share, Quiet_seconds float64
		Fresh, Done, Right, Here        bool
		Total                           *float64
	}
}

func (p *person) board() (b board) {
	p.s.t.Helper()
	status, body := p.get("/api/board")
	if err := json.Unmarshal(body, &b); status != http.StatusOK || err != nil {
		p.s.t.Fatalf("the board is answered with %d %s", status, body)
	}
	return b
}

// wait waits until something holds.
func wait(t testing.TB, what string, holds func() bool) {
	t.Helper()
	waitFor(t, time.Minute, what, holds)
}

func waitFor(t testing.TB, most time.Duration, what string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(most); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if holds() {
			return
		}
	}
	t.Fatalf("in vain waited until %s", what)
}

// hidden is the exercise of a name.
func hidden(t testing.TB, name string) *exercise.Exercise {
	t.Helper()
	list, err := made()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range list {
		if x.Name == name {
			return x
		}
	}
	t.Fatalf("there is no exercise %q", name)
	return nil
}
