package class_test

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"ohmtrail/cmd/internal/class"
)

// TestRestart: a class that ends and begins again has everybody in it, with every step that was answered, and the codes
// that were shown.
func TestRestart(t *testing.T) {
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	kim.join("Kim")
	trainer.round("start")
	kim.must(0, "volts ECT:1", "first")
	before := kim.must(1, "look ECT", "second")
	if err := class.KeepSecrets(dir, s.door.Secrets()); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(filepath.Join(dir, "class", "codes.json")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the codes are kept as %v %v", info, err)
	}
	port := s.door.Port()
	s.stop()
	s = serve(t, dir, port, class.Secrets(dir))
	kim.s, trainer.s = s, s
	after := kim.me()
	a, _ := json.Marshal(before)
	b, _ := json.Marshal(after)
	if string(a) != string(b) {
		t.Errorf("before the restart\n%s\nand after it\n%s", a, b)
	}
	kim.must(2, "volts ECT:2", "third")
	if board := trainer.board(); board.Phase != "running" || len(board.Students) != 1 || board.Students[0].Steps != 3 {
		t.Errorf("the board after the restart: %+v", board)
	}
	wait(t, "what was known is known again", func() bool { return trainer.board().Students[0].Fresh })
}

// TestDamaged: what is damaged on disk is said with the file's name, and is not written over.
func TestDamaged(t *testing.T) {
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	kim.join("Kim")
	trainer.round("start")
	kim.must(0, "volts ECT:1", "first")
	s.stop()
	plays, _ := filepath.Glob(filepath.Join(dir, "class", "round-1", "*"))
	if len(plays) != 1 {
		t.Fatal(plays)
	}
	open := func() error {
		c, err := class.New(class.Options{Folder: dir, Now: time.Now})
		if err == nil {
			c.Close()
		}
		return err
	}
	for _, file := range []string{plays[0], filepath.Join(dir, "class", "class.json")} {
		good, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"", "{", `{"format":9}`, string(good[:len(good)/2])} {
			if err := os.WriteFile(file, []byte(bad), 0o666); err != nil {
				t.Fatal(err)
			}
			if err := open(); err == nil || !strings.Contains(err.Error(), file) {
				t.Errorf("%s with %.20q: %v", filepath.Base(file), bad, err)
			}
			if now, _ := os.ReadFile(file); string(now) != bad {
				t.Errorf("%s was written over", filepath.Base(file))
			}
		}
		if err := os.WriteFile(file, good, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := open(); err != nil {
		t.Errorf("with its files back: %v", err)
	}
	if _, err := class.New(class.Options{Folder: t.TempDir(), Now: time.Now}); err == nil || !strings.Contains(err.Error(), "no exercises") {
		t.Errorf("an empty folder: %v", err)
	}
}

// TestDiskFull: a step that cannot be kept has not happened, and says so; when there is room again it can be done.
func TestDiskFull(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Log("as root nothing is forbidden: a file stands in the folder's place instead")
	}
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	kim.join("Kim")
	trainer.round("start")
	kim.must(0, "volts ECT:1", "first")
	round := filepath.Join(dir, "class", "round-1")
	if err := os.Rename(round, round+".away"); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(round, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if status, body := kim.step(1, "volts ECT:2", "second"); status != http.StatusInsufficientStorage || !strings.Contains(string(body), "has not happened") {
		t.Errorf("a step that cannot be kept: %d %s", status, body)
	}
	if m := kim.me(); len(m.Steps) != 1 || m.Minutes != 3 {
		t.Errorf("after it: %+v", m)
	}
	if err := os.Remove(round); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(round+".away", round); err != nil {
		t.Fatal(err)
	}
	if m := kim.must(1, "volts ECT:2", "second"); len(m.Steps) != 2 {
		t.Errorf("with room again: %+v", m)
	}
}

// TestSentTwice: a step whose answer was lost is sent again and done once, also when it is sent many times at once; one
// from a view that is behind is refused.
func TestSentTwice(t *testing.T) {
	s := serve(t, folder(t), 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	kim.join("Kim")
	trainer.round("start")
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			if status, body := kim.step(0, "volts ECT:1", "once"); status != http.StatusOK {
				t.Errorf("%d %s", status, body)
			}
		})
	}
	group.Wait()
	if m := kim.me(); len(m.Steps) != 1 || m.Minutes != 3 {
		t.Errorf("eight times the same step: %+v", m)
	}
	if status, body := kim.step(0, "volts ECT:2", "from an old view"); status != http.StatusConflict {
		t.Errorf("a step from a view that is behind: %d %s", status, body)
	}
	if status, _ := kim.step(7, "volts ECT:2", "from nowhere"); status != http.StatusConflict {
		t.Errorf("a step from a view that is ahead: %d", status)
	}
	kim.must(1, "find open ECT:1; renew it", "no voltage behind it")
	if status, body := kim.step(1, "find open ECT:1; renew it", "no voltage behind it"); status != http.StatusOK {
		t.Errorf("a finding sent again, for its answer was lost: %d %s", status, body)
	}
	if status, _ := kim.step(2, "volts ECT:2", "after the finding"); status != http.StatusConflict {
		t.Errorf("a step after the finding: %d", status)
	}
}

// TestSameName: a name is one seat. Another device gets it only when the trainer frees it, and then the old one is out.
func TestSameName(t *testing.T) {
	s := serve(t, folder(t), 0, nil)
	trainer, kim, other := s.person(class.TrainerPass), s.person(class.StudentPass), s.person(class.StudentPass)
	kim.join("Kim")
	trainer.round("start")
	kim.must(0, "volts ECT:1", "first")
	kim.join("Kim") // again, from the same browser
	if status, body := other.post("/api/join", map[string]string{"name": " kim "}); status != http.StatusConflict || !strings.Contains(string(body), "ask your trainer") {
		t.Errorf("the same name twice: %d %s", status, body)
	}
	if status, _ := trainer.post("/api/board/seat", map[string]any{"id": 1, "do": "free"}); status != http.StatusOK {
		t.Fatal(status)
	}
	other.join("KIM")
	if m := other.me(); len(m.Steps) != 1 || m.Name != "Kim" {
		t.Errorf("on the other device: %+v", m)
	}
	if m := kim.me(); m.Joined {
		t.Errorf("the old device is still in: %+v", m)
	}
	if n := len(trainer.board().Students); n != 1 {
		t.Errorf("%d seats", n)
	}
	third := s.person(class.StudentPass)
	third.join("Robin")
	if status, _ := trainer.post("/api/board/seat", map[string]any{"id": 1, "do": "remove"}); status != http.StatusOK {
		t.Fatal(status)
	}
	if m := other.me(); m.Joined {
		t.Errorf("who was removed is still in: %+v", m)
	}
	if status, _ := other.step(1, "volts ECT:1", "still here"); status != http.StatusUnauthorized {
		t.Errorf("who was removed goes on: %d", status)
	}
	other.join("Kim")
	if b := trainer.board(); len(b.Students) != 2 || b.Students[0].ID == b.Students[1].ID || b.Students[1].Steps != 0 {
		t.Errorf("after coming in again the board says %+v", b.Students)
	}
}

// TestRemovedSeatKeepsItsPlays: who comes in again by the same name begins anew, and what was played on the removed seat
// stays as it was, also when the class is started again.
func TestRemovedSeatKeepsItsPlays(t *testing.T) {
	dir := folder(t)
	s := serve(t, dir, 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	if status, body := trainer.post("/api/board/round", map[string]any{"do": "", "pick": []string{"01"}}); status != http.StatusOK {
		t.Fatalf("%d %s", status, body)
	}
	kim.join("Kim")
	trainer.round("start")
	kim.must(0, "volts ECT:1", "first")
	plays := func() []string {
		list, _ := filepath.Glob(filepath.Join(dir, "class", "round-1", "*"))
		return list
	}
	old := plays()
	before, err := os.ReadFile(old[0])
	if err != nil {
		t.Fatal(err)
	}
	if status, _ := trainer.post("/api/board/seat", map[string]any{"id": 1, "do": "remove"}); status != http.StatusOK {
		t.Fatal(status)
	}
	kim.join("Kim")
	kim.must(0, "volts ECT:2", "anew")
	if after, err := os.ReadFile(old[0]); err != nil || string(after) != string(before) || len(plays()) != 2 {
		t.Errorf("what was played on the removed seat is gone: %v, files %q", err, plays())
	}
	if err := class.KeepSecrets(dir, s.door.Secrets()); err != nil {
		t.Fatal(err)
	}
	port := s.door.Port()
	s.stop()
	s = serve(t, dir, port, class.Secrets(dir))
	kim.s = s
	if m := kim.me(); len(m.Steps) != 1 {
		t.Errorf("after the restart Kim has %d steps, not the one of the new seat", len(m.Steps))
	}
}
