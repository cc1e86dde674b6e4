package class

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/marking"
	"ohmtrail/solver/hypothesis"
)

// boardJSON is the trainer's view of the class.
type boardJSON struct {
	Phase     string         `json:"phase"`
	Round     int            `json:"round"`
	When      string         `json:"marks_when"`
	Pick      []string       `json:"pick"`
	Exercises []dealtJSON    `json:"exercises"`
	Students  []studentJSON  `json:"students"`
	Ways      []invitingJSON `json:"ways"`    // how students come in
	Waiting   int            `json:"waiting"` // students whose readings are still being weighed
}

// dealtJSON is one exercise of the folder.
type dealtJSON struct {
	Name      string `json:"name"`
	Title     string `json:"title"`
	Family    string `json:"family"`
	Level     int    `json:"level"`
	Complaint string `json:"complaint"`
	Truth     string `json:"truth"`
}

// studentJSON is one student's row.
type studentJSON struct {
	ID       int      `json:"id"`
	Name     string   `json:"name"`
	Exercise string   `json:"exercise"`
	Here     bool     `json:"here"` // a page of theirs is listening
	Free     bool     `json:"free"`
	Steps    int      `json:"steps"`
	Readings int      `json:"readings"`
	Minutes  float64  `json:"minutes"`
	Plan     float64  `json:"plan_minutes"` // what the planner's way took on this machine
	Quiet    float64  `json:"quiet_seconds"`
	Last     string   `json:"last"` // the last step, in words
	Unsafe   int      `json:"unsafe"`
	Fresh    bool     `json:"fresh"` // what follows was reckoned after the last step
	Open     int      `json:"open_places"`
	Bits     float64  `json:"bits_left"`
	TruthPct float64  `json:"true_place_share"`
	Nothing  int      `json:"told_nothing"`
	Done     bool     `json:"done"`
	Found    string   `json:"found"`
	Right    bool     `json:"right"`
	Total    *float64 `json:"total"` // null until it is reckoned
	Most     float64  `json:"most"`
}

type invitingJSON struct {
	Code string   `json:"code"`
	URLs []string `json:"urls"`
	Page string   `json:"page"`
}

func (c *Class) showBoard(*http.Request) (any, error) {
	now := c.o.Now()
	c.mu.Lock()
	defer c.mu.Unlock()
	out := boardJSON{Phase: c.st.Phase, Round: c.st.Round, When: c.st.Marks, Pick: append([]string{}, c.st.Pick...), Exercises: []dealtJSON{}, Students: []studentJSON{},
		Ways: []invitingJSON{}, Waiting: c.queue.waiting()}
	for _, it := range c.items {
		out.Exercises = append(out.Exercises, dealtJSON{it.x.Name, it.x.Circuit.Title, it.x.Hidden.Family, it.x.Hidden.Level, it.x.Complaint, it.x.Hidden.Fault.String()})
	}
	for _, s := range c.seats {
		out.Students = append(out.Students, c.row(s, now))
	}
	if c.o.Invitations != nil {
		for _, i := range c.o.Invitations() {
			if i.Pass == StudentPass {
				out.Ways = append(out.Ways, invitingJSON{i.Code, i.URLs, i.Page})
			}
		}
	}
	return out, nil
}

// row is one student's; c.mu is held.
func (c *Class) row(s *seat, now time.Time) studentJSON {
	out := studentJSON{ID: s.ID, Name: s.Name, Exercise: s.Exercise, Free: s.Free, Here: c.hub.Listeners(s.topic()) > 0}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.play == nil {
		return out
	}
	p := s.play
	out.Steps, out.Minutes, out.Plan, out.Quiet = len(p.Steps), p.Minutes(), p.Exercise.Hidden.Plan.Minutes, now.Sub(s.changed).Seconds()
	for _, step := range p.Steps {
		if step.Action.Kind == exercise.Measure && step.Reply.Refused == "" {
			out.Readings++
		}
		if step.Reply.Unsafe {
			out.Unsafe++
		}
	}
	if n := len(p.Steps); n > 0 {
		out.Last = words(p.Exercise, p.Steps[n-1].Action)
	}
	out.Fresh = s.known.Steps == len(p.Steps) && s.known.Open > 0
	out.Open, out.Bits, out.TruthPct, out.Nothing = s.known.Open, s.known.Bits, s.known.Truth, s.known.Nothing
	if f, ok := p.Finding(); ok {
		out.Done, out.Found = true, f.Fault.String()
		out.Right = slices.Contains(truePlaces(p.Exercise), hypothesis.PlaceOf(f.Fault))
	}
	if s.marks != nil {
		total := s.marks.Total
		out.Total, out.Most = &total, s.marks.Most
	}
	return out
}

// truePlaces are where the faults of an exercise are put right.
func truePlaces(x *exercise.Exercise) []hypothesis.Place {
	out := []hypothesis.Place{hypothesis.PlaceOf(circuits.Fault{First: x.Hidden.Fault.First})}
	if x.Hidden.Fault.IsDouble() {
		out = append(out, hypothesis.PlaceOf(circuits.Fault{First: x.Hidden.Fault.Second}), hypothesis.PlaceOf(x.Hidden.Fault))
	}
	return out
}

// roundAsked is what the trainer does with the round: "start", "close", "reopen" or "new" (a fresh round, in which
// everybody keeps their seat); and what is dealt, and when marks are shown.
type roundAsked struct {
	Do    string   `json:"do"`
	Pick  []string `json:"pick"`
	Marks string   `json:"marks_when"`
}

func (c *Class) setRound(r *http.Request) (any, error) {
	var a roundAsked
	if err := asked(r, &a); err != nil {
		return nil, err
	}
	if err := c.change(a); err != nil {
		return nil, err
	}
	c.hub.Send("class", "changed", struct{}{})
	return struct{}{}, nil
}

func (c *Class) change(a roundAsked) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	old := c.st
	switch a.Marks {
	case "":
	case afterFinding, afterClosing:
		c.st.Marks = a.Marks
	default:
		return refuse(http.StatusBadRequest, "marks are shown after the finding or after the closing, not %q", a.Marks)
	}
	if a.Pick != nil {
		if err := c.pick(a.Pick); err != nil {
			c.st = old
			return err
		}
	}
	var deal bool
	switch phase := c.st.Phase; {
	case a.Do == "":
	case a.Do == "start" && phase == waiting:
		c.st.Phase, deal = running, true
	case a.Do == "close" && phase == running:
		c.st.Phase = closed
	case a.Do == "reopen" && phase == closed:
		c.st.Phase = running
	case a.Do == "new" && phase != running:
		c.st.Phase, c.st.Round, c.st.Dealt = waiting, c.st.Round+1, 0
		for _, s := range c.seats {
			s.Exercise = ""
			s.mu.Lock()
			s.item, s.play, s.known, s.marks = nil, nil, known{}, nil
			s.mu.Unlock()
		}
	default:
		c.st = old
		return refuse(http.StatusConflict, "the round is %s: it cannot be asked to %s", phase, a.Do)
	}
	if deal {
		if len(c.st.Pick) == 0 {
			c.st = old
			return refuse(http.StatusConflict, "no exercise is picked")
		}
		for _, s := range c.seats {
			c.deal(s)
		}
	}
	return c.writeState()
}

// pick takes what is dealt: names of exercises. While a round runs it holds for those who join from now on.
func (c *Class) pick(names []string) error {
	var out []string
	for _, name := range names {
		if c.item(name) == nil {
			return refuse(http.StatusBadRequest, "there is no exercise %q in the folder", name)
		}
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	c.st.Pick = out
	return nil
}

// seatAsked is what the trainer does with a seat: "free" (the next device that joins with the name gets it), "keep", or
// "remove" (somebody who does not belong to the class; what they played stays on disk).
type seatAsked struct {
	ID int    `json:"id"`
	Do string `json:"do"`
}

func (c *Class) setSeat(r *http.Request) (any, error) {
	var a seatAsked
	if err := asked(r, &a); err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	i := slices.IndexFunc(c.seats, func(s *seat) bool { return s.ID == a.ID })
	if i < 0 {
		return nil, refuse(http.StatusNotFound, "there is no such seat")
	}
	s := c.seats[i]
	switch a.Do {
	case "free", "keep":
		s.Free = a.Do == "free"
	case "remove":
		c.seats = slices.Delete(slices.Clone(c.seats), i, i+1)
	default:
		return nil, refuse(http.StatusBadRequest, "a seat can be freed, kept or removed, not %q", a.Do)
	}
	c.changedSeat(s)
	return struct{}{}, c.writeState()
}

// pathJSON is one student's way, for the comparison of all.
type pathJSON struct {
	Name     string             `json:"name"`
	Exercise string             `json:"exercise"`
	Family   string             `json:"family"`
	Truth    string             `json:"truth"`
	Minutes  float64            `json:"minutes"`
	Done     bool               `json:"done"`
	Right    bool               `json:"right"`
	Steps    []stepJSON         `json:"steps"`
	Marks    *marking.MarksJSON `json:"marks"` // null without a finding, and until they are reckoned
	Plan     []string           `json:"plan"`  // the planner's readings on this machine
	PlanMin  float64            `json:"plan_minutes"`
}

// showPaths answers with all ways side by side, those of one exercise together.
func (c *Class) showPaths(*http.Request) (any, error) {
	c.mu.Lock()
	seats := slices.Clone(c.seats)
	c.mu.Unlock()
	out := []pathJSON{}
	for _, s := range seats {
		s.mu.Lock()
		if s.play != nil {
			h := s.item.x.Hidden
			p := pathJSON{Name: s.play.Student, Exercise: s.item.x.Name, Family: h.Family, Truth: h.Fault.String(), Minutes: s.play.Minutes(), Done: s.play.Done(),
				Steps: []stepJSON{}, Plan: append([]string{}, h.Plan.Readings...), PlanMin: h.Plan.Minutes}
			for _, step := range s.play.Steps {
				p.Steps = append(p.Steps, stepOf(s.item.x, step))
			}
			if f, ok := s.play.Finding(); ok {
				p.Right = slices.Contains(truePlaces(s.item.x), hypothesis.PlaceOf(f.Fault))
			}
			if s.marks != nil {
				m := s.marks.JSON()
				p.Marks = &m
			}
			out = append(out, p)
		}
		s.mu.Unlock()
	}
	slices.SortStableFunc(out, func(a, b pathJSON) int {
		if n := strings.Compare(a.Family, b.Family); n != 0 {
			return n
		}
		return strings.Compare(a.Exercise, b.Exercise)
	})
	return out, nil
}

// showResults answers with the round's marks as a table for a spreadsheet, everybody in it.
func (c *Class) showResults(w http.ResponseWriter, _ *http.Request) {
	c.mu.Lock()
	seats := slices.Clone(c.seats)
	round := c.st.Round
	c.mu.Unlock()
	var all []marking.Marks
	for _, s := range seats {
		s.mu.Lock()
		switch {
		case s.marks != nil:
			all = append(all, *s.marks)
		case s.play != nil && s.play.Done():
			all = append(all, marking.Unmarked(s.play, "not reckoned yet: export again in a moment"))
		case s.play != nil:
			all = append(all, marking.Unmarked(s.play, "no finding"))
		}
		s.mu.Unlock()
	}
	body, err := marking.CSV(all)
	if err != nil {
		c.fail(w, err)
		return
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="round-`+itoa(round)+`.csv"`)
	w.Write(body)
}
