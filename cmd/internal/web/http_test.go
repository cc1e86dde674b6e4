package web_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/web"
)

func bodyOf(t *testing.T, answer *http.Response) string {
	t.Helper()
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

// post sends JSON to a path of the site, with headers given as "Name: value".
func (s *site) post(path, body string, headers ...string) (int, string) {
	s.t.Helper()
	status, text, err := post(s.url+path, body, headers...)
	if err != nil {
		s.t.Fatal(err)
	}
	return status, text
}

func post(url, body string, headers ...string) (int, string, error) {
	r, err := http.NewRequest("POST", url, strings.NewReader(body))
	if err != nil {
		return 0, "", err
	}
	r.Header.Set("Content-Type", "application/json")
	for _, h := range headers {
		name, value, _ := strings.Cut(h, ": ")
		r.Header.Set(name, value)
		if name == "Host" {
			r.Host = value
		}
	}
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, "", err
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	return answer.StatusCode, string(text), err
}

// volts is a reading of volts at MHS:1 as the page sends it.
func volts(id, typed string) string {
	return fmt.Sprintf(`{"id":%q,"at":"MHS:1","to":"B-","quantity":"volts","typed":%q,"state":{"key":"on","unplugged":[],"jumper":[],"load":[],"set":{}},"wiggle":"","symptom":"","note":"","confirm":false}`, id, typed)
}

const startReadings = "/api/readings?file=mast-height-start.job.toml"

// TestNoWayOut asks for files outside the folder by every kind of name.
func TestNoWayOut(t *testing.T) {
	above := t.TempDir()
	folder := filepath.Join(above, "jobs")
	if err := os.MkdirAll(filepath.Join(folder, ".hidden"), 0o755); err != nil {
		t.Fatal(err)
	}
	const secret = "format = 1\ncircuit = \"library:coolant-temperature\"\nmachine = \"SECRET\"\n"
	for _, name := range []string{"secret.job.toml", "secret.circuit.toml", "jobs/.hidden/x.job.toml"} {
		write(t, filepath.Join(above, name), secret)
	}
	write(t, filepath.Join(folder, "plain.txt"), secret)
	link := func(to, name string) {
		if err := os.Symlink(to, filepath.Join(folder, name)); err != nil {
			t.Fatal(err)
		}
	}
	link("../secret.job.toml", "out.job.toml")
	link(filepath.Join(above, "secret.job.toml"), "absolute.job.toml")
	link("..", "up")
	link("/proc/self/environ", "proc.job.toml")
	link("/dev/zero", "zero.job.toml")
	write(t, filepath.Join(folder, "names-it.job.toml"), "format = 1\ncircuit = \"../secret.circuit.toml\"\n")
	write(t, filepath.Join(folder, "names-absolute.job.toml"), fmt.Sprintf("format = 1\ncircuit = %q\n", filepath.Join(above, "secret.circuit.toml")))
	write(t, filepath.Join(folder, "names-link.job.toml"), "format = 1\ncircuit = \"up/secret.circuit.toml\"\n")
	s := serve(t, folder, 0, nil)

	names := []string{"../secret.job.toml", "..%2fsecret.job.toml", "%2e%2e/secret.job.toml", "..\\secret.job.toml", "up/secret.job.toml", "./../secret.job.toml",
		"x/../../secret.job.toml", filepath.Join(above, "secret.job.toml"), "//" + above + "/secret.job.toml", "out.job.toml", "absolute.job.toml", ".hidden/x.job.toml",
		"plain.txt", "plain.txt\x00.job.toml", "", ".job.toml", "proc.job.toml", "zero.job.toml", "file:///etc/passwd", "C:\\x.job.toml", "CON.job.toml/x.job.toml"}
	for _, path := range []string{"/api/job", "/api/circuit", "/api/plan", "/api/why", "/api/drawing", "/api/events"} {
		for _, name := range names {
			if name == "" && path == "/api/events" {
				continue // the folder's own stream, which never ends
			}
			status, text := get(t, s.url+path+"?file="+url.QueryEscape(name))
			if status < 400 || status >= 500 || strings.Contains(text, "SECRET") || strings.Contains(text, above) {
				t.Errorf("%s of %q: %d %.200q", path, name, status, text)
			}
		}
	}
	for _, name := range names {
		for _, path := range []string{"/api/readings", "/api/remove", "/api/change", "/api/inspections", "/api/restore"} {
			status, text := s.post(path+"?file="+url.QueryEscape(name), volts("abcdefgh", "1"), `If-Match: "x"`)
			if status < 400 || status >= 500 || strings.Contains(text, "SECRET") {
				t.Errorf("%s into %q: %d %.200q", path, name, status, text)
			}
		}
		body, _ := json.Marshal(map[string]any{"circuit": name, "machine": "m", "complaint": "", "codes": []string{}, "intermittent": false})
		if status, text := s.post("/api/jobs", string(body)); status < 400 || strings.Contains(text, "SECRET") {
			t.Errorf("a job on %q: %d %s", name, status, text)
		}
	}
	for _, name := range []string{"names-it", "names-absolute", "names-link"} {
		if _, text := get(t, s.url+"/api/job?file="+name+".job.toml"); strings.Contains(text, "SECRET") || !strings.Contains(text, "outside the folder") && !strings.Contains(text, "no file of the folder") {
			t.Errorf("%s: %s", name, text)
		}
	}
	for _, path := range []string{"/assets/../page.go", "/assets/%2e%2e/page.go", "/assets/", "/../secret.job.toml", "/secret.job.toml", "/assets/job.js/", "/.hidden/x.job.toml"} {
		if status, text := get(t, s.url+path); status == 200 && strings.Contains(text, "SECRET") || status != 404 {
			t.Errorf("%s: %d %.100q", path, status, text)
		}
	}
	if _, text := get(t, s.url+"/api/folder"); strings.Contains(text, "SECRET") || strings.Contains(text, "hidden") {
		t.Errorf("the list shows %s", text)
	}
	for _, name := range []string{"secret.job.toml", "secret.circuit.toml"} {
		if got := contents(t, filepath.Join(above, name)); got != secret {
			t.Errorf("%s was written: %q", name, got)
		}
	}
}

// TestHostileRequests come from other sites, under other names, too large and malformed; none changes a file.
func TestHostileRequests(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	path := filepath.Join(s.folder, "mast-height-start.job.toml")
	before := contents(t, path)
	good := volts("abcdefgh1", "4.98")
	for _, c := range []struct {
		what, path, body string
		headers          []string
		want             int
	}{
		{"another site", startReadings, good, []string{"Origin: http://evil.example"}, 403},
		{"another site, by its browser's word", startReadings, good, []string{"Sec-Fetch-Site: cross-site"}, 403},
		{"a form of another site", startReadings, good, []string{"Content-Type: text/plain"}, 415},
		{"a rebound name", startReadings, good, []string{"Host: evil.example"}, 421},
		{"no JSON", startReadings, "at=MHS:1", nil, 400},
		{"half of it", startReadings, good[:40], nil, 400},
		{"two of it", startReadings, good + good, nil, 400},
		{"an unknown field", startReadings, strings.Replace(good, `"at"`, `"path":"x","at"`, 1), nil, 400},
		{"deep nesting", startReadings, strings.Repeat(`{"state":`, 20000), nil, 400},
		{"no id", startReadings, volts("", "4.98"), nil, 400},
		{"an id with a line end", startReadings, volts("abcdefgh\nx", "4.98"), nil, 400},
		{"no value", startReadings, volts("abcdefgh2", "x"), nil, 422},
		{"too long a value", startReadings, volts("abcdefgh3", strings.Repeat("9", 1000)), nil, 422},
		{"a point that is not there", startReadings, strings.ReplaceAll(good, "MHS:1", "NNN:1"), nil, 422},
		{"TOML in a point", startReadings, strings.ReplaceAll(good, "MHS:1", `MHS:1\"\nvolts = 1\n[[reading]]\nat = \"MHS:2`), nil, 422},
		{"a key that is none", startReadings, strings.ReplaceAll(good, `"key":"on"`, `"key":"sideways"`), nil, 422},
		{"a load of nothing", startReadings, strings.ReplaceAll(good, `"load":[]`, `"load":[{"from":"MHS:1","to":"B-","ohms":-5}]`), nil, 422},
		{"change without saying of what", "/api/change?file=mast-height-start.job.toml", `{"Index":0,"Typed":"1","Note":"","Confirm":true}`, nil, 428},
		{"change of what is not there any more", "/api/change?file=mast-height-start.job.toml", `{"Index":0,"Typed":"1","Note":"","Confirm":true}`, []string{`If-Match: "0123456789abcdef-0"`}, 409},
		{"removal by a wrong index", "/api/remove?file=mast-height-start.job.toml", `{"Name":"reading","Index":-1}`, []string{`If-Match: "x"`}, 400},
		{"removal of a table", "/api/remove?file=mast-height-start.job.toml", `{"Name":"meter","Index":0}`, []string{`If-Match: "x"`}, 400},
		{"restoring nothing", "/api/restore?file=mast-height-start.job.toml", `{"ID":"abcdefgh9","Undo":5}`, nil, 410},
		{"too much state", "/api/state?file=mast-height-start.job.toml", `{"key":"on","unplugged":[` + strings.Repeat(`"x",`, 100) + `"x"]}`, nil, 422},
		{"a method that is none", "/api/job?file=mast-height-start.job.toml", "{}", nil, 405},
	} {
		if status, text := s.post(c.path, c.body, c.headers...); status != c.want {
			t.Errorf("%s: %d %.300s, want %d", c.what, status, text, c.want)
		}
	}
	if got := contents(t, path); got != before {
		t.Errorf("the file was written:\n%s", got)
	}
	if entries, _ := os.ReadDir(s.folder); len(entries) != 3 {
		t.Errorf("the folder holds %v", entries)
	}
}

// endless gives bytes and counts them.
type endless struct{ sent, most int64 }

func (e *endless) Read(p []byte) (int, error) {
	if e.sent >= e.most {
		return 0, io.EOF
	}
	for i := range p {
		p[i] = ' '
	}
	e.sent += int64(len(p))
	return len(p), nil
}

// TestAHundredMegabytes are turned away before they are read, whether or not their length is said.
func TestAHundredMegabytes(t *testing.T) {
	s := serve(t, jobs(t), 0, nil)
	for _, length := range []int64{100 << 20, -1} {
		body := &endless{most: 100 << 20}
		r, err := http.NewRequest("POST", s.url+startReadings, body)
		if err != nil {
			t.Fatal(err)
		}
		r.ContentLength = length
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Expect", "")
		began := time.Now()
		answer, err := http.DefaultClient.Do(r)
		switch {
		case err != nil: // the server hung up while we were still sending
		case answer.StatusCode != http.StatusRequestEntityTooLarge:
			t.Errorf("length %d: %d %s", length, answer.StatusCode, bodyOf(t, answer))
		default:
			answer.Body.Close()
		}
		if body.sent > 32<<20 || time.Since(began) > 20*time.Second {
			t.Errorf("length %d: %d MB were taken in %v", length, body.sent>>20, time.Since(began))
		}
	}
	if status, _ := get(t, s.url+"/api/folder"); status != 200 {
		t.Errorf("afterwards: %d", status)
	}
}

// TestWrittenOnce sends one addition again and again, also to a program that was started anew.
func TestWrittenOnce(t *testing.T) {
	folder := jobs(t)
	journal := filepath.Join(t.TempDir(), "written.jsonl")
	keep := func(o *web.Options, _ *door.Options) { o.Journal = journal }
	path := filepath.Join(folder, "mast-height-start.job.toml")
	before := contents(t, path)
	for range 2 {
		s := serve(t, folder, 0, keep)
		for range 3 {
			if status, text := s.post(startReadings, volts("abcdefgh1", "4.98")); status != 200 || !strings.Contains(text, `"read":"4.98 V"`) {
				t.Fatalf("%d %s", status, text)
			}
		}
		s.stop()
	}
	const block = "\n[[reading]]\nat = \"MHS:1\"\nvolts = 4.98\n"
	if got := contents(t, path); got != before+block {
		t.Errorf("the file holds\n%s", got)
	}

	// The program was killed behind the writing, before it could note so: the job's text tells.
	noted := strings.Split(strings.TrimSpace(contents(t, journal)), "\n")
	write(t, journal, strings.ReplaceAll(noted[0], `,"done":true`, "")+"\n")
	s := serve(t, folder, 0, keep)
	s.post(startReadings, volts("abcdefgh1", "4.98"))
	if got := contents(t, path); got != before+block {
		t.Errorf("after a kill behind the writing the file holds\n%s", got)
	}
	s.stop()
	// The same before the writing, with half a line at the end.
	write(t, path, before)
	write(t, journal, strings.ReplaceAll(noted[0], `,"done":true`, "")+"\n"+noted[0][:20])
	s = serve(t, folder, 0, keep)
	s.post(startReadings, volts("abcdefgh1", "4.98"))
	if got := contents(t, path); got != before+block {
		t.Errorf("after a kill before the writing the file holds\n%s", got)
	}
	// The same reading taken again by somebody is another addition.
	s.post(startReadings, volts("abcdefgh2", "4.98"))
	if got := contents(t, path); got != before+block+block {
		t.Errorf("two alike: the file holds\n%s", got)
	}
}

// TestStepsBeginWithWhatIsTakenBack: the plan's steps take back what the last reading left apart, or what somebody on the page says
// that the machine is put into.
func TestStepsBeginWithWhatIsTakenBack(t *testing.T) {
	folder := t.TempDir()
	write(t, filepath.Join(folder, "a.job.toml"), "format = 1\ncircuit = \"library:coolant-temperature\"\ncodes = [\"P0118\"]\n"+
		"[[reading]]\nat = \"ECT:1\"\nvolts = 4.98\nunplugged = [\"ECT\"]\n")
	s := serve(t, folder, 0, nil)
	const again, lead = "Plug ECT (coolant temperature sensor) in again.", "Take the lead between ECT:1 and ECT:2 off."
	if _, text := get(t, s.url+"/api/plan?file=a.job.toml"); !strings.Contains(text, again) || strings.Contains(text, lead) {
		t.Errorf("after a reading with ECT apart: %s", text)
	}
	if status, text := s.post("/api/state?file=a.job.toml", `{"key":"on","unplugged":["ECT"],"jumper":[["ECT:1","ECT:2"]]}`); status != 200 {
		t.Fatal(text)
	}
	if _, text := get(t, s.url+"/api/plan?file=a.job.toml"); !strings.Contains(text, again) || !strings.Contains(text, lead) {
		t.Errorf("with ECT apart and its terminals joined: %s", text)
	}
	if status, text := s.post("/api/state?file=a.job.toml", `{"key":"on"}`); status != 200 {
		t.Fatal(text)
	}
	if _, text := get(t, s.url+"/api/plan?file=a.job.toml"); strings.Contains(text, again) || strings.Contains(text, lead) {
		t.Errorf("with all plugged in: %s", text)
	}
}

// TestPyrotechnicIsAStopScreen lets nothing be started on, or entered into, a squib circuit.
func TestPyrotechnicIsAStopScreen(t *testing.T) {
	folder := t.TempDir()
	write(t, filepath.Join(folder, "bag.job.toml"), "format = 1\ncircuit = \"library:squib\"\n")
	s := serve(t, folder, 0, nil)
	if status, text := s.post("/api/jobs", `{"circuit":"library:squib","machine":"m","complaint":"","codes":[],"intermittent":false}`); status != 422 || !strings.Contains(text, "pyrotechnic") {
		t.Errorf("%d %s", status, text)
	}
	if status, text := s.post("/api/readings?file=bag.job.toml", volts("abcdefgh1", "1")); status != 422 || !strings.Contains(text, "pyrotechnic") {
		t.Errorf("%d %s", status, text)
	}
	if _, text := get(t, s.url+"/api/plan?file=bag.job.toml"); !strings.Contains(text, `"readings":[]`) {
		t.Errorf("a plan: %s", text)
	}
	if _, text := get(t, s.url+"/api/folder"); strings.Contains(text, "library:squib") {
		t.Error("the library's squib circuit is offered")
	}
	if before := contents(t, filepath.Join(folder, "bag.job.toml")); !bytes.HasSuffix([]byte(before), []byte("squib\"\n")) {
		t.Errorf("the file holds %s", before)
	}
}
