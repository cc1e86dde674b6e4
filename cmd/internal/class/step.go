package class

import (
	"net/http"
	"os"
	"path/filepath"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/page"
)

// longestReason is how much of a reason is kept, in letters.
const longestReason = 500

// stepAsked is a step as a page sends it. After is how many steps the page has seen: a step that was sent twice, or from
// a second tab that has not caught up, is not done again.
type stepAsked struct {
	Round  int    `json:"round"`
	After  int    `json:"after"`
	Line   string `json:"line"`
	Reason string `json:"reason"`
}

// action reads a step for an exercise.
func (a stepAsked) action(x *exercise.Exercise) (exercise.Action, error) {
	act, err := exercise.Parse(x, a.Line)
	if err != nil {
		return act, refuse(http.StatusUnprocessableEntity, "%s", page.Spaced(err.Error()))
	}
	if reason := exercise.Clean(a.Reason); reason != "" {
		act.Reason = reason
	}
	if r := []rune(act.Reason); len(r) > longestReason {
		act.Reason = string(r[:longestReason])
	}
	return act, nil
}

// plain is a text without the spaces that hold a number to its unit: a page breaks lines by itself.

// costJSON is what a step would come to.
type costJSON struct {
	Words   string  `json:"words"`
	Minutes float64 `json:"minutes"`
}

// cost says what a step would take in minutes, without doing it.
func (c *Class) cost(r *http.Request) (any, error) {
	var a stepAsked
	if err := asked(r, &a); err != nil {
		return nil, err
	}
	s, err := c.mine(r)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.play == nil {
		return nil, refuse(http.StatusConflict, "nothing has been dealt to you yet")
	}
	act, err := a.action(s.play.Exercise)
	if err != nil {
		return nil, err
	}
	return costJSON{words(s.play.Exercise, act), s.play.Cost(act)}, nil
}

// step does one step, keeps it, and answers with the play as it stands then.
func (c *Class) step(r *http.Request) (any, error) {
	var a stepAsked
	if err := asked(r, &a); err != nil {
		return nil, err
	}
	c.mu.Lock()
	s, phase, round := c.seatOf(r), c.st.Phase, c.st.Round
	c.mu.Unlock()
	switch {
	case s == nil:
		return nil, refuse(http.StatusUnauthorized, "you have not joined yet; load the page again")
	case phase != running || a.Round != round:
		return nil, refuse(http.StatusConflict, "%s", map[string]string{waiting: "the round has not begun", closed: "the round is closed: nothing more is taken", running: "a new round has begun; load the page again"}[phase])
	}
	if err := c.do(s, round, a); err != nil {
		return nil, err
	}
	c.queue.add(s)
	c.changedSeat(s)
	return c.me(s), nil
}

// do does a step under the seat's lock. A step that cannot be kept on disk has not happened.
func (c *Class) do(s *seat, round int, a stepAsked) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.play == nil || s.round != round {
		return refuse(http.StatusConflict, "nothing has been dealt to you yet")
	}
	act, err := a.action(s.play.Exercise)
	if err != nil {
		return err
	}
	n := len(s.play.Steps)
	switch {
	case n > 0 && a.After == n-1 && s.play.Steps[n-1].Action.Line == act.Line && s.play.Steps[n-1].Action.Reason == act.Reason:
		return nil // it arrived before; the answer did not
	case s.play.Done():
		return refuse(http.StatusConflict, "you have given your finding: this machine is done")
	case a.After != n:
		return refuse(http.StatusConflict, "you did something else meanwhile, in another tab or on another device; look at it, and ask again")
	}
	s.play.Do(act)
	if err := c.keep(round, s); err != nil {
		before := s.play.Steps[:n]
		s.play = exercise.NewPlay(s.item.x, s.play.Student)
		for _, step := range before {
			s.play.Do(step.Action)
		}
		c.log("a step of %s is lost, for it could not be kept: %v", s.play.Student, err)
		return refuse(http.StatusInsufficientStorage, "the trainer's machine could not keep this step (is its disk full?): it has not happened; tell your trainer")
	}
	s.changed = c.o.Now()
	return nil
}

// keep writes a play whole; the seat's lock is held.
func (c *Class) keep(round int, s *seat) error {
	text, err := s.play.Text(s.item.text)
	if err != nil {
		return err
	}
	file := c.playFileOf(round, s.ID, s.play.Student, s.item.x.Name)
	if err := os.MkdirAll(filepath.Dir(file), 0o777); err != nil {
		return err
	}
	return files.Replace(file, text)
}
