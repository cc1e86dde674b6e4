package web

import (
	"net/http"
	"time"
)

// Ranking stands behind the answer to whoever wrote, and never in the way of the next one who writes: of each job one
// text at a time is ranked, always the newest, and pages hear of it by an event. A text that was superseded while it
// waited is never ranked.

// weigh has a text ranked where that is not done, unless a newer one is.
func (p *Page) weigh(w *work, s *edition) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.wanted == nil || s.number > w.wanted.number {
		w.wanted = s
	}
	if !w.weighing && w.ranked != w.wanted {
		w.weighing = true
		go p.weighOn(w)
	}
}

// weighOn ranks until the newest text that was asked for is ranked.
func (p *Page) weighOn(w *work) {
	for {
		select {
		case p.working <- struct{}{}:
		case <-p.stop:
			return
		}
		w.mu.Lock()
		s := w.wanted // the newest by now
		w.mu.Unlock()
		s.rank()
		<-p.working
		w.mu.Lock()
		w.ranked = s
		close(w.rankedNow)
		w.rankedNow = make(chan struct{})
		p.hub.Send(w.name, "ranked", map[string]string{"version": s.version})
		if w.weighing = w.wanted != s; !w.weighing {
			w.mu.Unlock()
			return
		}
		w.mu.Unlock()
	}
}

// rank works the ranking out. What goes wrong comes up again where the ranking is asked for, in a request's own hands.
func (s *edition) rank() {
	defer func() { recover() }()
	s.ranking()
}

// lastRanked is the text of a job that was ranked last; nil where none was.
func (w *work) lastRanked() *edition {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.ranked
}

// mostWait is how long a question waits for its turn, or for the ranking that it builds on.
const mostWait = 20 * time.Second

// weighed is a job's text, ranked: the one given, or a newer one where that was superseded.
func (p *Page) weighed(r *http.Request, w *work, s *edition) (*edition, error) {
	p.weigh(w, s)
	wait := time.NewTimer(mostWait)
	defer wait.Stop()
	for {
		w.mu.Lock()
		ranked, now := w.ranked, w.rankedNow
		w.mu.Unlock()
		if ranked != nil && ranked.number >= s.number {
			return ranked, nil
		}
		select {
		case <-now:
		case <-r.Context().Done():
			return nil, refuse(http.StatusRequestTimeout, "you left")
		case <-wait.C:
			return nil, refuse(http.StatusServiceUnavailable, "the readings are still being weighed; ask again")
		}
	}
}

// ready is a request's job, ranked, and a turn at working out more of it; end gives the turn back.
func (p *Page) ready(r *http.Request) (s *edition, end func(), err error) {
	w, s, err := p.usable(r)
	if err == nil {
		s, err = p.weighed(r, w, s)
	}
	if err == nil {
		end, err = p.turn(r)
	}
	return s, end, err
}
