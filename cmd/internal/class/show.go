package class

import (
	"fmt"
	"net/http"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/door"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/marking"
	"ohmtrail/cmd/internal/page"
	"ohmtrail/cmd/internal/view"
)

// meJSON is all that a student's page shows. Nothing in it comes from an exercise's hidden part but the replies to what
// the student has done, and the marks once they may be seen.
type meJSON struct {
	Joined   bool               `json:"joined"`
	Name     string             `json:"name"`
	Phase    string             `json:"phase"`
	Round    int                `json:"round"`
	When     string             `json:"marks_when"` // "finding" or "closing"
	Exercise *exerciseJSON      `json:"exercise"`   // null where none has been dealt
	Steps    []stepJSON         `json:"steps"`
	Minutes  float64            `json:"minutes"`
	Done     bool               `json:"done"`
	Reckoned bool               `json:"reckoned"` // false while the marks are on their way
	Marks    *marking.MarksJSON `json:"marks"`
}

// exerciseJSON is the open part of an exercise.
type exerciseJSON struct {
	Title        string   `json:"title"`
	Machine      string   `json:"machine"`
	Complaint    string   `json:"complaint"`
	Codes        []string `json:"codes"`
	Intermittent bool     `json:"intermittent"`
	Stands       []string `json:"stands"`
	Questions    []string `json:"questions"`
	Cautions     []string `json:"cautions"`
	Battery      string   `json:"battery"`
}

// stepJSON is one step of the student's own.
type stepJSON struct {
	Kind    string  `json:"kind"`
	Words   string  `json:"words"`
	Reason  string  `json:"reason"`
	Refused string  `json:"refused"`
	Unsafe  bool    `json:"unsafe"`
	Reply   string  `json:"reply"`
	Minutes float64 `json:"minutes"`
	At      string  `json:"at"` // a reading's red lead, for the drawing; "" for none
	Short   string  `json:"short"`
}

// showMe answers what a student's page shows.
func (c *Class) showMe(r *http.Request) (any, error) {
	c.mu.Lock()
	s := c.seatOf(r)
	out := meJSON{Phase: c.st.Phase, Round: c.st.Round, When: c.st.Marks, Steps: []stepJSON{}}
	c.mu.Unlock()
	if s == nil {
		return out, nil
	}
	return c.me(s), nil
}

func (c *Class) me(s *seat) meJSON {
	c.mu.Lock()
	out := meJSON{Joined: true, Name: s.Name, Phase: c.st.Phase, Round: c.st.Round, When: c.st.Marks, Steps: []stepJSON{}}
	c.mu.Unlock()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.play == nil || out.Phase == waiting {
		return out
	}
	out.Exercise = openPart(s.item.x)
	for _, step := range s.play.Steps {
		out.Steps = append(out.Steps, stepOf(s.play.Exercise, step))
	}
	out.Minutes, out.Done = s.play.Minutes(), s.play.Done()
	if may(out, s) {
		if out.Reckoned = s.marks != nil; out.Reckoned {
			marks := s.marks.JSON()
			marks.Family = "" // others may still play its variants
			out.Marks = &marks
		}
	}
	return out
}

// may tells whether a student may see marks: after committing, and where the trainer wants it so, after the round.
func may(m meJSON, s *seat) bool {
	return s.play.Done() && (m.When == afterFinding || m.Phase == closed)
}

func openPart(x *exercise.Exercise) *exerciseJSON {
	out := &exerciseJSON{Title: x.Circuit.Title, Machine: x.Machine, Complaint: x.Complaint, Codes: append([]string{}, x.Codes...), Intermittent: x.Intermittent,
		Stands: []string{}, Questions: append([]string{}, x.Questions...), Cautions: []string{}, Battery: fmt.Sprintf("%g V", x.Circuit.Battery.Volts)}
	for _, s := range x.Stands {
		out.Stands = append(out.Stands, page.Spaced(view.Stimulus(x.Circuit, s.Device, s.Set)))
	}
	for _, w := range view.Cautions(x.Job()) {
		out.Cautions = append(out.Cautions, page.Spaced(w))
	}
	return out
}

func stepOf(x *exercise.Exercise, s exercise.Step) stepJSON {
	out := stepJSON{Kind: string(s.Action.Kind), Words: words(x, s.Action), Reason: s.Action.Reason, Refused: page.Spaced(s.Reply.Refused), Unsafe: s.Reply.Unsafe,
		Reply: page.Spaced(s.Reply.Words), Minutes: s.Reply.Minutes}
	if s.Action.Kind == exercise.Measure && s.Reply.Taken && s.Action.Reading.Quantity != circuits.Amps {
		out.At, out.Short = s.Action.Reading.Point().String(), page.Spaced(view.Read(s.Reply.Reading))
	}
	return out
}

// words say an action for a person.
func words(x *exercise.Exercise, a exercise.Action) string {
	switch a.Kind {
	case exercise.Measure:
		out := exercise.Words(x.Circuit, a)
		switch a.Reading.Quantity {
		case circuits.Volts:
			out = "volts at " + out
		case circuits.ScanVolts:
			out = "scan tool: " + strings.TrimPrefix(out, "scan ")
		}
		return out
	case exercise.Ask:
		return "asked: " + x.Questions[a.Question]
	case exercise.Look:
		return "looked at " + a.At.String()
	case exercise.Repair:
		return "put right: " + a.At.String()
	}
	if a.Remedy != "" {
		return "finding: " + a.Fault.String() + "; to be done: " + a.Remedy
	}
	return "finding: " + a.Fault.String()
}

// showCircuit answers what a student may measure and name.
func (c *Class) showCircuit(w http.ResponseWriter, r *http.Request) {
	c.ofItem(w, r, "application/json", func(it *item) []byte { return it.view })
}

func (c *Class) showDrawing(w http.ResponseWriter, r *http.Request) {
	c.ofItem(w, r, "image/svg+xml", func(it *item) []byte { return it.svg })
}

// ofItem answers with something of the exercise that was dealt.
func (c *Class) ofItem(w http.ResponseWriter, r *http.Request, kind string, body func(*item) []byte) {
	s, err := c.mine(r)
	if err != nil {
		c.fail(w, err)
		return
	}
	s.mu.Lock()
	it := s.item
	s.mu.Unlock()
	c.mu.Lock()
	phase := c.st.Phase
	c.mu.Unlock()
	if it == nil || phase == waiting {
		door.Refuse(w, http.StatusConflict, "nothing has been dealt to you yet")
		return
	}
	w.Header().Set("Content-Type", kind)
	w.Write(body(it))
}
