package class_test

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/class"
	"ohmtrail/cmd/internal/exercise"
)

var (
	loadCircuit = flag.String("load", "", "library `CIRCUIT` of the load test")
	loadSteps   = flag.Int("steps", 12, "`STEPS` of each student in the load test")
	loadThink   = flag.Duration("think", time.Second, "mean `TIME` between a student's steps in the load test")
)

const loadStudents = 40

// listenTo counts the events that a page hears until the server ends it.
func (p *person) listenTo(path string, heard func()) {
	r, err := http.NewRequest(http.MethodGet, p.s.url+path, nil)
	if err != nil {
		p.s.t.Error(err)
		return
	}
	web := http.Client{Jar: p.web.Jar}
	answer, err := web.Do(r)
	if err != nil {
		p.s.t.Error(err)
		return
	}
	defer answer.Body.Close()
	for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
		if p.seen != nil {
			p.seen(path, lines.Bytes())
		}
		if strings.HasPrefix(lines.Text(), "event: changed") {
			heard()
		}
	}
}

// script is what one student does: readings all over the circuit, looks, questions, and a finding at the end.
func script(c *circuits.Circuit, random *rand.Rand, n int) []string {
	var points []circuits.Point
	for _, k := range c.Contacts {
		points = append(points, k.First)
	}
	point := func() circuits.Point { return points[random.IntN(len(points))] }
	plugs := c.Plugs()
	var out []string
	for range n - 1 {
		switch random.IntN(6) {
		case 0:
			out = append(out, "look "+c.Contacts[random.IntN(len(c.Contacts))].Location.String())
		case 1:
			out = append(out, "ask 1")
		case 2:
			out = append(out, fmt.Sprintf("volts %s unplug %s", point(), plugs[random.IntN(len(plugs))]))
		default:
			out = append(out, "volts "+point().String())
		}
	}
	return append(out, "find open "+c.Contacts[random.IntN(len(c.Contacts))].Location.String()+"; put right")
}

// TestForty plays a class of forty at once, each student with a page that listens, and a board that is looked at all the
// time. Every step that was answered is on disk, and every event stream has heard of its own steps. It says how long the
// answers took: what is asked for is 200 ms for 95 of 100 (-v shows it; a figure of a busy machine is no fault of ours).
func TestForty(t *testing.T) {
	dir := folder(t)
	if *loadCircuit != "" {
		dir = t.TempDir()
		text, err := library.Text(*loadCircuit)
		if err != nil {
			t.Fatal(err)
		}
		set, err := exercise.Make(exercise.Request{CircuitName: "library:" + *loadCircuit, CircuitText: text, Level: 2, Count: 4, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range set.Exercises {
			writeExercise(t, dir, x)
		}
	}
	s := serve(t, dir, 0, nil)
	trainer := s.person(class.TrainerPass)
	var mu sync.Mutex
	var took []time.Duration
	timed := func(do func() (int, []byte)) (int, []byte) {
		begin := time.Now()
		status, body := do()
		mu.Lock()
		took = append(took, time.Since(begin))
		mu.Unlock()
		return status, body
	}
	var people [loadStudents]*person
	var heard [loadStudents]int
	for i := range people {
		people[i] = s.person(class.StudentPass)
		people[i].join(fmt.Sprintf("Student %02d", i+1))
		go people[i].listenTo("/api/events", func() { mu.Lock(); heard[i]++; mu.Unlock() })
	}
	wait(t, "all pages listen", func() bool {
		n := 0
		for _, st := range trainer.board().Students {
			if st.Here {
				n++
			}
		}
		return n == loadStudents
	})
	begin := time.Now()
	trainer.round("start")
	stop := make(chan struct{})
	var watching, playing sync.WaitGroup
	watching.Go(func() {
		for {
			select {
			case <-stop:
				return
			case <-time.After(time.Second):
				timed(func() (int, []byte) { return trainer.get("/api/board") })
			}
		}
	})
	list := circuitIn(t, dir)
	for i, p := range people {
		playing.Go(func() {
			random := rand.New(rand.NewPCG(uint64(i), 9))
			timed(func() (int, []byte) { return p.get("/api/circuit") })
			timed(func() (int, []byte) { return p.get("/api/drawing") })
			for n, line := range script(list, random, *loadSteps) {
				time.Sleep(time.Duration(random.ExpFloat64() * float64(*loadThink)))
				timed(func() (int, []byte) {
					return p.post("/api/cost", step{"round": 1, "after": n, "line": line, "reason": ""})
				})
				status, body := timed(func() (int, []byte) { return p.step(n, line, fmt.Sprintf("reason %d", n)) })
				if status != http.StatusOK {
					t.Errorf("student %d, %s: %d %s", i+1, line, status, body)
				}
			}
		})
	}
	playing.Wait()
	played := time.Since(begin)
	close(stop)
	watching.Wait()
	slices.Sort(took)
	at := func(share float64) time.Duration { return took[int(share*float64(len(took)-1))] }
	t.Logf("%d students, %d answers in %v: median %v, 95 %% %v, 99 %% %v, longest %v", loadStudents, len(took), played.Round(time.Millisecond), at(0.5), at(0.95), at(0.99), at(1))
	for i, p := range people {
		m := p.me()
		if len(m.Steps) != *loadSteps || !m.Done {
			t.Errorf("student %d has %d steps of %d", i+1, len(m.Steps), *loadSteps)
			continue
		}
		files, _ := filepath.Glob(filepath.Join(dir, "class", "round-1", fmt.Sprintf("%02d-*", i+1)))
		if len(files) != 1 {
			t.Errorf("student %d has the files %q", i+1, files)
			continue
		}
		text, err := os.ReadFile(files[0])
		if err != nil {
			t.Fatal(err)
		}
		kept, _, err := exercise.Resume(files[0], text)
		if err != nil || len(kept.Steps) != *loadSteps || len(kept.Altered) > 0 {
			t.Errorf("on disk, student %d: %v, %+v", i+1, err, kept)
			continue
		}
		for n, st := range kept.Steps {
			if st.Action.Reason != fmt.Sprintf("reason %d", n) {
				t.Errorf("student %d, step %d on disk: %q", i+1, n, st.Action.Reason)
			}
		}
	}
	mu.Lock()
	for i, n := range heard {
		if n < *loadSteps {
			t.Errorf("the page of student %d heard %d events of %d steps", i+1, n, *loadSteps)
		}
	}
	mu.Unlock()
	if testing.Short() {
		return
	}
	marked := time.Now()
	waitFor(t, 5*time.Minute, "all are marked", func() bool {
		for _, st := range trainer.board().Students {
			if st.Total == nil {
				return false
			}
		}
		return true
	})
	t.Logf("all marked %v after the last step", time.Since(marked).Round(time.Millisecond))
	_, table := trainer.get("/api/board/results.csv")
	if rows := strings.Count(strings.TrimSpace(string(table)), "\n"); rows != loadStudents {
		t.Errorf("%d rows of results", rows)
	}
}

// circuitIn is the circuit of a folder's first exercise.
func circuitIn(t *testing.T, dir string) *circuits.Circuit {
	t.Helper()
	files, _ := filepath.Glob(filepath.Join(dir, "*"+exercise.Ending))
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	x, err := exercise.Read(files[0], text)
	if err != nil {
		t.Fatal(err)
	}
	return x.Circuit
}
