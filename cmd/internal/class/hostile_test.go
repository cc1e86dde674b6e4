package class_test

import (
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ohmtrail/cmd/internal/class"
)

// TestNobodyWithoutAPass: on this machine too.
func TestNobodyWithoutAPass(t *testing.T) {
	s := serve(t, folder(t), 0, nil)
	jar, _ := cookiejar.New(nil)
	p := &person{s: s, web: http.Client{Jar: jar}}
	for _, path := range []string{"/", "/api/me", "/board", "/api/board", "/api/board/results.csv", "/assets/student.js", "/door/invite.svg?pass=student"} {
		if status, _ := p.get(path); status != http.StatusUnauthorized {
			t.Errorf("%s without a pass: %d", path, status)
		}
	}
	if status, _ := p.post("/api/join", map[string]string{"name": "x"}); status != http.StatusUnauthorized {
		t.Errorf("joining without a pass: %d", status)
	}
	kim := s.person(class.StudentPass)
	if status, _ := kim.get("/door/invite.svg?pass=trainer"); status == http.StatusOK {
		t.Error("a student gets the trainer's code")
	}
	for _, path := range []string{"/api/board/round", "/api/board/seat"} {
		if status, _ := kim.post(path, map[string]string{}); status != http.StatusForbidden {
			t.Errorf("a student's %s: %d", path, status)
		}
	}
}

// TestHostile: what nobody's page sends is refused in words, changes nothing, and stops nobody.
func TestHostile(t *testing.T) {
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer, kim, bad := s.person(class.TrainerPass), s.person(class.StudentPass), s.person(class.StudentPass)
	kim.join("Kim")
	bad.join("../../\x00\u202e<script>alert(1)</script> " + strings.Repeat("ä", 500))
	trainer.round("start")
	if status, body := kim.step(-1, "volts ECT:1", "before the first"); status != http.StatusConflict {
		t.Errorf("a step before the first: %d %s", status, body)
	}
	if m := bad.me(); len([]rune(m.Name)) > 40 || strings.ContainsAny(m.Name, "\x00\u202e") {
		t.Errorf("the name is %q", m.Name)
	}
	bad.must(0, "volts ECT:1", strings.Repeat("long ", 300)+"\x1b[2J\x00")
	if m := bad.me(); len([]rune(m.Steps[0].Reason)) > 500 || strings.ContainsAny(m.Steps[0].Reason, "\x1b\x00") {
		t.Errorf("the reason is %q", m.Steps[0].Reason)
	}
	for _, c := range []struct {
		method, path, body string
		want               int
	}{
		{"POST", "/api/step", "", 400},
		{"POST", "/api/step", "[]", 400},
		{"POST", "/api/step", `{"round":1,"after":1,"line":"volts ECT:1","reason":"x","done":true}`, 400},
		{"POST", "/api/step", `{"round":1,"after":1,"line":"","reason":"x"}`, 422},
		{"POST", "/api/step", `{"round":1,"after":1,"line":"` + strings.Repeat("unplug ECT ", 600) + `","reason":"x"}`, 422},
		{"POST", "/api/step", `{"round":1,"after":1,"line":"ask 99","reason":"x"}`, 422},
		{"POST", "/api/step", `{"round":1,"after":-1,"line":"volts ECT:2","reason":"x"}`, 409},
		{"POST", "/api/step", `{"round":9,"after":1,"line":"volts ECT:2","reason":"x"}`, 409},
		{"POST", "/api/step", `{"line":"` + strings.Repeat("x", 40<<10) + `"}`, 413},
		{"POST", "/api/cost", `{"round":1,"after":0,"line":"load","reason":""}`, 422},
		{"POST", "/api/join", `{"name":7}`, 400},
		{"GET", "/assets/../class.go", "", 404},
		{"GET", "/assets/%2e%2e/class.json", "", 404},
		{"GET", "/class/class.json", "", 404},
		{"GET", "/01.exercise.toml", "", 404},
		{"PUT", "/api/step", "{}", 405},
		{"GET", "/api/step", "", 405},
	} {
		status, body := bad.ask(c.method, c.path, strings.NewReader(c.body))
		if status != c.want {
			t.Errorf("%s %s %.80s: %d %s, not %d", c.method, c.path, c.body, status, body, c.want)
		}
	}
	if m := bad.me(); len(m.Steps) != 1 {
		t.Errorf("after all that %d steps", len(m.Steps))
	}
	for _, c := range []struct{ path, body string }{
		{"/api/board/round", `{"do":"explode"}`}, {"/api/board/round", `{"do":"","pick":["../../etc/passwd"]}`}, {"/api/board/round", `{"do":"","marks_when":"never"}`},
		{"/api/board/round", `{"do":"new"}`}, {"/api/board/seat", `{"id":77,"do":"free"}`}, {"/api/board/seat", `{"id":1,"do":"sell"}`},
	} {
		if status, body := trainer.ask("POST", c.path, strings.NewReader(c.body)); status < 400 || status >= 500 {
			t.Errorf("%s %s: %d %s", c.path, c.body, status, body)
		}
	}
	if b := trainer.board(); b.Phase != "running" || b.Round != 1 {
		t.Errorf("the board says %+v", b)
	}
	r, _ := http.NewRequest("POST", s.url+"/api/step", strings.NewReader(`{"round":1,"after":0,"line":"volts ECT:1","reason":"x"}`))
	r.Header.Set("Origin", "http://evil.example")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	if answer, err := kim.web.Do(r); err != nil || answer.StatusCode != http.StatusForbidden {
		t.Errorf("another site's step: %v %v", answer, err)
	}
	if m := kim.me(); len(m.Steps) != 0 {
		t.Error("another site's step was done")
	}
	var outside []string
	filepath.WalkDir(dir, func(path string, e os.DirEntry, _ error) error {
		if rel, _ := filepath.Rel(dir, path); !e.IsDir() && !strings.HasSuffix(rel, ".exercise.toml") && !strings.HasPrefix(rel, "class") {
			outside = append(outside, rel)
		}
		return nil
	})
	if len(outside) > 0 {
		t.Errorf("files beside the class: %q", outside)
	}
}

// TestFull: a class has an end.
func TestFull(t *testing.T) {
	s := serve(t, folder(t), 0, nil)
	for i := range 201 {
		p := s.person(class.StudentPass)
		status, body := p.post("/api/join", map[string]string{"name": fmt.Sprint("student ", i)})
		if want := map[bool]int{true: 200, false: 409}[i < 200]; status != want {
			t.Fatalf("student %d: %d %s", i, status, body)
		}
		p.web.CloseIdleConnections()
	}
}
