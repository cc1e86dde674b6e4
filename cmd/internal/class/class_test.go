package class_test

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ohmtrail/cmd/internal/class"
	"ohmtrail/cmd/internal/exercise"
)

// TestRound is a round from joining to the table of results.
func TestRound(t *testing.T) {
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer, kim, lee := s.person(class.TrainerPass), s.person(class.StudentPass), s.person(class.StudentPass)
	if m := kim.me(); m.Joined || m.Exercise != nil {
		t.Errorf("before joining the page gets %+v", m)
	}
	kim.join("Kim")
	if m := kim.me(); !m.Joined || m.Name != "Kim" || m.Phase != "waiting" || m.Exercise != nil {
		t.Errorf("before the start the page gets %+v", m)
	}
	if status, _ := kim.get("/api/circuit"); status != http.StatusConflict {
		t.Errorf("before the start the circuit is answered with %d", status)
	}
	if status, body := trainer.post("/api/board/round", map[string]string{"do": "", "marks_when": "finding"}); status != http.StatusOK {
		t.Fatal(status, string(body))
	}
	trainer.round("start")
	lee.join("Lee") // late
	b := trainer.board()
	if len(b.Students) != 2 || b.Students[0].Exercise == b.Students[1].Exercise || b.Students[0].Exercise == "" {
		t.Fatalf("neighbours have %+v", b.Students)
	}
	for _, path := range []string{"/", "/api/circuit", "/api/drawing", "/assets/class.css", "/assets/student.js"} {
		if status, body := kim.get(path); status != http.StatusOK || len(body) < 200 {
			t.Errorf("%s is answered with %d and %d bytes", path, status, len(body))
		}
	}

	m := kim.must(0, "volts ECT:1", "is the signal there?")
	if len(m.Steps) != 1 || m.Steps[0].Reply == "" || m.Minutes != 3 || m.Steps[0].Reason != "is the signal there?" {
		t.Errorf("after a reading the page gets %+v", m)
	}
	if m := kim.must(1, "ohms ECT:1 to ECT:2", "hm"); m.Steps[1].Refused == "" || !m.Steps[1].Unsafe || m.Minutes != 3 {
		t.Errorf("ohms on a live circuit: %+v", m.Steps[1])
	}
	if status, body := kim.step(2, "volts ECT:Q", "x"); status != http.StatusUnprocessableEntity || !strings.Contains(string(body), "no cavity Q") {
		t.Errorf("a point that is not there: %d %s", status, body)
	}
	if status, body := kim.post("/api/cost", step{"round": 1, "after": 2, "line": "volts C101:7/cabin", "reason": ""}); status != http.StatusOK || !strings.Contains(string(body), `"minutes":5`) {
		t.Errorf("the cost of a reading at a connector (4 to get there, 1 to read): %d %s", status, body)
	}
	if m := kim.me(); len(m.Steps) != 2 {
		t.Errorf("asking for a cost is a step: %+v", m)
	}
	wait(t, "the board knows what the reading told", func() bool {
		b := trainer.board()
		return b.Students[0].Fresh && b.Students[0].Open_places > 0
	})

	x := hidden(t, b.Students[0].Exercise)
	m = kim.must(2, "find "+x.Hidden.Fault.WithoutOhms().String()+"; put it right", "proved")
	if !m.Done {
		t.Fatalf("after the finding the page gets %+v", m)
	}
	if status, body := kim.step(3, "volts ECT:1", "more"); status != http.StatusConflict {
		t.Errorf("after the finding a reading is answered with %d %s", status, body)
	}
	wait(t, "Kim's marks are there", func() bool { m = kim.me(); return m.Marks != nil })
	if m.Marks.Truth != x.Hidden.Fault.String() || m.Marks.Most <= 0 {
		t.Errorf("the marks are %+v", m.Marks)
	}
	if b := trainer.board(); !b.Students[0].Done || !b.Students[0].Right || b.Students[0].Total == nil || b.Students[1].Done {
		t.Errorf("the board says %+v", b.Students)
	}

	trainer.round("close")
	if status, _ := lee.step(0, "volts ECT:1", "late"); status != http.StatusConflict {
		t.Errorf("after the close a step is answered with %d", status)
	}
	_, table := trainer.get("/api/board/results.csv")
	rows := strings.Split(strings.TrimSpace(string(table)), "\n")
	if len(rows) != 3 || !strings.HasPrefix(rows[1], "Kim,") || !strings.HasPrefix(rows[2], "Lee,") || !strings.HasSuffix(rows[2], "no finding") ||
		strings.Count(rows[0], ",") != strings.Count(rows[2], ",") {
		t.Errorf("the table is\n%s", table)
	}
	if status, body := trainer.get("/api/board/paths"); status != http.StatusOK || !strings.Contains(string(body), "told_bits") {
		t.Errorf("the ways: %d %s", status, body)
	}
	if plays, _ := filepath.Glob(filepath.Join(dir, "class", "round-1", "*"+exercise.PlayEnding)); len(plays) != 1 {
		t.Errorf("plays on disk: %q", plays)
	} else if text, err := os.ReadFile(plays[0]); err != nil {
		t.Error(err)
	} else if p, _, err := exercise.Resume(plays[0], text); err != nil || len(p.Steps) != 3 || len(p.Altered) != 0 {
		t.Errorf("the play on disk: %v %+v", err, p)
	}
	trainer.round("new")
	if m := kim.me(); m.Round != 2 || m.Exercise != nil || !m.Joined {
		t.Errorf("in a new round the page gets %+v", m)
	}
	trainer.round("start")
	if status, body := kim.step(0, "volts ECT:1", "of the old round"); status != http.StatusConflict {
		t.Errorf("a step of the round before: %d %s", status, body)
	}
}

// TestMarksWait: unless the trainer wants it otherwise, nobody sees marks before the round is closed, so that no answer can
// be passed on to who plays the same machine.
func TestMarksWait(t *testing.T) {
	s := serve(t, folder(t), 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	kim.join("Kim")
	trainer.round("start")
	kim.must(0, "find open ECT:1; plug it", "a guess")
	wait(t, "the board has marks", func() bool { return trainer.board().Students[0].Total != nil })
	if m := kim.me(); m.Marks != nil || m.Reckoned || !m.Done {
		t.Errorf("before the close the page gets %+v", m)
	}
	trainer.round("close")
	if m := kim.me(); m.Marks == nil {
		t.Error("after the close the page gets no marks")
	}
}
