package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"time"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/door"
	"ohmtrail/solver/rank"
)

// Options say what is served.
type Options struct {
	Folder  string           // circuits and jobs
	Now     func() time.Time // for names and comments of new jobs, and the age of what is remembered
	Journal string           // the file in which additions are remembered by their ids; "" for as long as the program runs
	Log     io.Writer        // one line for what went wrong on our side; nil for nowhere

	// Recorded reads a recording, as a logging meter or a scan tool writes one, into what a reading holds: the two values
	// of a reading that moved. r is planned, and its points are resolved. nil: pages offer no recording.
	Recorded func(j *circuits.Job, r circuits.Reading, name string, csv []byte) (Recorded, error)

	// WriteUps are the forms in which a job can be written up. None: pages offer no write-up.
	WriteUps []WriteUp

	// Invitations are the ways in that a page may show to those who are in; nil: none.
	Invitations func() []door.Invitation
}

// Recorded is what a recording comes to.
type Recorded struct {
	Reading circuits.Reading // with its values
	Says    []string         // what else was seen in it, a sentence each
}

// WriteUp is a form in which a job can be written up, as a file to be kept.
type WriteUp struct {
	Form   string // in addresses: "pdf"
	Label  string // for people: "PDF, A4"
	End    string // of the file's name: ".pdf"
	Type   string // of its content
	Sheet  bool   // it is no write-up of the job but a sheet to learn on, of the job's circuit
	Render func(*circuits.Job, rank.Ranking) ([]byte, error)
}

// Page serves one folder. It is an http.Handler.
type Page struct {
	options Options
	folder  *folder
	journal *journal
	hub     *door.Hub
	mux     *http.ServeMux
	working chan struct{} // one token for each ranking or plan under way
	stop    chan struct{}
	once    sync.Once
	library func() []listedCircuit

	mu    sync.Mutex
	jobs  map[string]*work
	lists map[string]keptJob // by file
}

// New opens a folder. Close it in the end.
func New(o Options) (*Page, error) {
	f, err := openFolder(o.Folder)
	if err != nil {
		return nil, err
	}
	p := &Page{options: o, folder: f, hub: door.NewHub(), mux: http.NewServeMux(), working: make(chan struct{}, max(2, runtime.NumCPU())),
		stop: make(chan struct{}), library: sync.OnceValue(libraryList), jobs: map[string]*work{}, lists: map[string]keptJob{}}
	p.journal, err = openJournal(o.Journal, o.Now())
	if err != nil {
		p.log("readings sent again after a restart are recognised by the job's text alone: %v", err)
	}
	f.sweep(o.Now())
	p.routes()
	go p.watch()
	return p, nil
}

// Close ends the streams of events and the watch on the files.
func (p *Page) Close() {
	p.once.Do(func() {
		close(p.stop)
		p.hub.Close()
		p.journal.close()
	})
}

func (p *Page) log(format string, words ...any) {
	if p.options.Log != nil {
		fmt.Fprintf(p.options.Log, format+"\n", words...)
	}
}

func (p *Page) routes() {
	p.assets()
	p.mux.HandleFunc("GET /api/folder", p.answer(p.showFolder))
	p.mux.HandleFunc("GET /api/codes", p.answer(p.showCodes))
	p.mux.HandleFunc("POST /api/jobs", p.answer(p.startJob))
	p.mux.HandleFunc("GET /api/job", p.answer(p.showJob))
	p.mux.HandleFunc("GET /api/circuit", p.answer(p.showCircuit))
	p.mux.HandleFunc("GET /api/plan", p.answer(p.showPlan))
	p.mux.HandleFunc("GET /api/why", p.answer(p.showWhy))
	p.mux.HandleFunc("GET /api/drawing", p.drawing)
	p.mux.HandleFunc("POST /api/readings", p.answer(p.addReading))
	p.mux.HandleFunc("POST /api/inspections", p.answer(p.addInspection))
	p.mux.HandleFunc("POST /api/remove", p.answer(p.remove))
	p.mux.HandleFunc("POST /api/restore", p.answer(p.restore))
	p.mux.HandleFunc("POST /api/change", p.answer(p.change))
	p.mux.HandleFunc("POST /api/state", p.answer(p.setState))
	p.mux.HandleFunc("GET /api/events", p.events)
	p.mux.HandleFunc("GET /api/invitation", p.answer(p.showInvitation))
	if p.options.Recorded != nil {
		p.mux.HandleFunc("POST /api/recording", p.answer(p.readRecording))
	}
	if len(p.options.WriteUps) > 0 {
		p.mux.HandleFunc("GET /api/report", p.report)
	}
}

// ServeHTTP answers one request.
func (p *Page) ServeHTTP(w http.ResponseWriter, r *http.Request) { p.mux.ServeHTTP(w, r) }

// refusal is an answer that is no success: a status, words, and what a page may make of it.
type refusal struct {
	Status  int      `json:"-"`
	Words   string   `json:"error"`
	Doubt   bool     `json:"doubt,omitempty"`   // odd but possible: send it again with confirm
	Broken  bool     `json:"broken,omitempty"`  // the file cannot be read as it stands
	Changed []string `json:"changed,omitempty"` // lines that the file has gained (+) and lost (-) since it was seen
}

func (r refusal) Error() string { return r.Words }

func refuse(status int, format string, words ...any) refusal {
	return refusal{Status: status, Words: fmt.Sprintf(format, words...)}
}

// answer makes a handler of a function that gives a value to be sent as JSON, or an error.
func (p *Page) answer(do func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v, err := do(r)
		if err != nil {
			p.fail(w, err)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		json.NewEncoder(w).Encode(v)
	}
}

func (p *Page) fail(w http.ResponseWriter, err error) {
	var no refusal
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &no):
	case errors.As(err, &large):
		no = refuse(http.StatusRequestEntityTooLarge, "this is more than is taken here")
	default:
		p.log("%v", err)
		no = refuse(http.StatusInternalServerError, "%s", err.Error())
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(no.Status)
	json.NewEncoder(w).Encode(no)
}

// take reads a JSON body without tolerance: what a page of ours never sends is refused.
func take(r *http.Request, into any) error {
	if t, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); strings.TrimSpace(t) != "application/json" {
		return refuse(http.StatusUnsupportedMediaType, "send JSON")
	}
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return refuse(http.StatusBadRequest, "this cannot be understood: %v", err)
	}
	if d.More() {
		return refuse(http.StatusBadRequest, "send one value")
	}
	return nil
}

// turn begins a plan, a drawing or a write-up when there is room; end it with the function given.
func (p *Page) turn(r *http.Request) (end func(), err error) {
	wait := time.NewTimer(mostWait)
	defer wait.Stop()
	select {
	case p.working <- struct{}{}:
		return func() { <-p.working }, nil
	case <-r.Context().Done():
		return nil, refuse(http.StatusRequestTimeout, "you left")
	case <-wait.C:
		return nil, refuse(http.StatusServiceUnavailable, "busy with other questions; ask again")
	}
}

func (p *Page) showInvitation(*http.Request) (any, error) {
	type way struct {
		Page string `json:"page"`
		Code string `json:"code"`
	}
	out := []way{}
	if p.options.Invitations != nil {
		for _, i := range p.options.Invitations() {
			out = append(out, way{i.Page, i.Code})
		}
	}
	return map[string]any{"ways": out}, nil
}
