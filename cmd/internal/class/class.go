package class

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/marking"
)

// The kinds of pass.
const (
	TrainerPass = "trainer"
	StudentPass = "student"
)

// Passes are the kinds of pass that the door must know, the trainer's first.
func Passes() []string { return []string{TrainerPass, StudentPass} }

// BodyBytes is the largest body of a request, in bytes: a step with its reason is far smaller.
func BodyBytes(*http.Request) int64 { return 16 << 10 }

// Options say what is served.
type Options struct {
	Folder      string                   // exercise files; what is played is kept in a folder in it
	Now         func() time.Time         // for how long a student has been quiet
	Invitations func() []door.Invitation // the ways in, for the board; nil for none
	Log         io.Writer                // one line for what went wrong on our side; nil for nowhere
}

// Class serves one folder of exercises to one class. It is an http.Handler behind a door with Passes.
type Class struct {
	o      Options
	items  []*item // by name
	mux    *http.ServeMux
	hub    *door.Hub
	judge  *marking.Judge
	points marking.Points
	queue  *queue
	asking atomic.Int64 // requests being answered, streams of events not counted
	asked  atomic.Int64 // when the last one was, in nanoseconds

	mu    sync.Mutex // guards what follows; a seat's own lock may be taken while it is held, never the other way round
	st    state
	seats []*seat // in the order of joining
}

// item is one exercise of the folder.
type item struct {
	x    *exercise.Exercise
	text []byte
	view []byte // the circuit for a page, as JSON
	svg  []byte // its drawing
}

// mostExercises bounds a folder.
const mostExercises = 999

// New reads a folder of exercises and what was played in it before. Close it in the end.
func New(o Options) (*Class, error) {
	c := &Class{o: o, mux: http.NewServeMux(), hub: door.NewHub(), judge: marking.NewJudge(), points: marking.DefaultPoints()}
	if err := c.readExercises(); err != nil {
		return nil, err
	}
	c.queue = newQueue(c.reckon)
	if err := c.readState(); err != nil {
		c.queue.close()
		return nil, err
	}
	c.routes()
	return c, nil
}

func (c *Class) readExercises() error {
	entries, err := os.ReadDir(c.o.Folder)
	if err != nil {
		return fmt.Errorf("%s: there is no such folder, or you may not read it", c.o.Folder)
	}
	drawings := map[string]*item{}
	for _, e := range entries {
		if e.IsDir() || !strings.HasSuffix(e.Name(), exercise.Ending) {
			continue
		}
		if len(c.items) == mostExercises {
			return fmt.Errorf("%s: a class has %d exercises at the most", c.o.Folder, mostExercises)
		}
		name := filepath.Join(c.o.Folder, e.Name())
		text, err := os.ReadFile(name)
		if err != nil {
			return fmt.Errorf("%s: it cannot be read", name)
		}
		x, err := exercise.Read(name, text)
		if err != nil {
			return err
		}
		it := &item{x: x, text: text}
		if same := drawings[x.CircuitText]; same != nil {
			x.Circuit, it.view, it.svg = same.x.Circuit, same.view, same.svg // one circuit in memory for all of a set
		} else {
			it.prepare()
			drawings[x.CircuitText] = it
		}
		c.items = append(c.items, it)
	}
	if len(c.items) == 0 {
		return fmt.Errorf("%s: there are no exercises in it; `ohmtrail exercise make CIRCUIT -o %s` makes some", c.o.Folder, c.o.Folder)
	}
	return nil
}

func (c *Class) item(name string) *item {
	i := slices.IndexFunc(c.items, func(it *item) bool { return it.x.Name == name })
	if i < 0 {
		return nil
	}
	return c.items[i]
}

// Close ends the streams of events and the work in the background.
func (c *Class) Close() {
	c.hub.Close()
	c.queue.close()
}

func (c *Class) log(format string, words ...any) {
	if c.o.Log != nil {
		fmt.Fprintf(c.o.Log, format+"\n", words...)
	}
}

func (c *Class) routes() {
	c.assets()
	student := func(pattern string, h http.HandlerFunc) { c.mux.HandleFunc(pattern, h) }
	student("GET /api/me", c.answer(c.showMe))
	student("POST /api/join", c.join)
	student("GET /api/circuit", c.showCircuit)
	student("GET /api/drawing", c.showDrawing)
	student("POST /api/cost", c.answer(c.cost))
	student("POST /api/step", c.answer(c.step))
	student("GET /api/events", c.studentEvents)
	trainer := func(pattern string, h http.HandlerFunc) { c.mux.HandleFunc(pattern, c.trainers(h)) }
	trainer("GET /api/board", c.answer(c.showBoard))
	trainer("POST /api/board/round", c.answer(c.setRound))
	trainer("POST /api/board/seat", c.answer(c.setSeat))
	trainer("GET /api/board/paths", c.answer(c.showPaths))
	trainer("GET /api/board/results.csv", c.showResults)
	trainer("GET /api/board/events", c.boardEvents)
}

// trainers lets nobody in but with the trainer's pass.
func (c *Class) trainers(h http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if door.PassOf(r) != TrainerPass {
			door.Refuse(w, http.StatusForbidden, "this is the trainer's: come in with the trainer's code")
			return
		}
		h(w, r)
	}
}

// ServeHTTP answers one request.
func (c *Class) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if !strings.HasSuffix(r.URL.Path, "/events") {
		c.asking.Add(1)
		defer func() {
			c.asked.Store(time.Now().UnixNano())
			c.asking.Add(-1)
		}()
	}
	c.mux.ServeHTTP(w, r)
}

// refusal is an answer that is no success, in words for the person at the page.
type refusal struct {
	status int
	words  string
}

func (r refusal) Error() string { return r.words }

func refuse(status int, format string, words ...any) error {
	return refusal{status, fmt.Sprintf(format, words...)}
}

// answer makes a handler of a function that gives a value to be sent as JSON, or an error.
func (c *Class) answer(do func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := do(r)
		if err != nil {
			c.fail(w, err)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		json.NewEncoder(w).Encode(v)
	}
}

func (c *Class) fail(w http.ResponseWriter, err error) {
	var no refusal
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &no):
		door.Refuse(w, no.status, no.words)
	case errors.As(err, &large):
		door.Refuse(w, http.StatusRequestEntityTooLarge, "this is more than is taken here")
	default:
		c.log("%v", err)
		door.Refuse(w, http.StatusInternalServerError, "the trainer's machine could not do this; tell your trainer")
	}
}

// asked reads a request's JSON.
func asked(r *http.Request, v any) error {
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return refuse(http.StatusBadRequest, "this is not understood; load the page again")
	}
	return nil
}
