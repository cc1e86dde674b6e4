package class_test

import (
	"bytes"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/class"
	"ohmtrail/cmd/internal/exercise"
)

// TestTwinsLookAlike: of two exercises that differ in nothing but what is hidden, a student is sent the same bytes, so
// nothing hidden is in them: neither before anything is done nor with what a cost says.
func TestTwinsLookAlike(t *testing.T) {
	list, err := made()
	if err != nil {
		t.Fatal(err)
	}
	first := *list[0]
	twin := first
	other, err := circuits.ParseFault("short-between C101:7 C101:8 12")
	if err == nil {
		other, err = first.Circuit.ResolveFault(other)
	}
	if err != nil {
		t.Fatal(err)
	}
	twin.Hidden = exercise.Hidden{Fault: other, Seed: 77, Duty: 0.5, Level: 5, Family: "ZZ", Answers: make([]string, len(first.Questions)), Useful: make([]bool, len(first.Questions)),
		Seen: []circuits.Inspection{{At: circuits.PointLocation(circuits.Point{Place: "F14"}), Seen: "burnt"}}}
	for i := range twin.Hidden.Answers {
		twin.Hidden.Answers[i] = "an answer that nobody asked for"
	}
	sent := func(x exercise.Exercise) string {
		dir := t.TempDir()
		writeExercise(t, dir, &x)
		s := serve(t, dir, 0, nil)
		trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
		var all strings.Builder
		kim.seen = func(path string, body []byte) {
			if !strings.HasSuffix(path, " Date") && !strings.HasSuffix(path, " Set-Cookie") {
				fmt.Fprintf(&all, "%s\n%s\n", path, body)
			}
		}
		kim.join("Kim")
		trainer.round("start")
		for _, path := range []string{"/", "/api/me", "/api/circuit", "/api/drawing"} {
			kim.get(path)
		}
		for _, line := range []string{"volts ECT:1", "look F14", "ask 1", "repair C101:7", "find open ECT:1; x", "volts ECT:1 load ECT:1 ECT:2 1000"} {
			kim.post("/api/cost", step{"round": 1, "after": 0, "line": line, "reason": ""})
		}
		for _, path := range []string{"/board", "/api/board", "/api/board/paths", "/api/board/results.csv", "/api/board/events"} {
			if status, _ := kim.get(path); status != http.StatusForbidden {
				t.Errorf("a student's %s is answered with %d", path, status)
			}
		}
		return all.String()
	}
	a, b := sent(first), sent(twin)
	if a != b {
		t.Errorf("what is hidden shows:\n%s", firstDifference(a, b))
	}
	if !strings.Contains(a, "complaint") || len(a) < 10000 {
		t.Errorf("nothing was sent:\n%s", a)
	}
}

func firstDifference(a, b string) string {
	for i := 0; i < min(len(a), len(b)); i++ {
		if a[i] != b[i] {
			return fmt.Sprintf("…%s\n…%s", a[max(0, i-100):min(len(a), i+100)], b[max(0, i-100):min(len(b), i+100)])
		}
	}
	return fmt.Sprintf("%d and %d bytes", len(a), len(b))
}

// TestNothingHiddenIsSent plays, with events open, and looks through every answer to a student who has not committed
// for what is hidden: the sealed part, the family, the planner's way, answers that nobody asked for, what is to be seen
// where nobody looked, words of the board, the marks.
func TestNothingHiddenIsSent(t *testing.T) {
	s := serve(t, folder(t), 0, nil)
	trainer, kim := s.person(class.TrainerPass), s.person(class.StudentPass)
	var mu sync.Mutex
	var all bytes.Buffer
	kim.seen = func(path string, body []byte) {
		if strings.Contains(path, "/assets/") {
			return
		}
		mu.Lock()
		defer mu.Unlock()
		all.WriteString(path + "\n")
		all.Write(body)
	}
	kim.join("Kim")
	trainer.round("start")
	x := hidden(t, trainer.board().Students[0].Exercise)
	if status, _ := kim.get("/api/circuit"); status != http.StatusOK {
		t.Fatal(status)
	}
	go kim.listenTo("/api/events", func() {})
	wait(t, "the page listens", func() bool { return trainer.board().Students[0].Here })
	for i, line := range []string{"volts ECT:1", "volts ECT:2", "scan ECU:A12", "volts ECT:1 unplug ECT", "ohms ECT:1 to ECT:2", "volts C101:7/cabin", "look ECU", "volts B+ key off"} {
		kim.must(i, line, "a reason")
		kim.me()
	}
	wait(t, "the readings are weighed", func() bool { return trainer.board().Waiting == 0 })
	kim.me()
	mu.Lock()
	text := all.String()
	mu.Unlock()
	secrets := []string{"AGE ENCRYPTED", "age-encryption", `"family"`, "plan_minutes", "told_bits", "true_place", "open_places", "bits_left", `"truth"`, `"level"`, "half_split", "difficulty", `"seed"`, `"hidden"`,
		fmt.Sprint(x.Hidden.Seed)}
	for i, answer := range x.Hidden.Answers {
		if !x.Hidden.Useful[i] {
			continue
		}
		secrets = append(secrets, answer)
	}
	for _, word := range secrets {
		if word != "" && strings.Contains(text, word) {
			t.Errorf("a student was sent %q", word)
		}
	}
	if strings.Contains(text, `"marks":{`) {
		t.Error("marks were sent before the finding")
	}
	if !strings.Contains(text, "a reason") || !strings.Contains(text, "event: changed") {
		t.Error("nothing was seen")
	}
}
