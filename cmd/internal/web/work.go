package web

import (
	"net/http"
	"path"
	"slices"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// work is one job that pages are on.
type work struct {
	name string

	writing sync.Mutex // one change of the file at a time
	ours    string     // the version that we wrote last; for this and the next two writing is held
	removed []string   // blocks that were taken out, the latest last
	gone    int        // how many were taken out

	mu     sync.Mutex
	now    *edition          // the file as it was read last
	ahead  *edition          // what was just written, to become the next one
	good   *edition          // the last one that could be used; nil where none was
	texts  int               // that were read so far
	told   string            // the version that pages were told of last
	seen   map[string][]byte // texts of the file by version, for saying what changed
	order  []string          // of seen, the oldest first
	state  stateJSON
	stated int // how often somebody said what state the machine is in

	wanted    *edition      // the newest text that is to be ranked
	ranked    *edition      // the text that was ranked last
	rankedNow chan struct{} // closed when another text is
	weighing  bool
}

const (
	keptTexts = 24   // of a job
	mostJobs  = 2000 // that are held at once
)

// edition is one text of a job file with all that follows from it. It never changes; what takes time is worked out when it
// is asked for first.
type edition struct {
	version  string // of the job's text, a hyphen, of the circuit's text
	number   int    // among the texts of its job, in the order in which they were read
	text     []byte
	job      *circuits.Job // nil where the file cannot be used
	problems circuits.Problems

	ranking func() rank.Ranking
	plan    func() view.Planned
	picture func() []byte
}

// textVersion is the part of a version that speaks of the job's own text.
func (s *edition) textVersion() string { return versionOf(s.text) }

func newEdition(f *folder, name string, text []byte) *edition {
	s := &edition{text: text}
	var circuitText []byte
	open := f.open(name)
	s.job, s.problems = read.Job(path.Base(name), text, func(circuit string) (string, []byte, error) {
		shown, body, err := open(circuit)
		circuitText = body
		return shown, body, err
	})
	s.version = versionOf(text) + "-" + versionOf(circuitText)
	if s.job == nil {
		return s
	}
	s.ranking = sync.OnceValue(func() rank.Ranking { return rank.Rank(s.job) })
	s.plan = sync.OnceValue(func() view.Planned {
		r := s.ranking()
		next := plan.Next(&r)
		return view.Planned{Ranking: r, Plan: next, Advice: view.Advice(&r, next)}
	})
	s.picture = sync.OnceValue(func() []byte {
		marks := view.Marks(s.ranking())
		marks.Title, marks.Cautions = "", nil // the page says them itself, and larger
		return draw.Draw(s.job.Circuit, marks).SVG()
	})
	return s
}

// on finds the job of a request's file and reads the file.
func (p *Page) on(r *http.Request) (*work, *edition, error) {
	name := r.URL.Query().Get("file")
	if err := allowed(name, jobEnd); err != nil {
		return nil, nil, refuse(http.StatusNotFound, "%s", err.Error())
	}
	w := p.work(name)
	s, err := p.read(w)
	return w, s, err
}

func (p *Page) work(name string) *work {
	p.mu.Lock()
	defer p.mu.Unlock()
	w := p.jobs[name]
	if w == nil {
		if len(p.jobs) >= mostJobs {
			for other := range p.jobs {
				if p.hub.Listeners(other) == 0 {
					delete(p.jobs, other)
				}
			}
		}
		w = &work{name: name, seen: map[string][]byte{}, state: stateJSON{Key: circuits.KeyOn}, rankedNow: make(chan struct{})}
		p.jobs[name] = w
	}
	return w
}

// read reads a job's file again and tells pages where it has changed.
func (p *Page) read(w *work) (*edition, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	text, err := p.folder.read(w.name)
	if err != nil {
		p.forget(w)
		return nil, refuse(http.StatusNotFound, "%s: %s", w.name, err.Error())
	}
	s := editionUnlessSame(p.folder, w, text)
	if s != w.now {
		w.texts++
		w.now, s.number = s, w.texts
		if s.job != nil {
			w.good = s
		}
		w.remember(s)
	}
	if w.told != s.version {
		if w.told != "" {
			p.hub.Send(w.name, "job", map[string]string{"version": s.version})
		}
		w.told = s.version
	}
	return s, nil
}

// editionUnlessSame keeps the edition that is there, with all that was worked out, where neither the job nor its circuit
// has changed.
func editionUnlessSame(f *folder, w *work, text []byte) *edition {
	if w.now != nil && slices.Equal(w.now.text, text) && w.now.job != nil {
		if library.Holds(w.now.job.CircuitName) {
			return w.now
		}
		if _, body, err := f.open(w.name)(w.now.job.CircuitName); err == nil && w.now.version == versionOf(text)+"-"+versionOf(body) {
			return w.now
		}
	}
	s := w.ahead
	w.ahead = nil
	if s == nil || !slices.Equal(s.text, text) {
		s = newEdition(f, w.name, text)
	} else if _, body, err := f.open(w.name)(s.job.CircuitName); err != nil || s.version != versionOf(text)+"-"+versionOf(body) {
		s = newEdition(f, w.name, text) // the circuit was changed in between
	}
	if w.now != nil && w.now.version == s.version && (w.now.job == nil) == (s.job == nil) {
		return w.now
	}
	return s
}

// forget drops a job whose file is gone, so that requests for names that are none fill no memory.
func (p *Page) forget(w *work) {
	if p.hub.Listeners(w.name) > 0 {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.jobs, w.name)
}

func (w *work) remember(s *edition) {
	v := s.textVersion()
	if _, there := w.seen[v]; there {
		return
	}
	w.seen[v] = s.text
	if w.order = append(w.order, v); len(w.order) > keptTexts {
		delete(w.seen, w.order[0])
		w.order = w.order[1:]
	}
}
