package web

import (
	"net/http"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/page"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/rank"
)

// jobJSON is a job as a page shows it.
type jobJSON struct {
	File         string           `json:"file"`
	Version      string           `json:"version"`
	Broken       []problemJSON    `json:"broken"` // why the file cannot be used as it stands; then the rest is as it was before
	Known        bool             `json:"known"`  // the rest is there
	Warnings     []problemJSON    `json:"warnings"`
	Title        string           `json:"title"` // of the circuit
	Circuit      string           `json:"circuit"`
	Machine      string           `json:"machine"`
	Complaint    string           `json:"complaint"`
	Codes        []string         `json:"codes"`
	Intermittent bool             `json:"intermittent"`
	Pyrotechnic  bool             `json:"pyrotechnic"`
	Cautions     []string         `json:"cautions"`
	Readings     []readingJSON    `json:"readings"`
	Inspections  []inspectionJSON `json:"inspections"`
	Ranked       bool             `json:"ranked"` // verdict and groups are of this text, not of one before
	Verdict      string           `json:"verdict"`
	Groups       []groupJSON      `json:"groups"`
	Rest         string           `json:"rest"` // "3 %, 41 other faults"; "" for none
	State        stateJSON        `json:"state"`
	Stated       int              `json:"stated"`
	Can          canJSON          `json:"can"`
}

// canJSON says which parts of the page are there.
type canJSON struct {
	Recording bool          `json:"recording"`
	WriteUps  []writeUpJSON `json:"writeups"`
}

type writeUpJSON struct {
	Form  string `json:"form"`
	Label string `json:"label"`
	Sheet bool   `json:"sheet"`
}

func (p *Page) can() canJSON {
	out := canJSON{Recording: p.options.Recorded != nil, WriteUps: []writeUpJSON{}}
	for _, w := range p.options.WriteUps {
		out.WriteUps = append(out.WriteUps, writeUpJSON{w.Form, w.Label, w.Sheet})
	}
	return out
}

// problemJSON is one thing that is wrong in a file, as a line and as words.
type problemJSON struct {
	Words string `json:"words"`
	Text  string `json:"text"` // the line at fault; "" where there is none
}

// readingJSON is a reading of the job's file.
type readingJSON struct {
	Index       int       `json:"index"`
	Where       string    `json:"where"`
	When        string    `json:"when"`
	Read        string    `json:"read"` // "" for one that is planned
	Units       string    `json:"units,omitempty"`
	Note        string    `json:"note,omitempty"`
	Misread     string    `json:"misread,omitempty"`
	Unexplained bool      `json:"unexplained,omitempty"`
	Refused     bool      `json:"refused,omitempty"`
	At          string    `json:"at"`
	To          string    `json:"to"`
	Quantity    string    `json:"quantity"`
	State       stateJSON `json:"state"`
}

type inspectionJSON struct {
	Index int    `json:"index"`
	At    string `json:"at"`
	Place string `json:"place"`
	Seen  string `json:"seen"`
}

// groupJSON is faults that no reading so far tells apart.
type groupJSON struct {
	Probability float64     `json:"probability"`
	Percent     string      `json:"percent"`
	Faults      []faultJSON `json:"faults"`
	More        int         `json:"more"`
}

type faultJSON struct {
	Fault       string  `json:"fault"`
	Place       string  `json:"place"`
	Probability float64 `json:"probability"`
	Percent     string  `json:"percent"`
	Ohms        string  `json:"ohms"`
}

const (
	shownGroups = 6
	leastGroup  = 0.004 // a group that holds less is counted with the rest
	saidMisread = 0.2   // from which on a reading's doubt is said
)

// showJob answers with a job: what its file says, and what its readings come to.
func (p *Page) showJob(r *http.Request) (any, error) {
	w, s, err := p.on(r)
	if err != nil {
		return nil, err
	}
	return p.jobOf(w, s), nil
}

// jobOf is a job as it stands. It waits for no ranking: where the text is not ranked yet, the groups are those of the
// text that was ranked last, and an event says when they are not.
func (p *Page) jobOf(w *work, s *edition) jobJSON {
	w.mu.Lock()
	good, state, stated := w.good, w.state, w.stated
	w.mu.Unlock()
	out := jobJSON{File: w.name, Version: s.version, Broken: []problemJSON{}, Warnings: []problemJSON{}, Codes: []string{}, Cautions: []string{},
		Readings: []readingJSON{}, Inspections: []inspectionJSON{}, Groups: []groupJSON{}, State: state.whole(), Stated: stated,
		Can: p.can()}
	if s.job == nil {
		out.Broken = problemsJSON(s.problems.Errors(), s.text)
		if s = good; s == nil {
			return out
		}
	}
	ranked := w.lastRanked()
	if out.Ranked = ranked == s; !out.Ranked {
		p.weigh(w, s)
	}
	out.Known = true
	out.Warnings = problemsJSON(s.problems.Warnings(), s.text)
	j := s.job
	out.Title, out.Circuit, out.Machine, out.Complaint, out.Intermittent, out.Pyrotechnic = j.Circuit.Title, j.CircuitName, j.Machine, j.Complaint, j.Intermittent, j.Circuit.Pyrotechnic
	out.Codes = append(out.Codes, j.Codes...)
	out.Cautions = append(out.Cautions, view.Cautions(j)...)
	out.Readings = readingsJSON(j)
	for i, seen := range j.Inspections {
		out.Inspections = append(out.Inspections, inspectionJSON{i, seen.At.String(), page.Spaced(view.Place(j.Circuit, seen.At)), seen.Seen})
	}
	if ranked != nil {
		ranking := ranked.ranking()
		out.Verdict = page.Spaced(view.Ranked{Ranking: ranking}.VerdictText())
		out.Groups, out.Rest = groupsJSON(ranking)
		if out.Ranked {
			doubtReadings(out.Readings, ranking)
		}
	}
	return out
}

func problemsJSON(ps circuits.Problems, text []byte) []problemJSON {
	lines := strings.Split(string(text), "\n")
	out := []problemJSON{}
	for _, one := range ps {
		shown := problemJSON{Words: one.Error()}
		if strings.HasSuffix(one.File, jobEnd) && one.Line > 0 && one.Line <= len(lines) {
			shown.Text = strings.ToValidUTF8(strings.TrimRight(lines[one.Line-1], "\r"), "�")
		}
		out = append(out, shown)
	}
	return out
}

func readingsJSON(j *circuits.Job) []readingJSON {
	out := []readingJSON{}
	for i, one := range j.Readings {
		out = append(out, readingJSON{Index: i, Where: page.Spaced(view.Where(one)), When: page.Spaced(view.Conditions(j.Circuit, one)), Read: page.Spaced(view.Read(one)),
			Units: view.InUnits(j, one), Note: one.Note, At: one.At.String(), To: one.To.String(), Quantity: string(one.Quantity), State: stateOf(one.State)})
	}
	return out
}

// doubtReadings says of readings what their ranking doubts in them.
func doubtReadings(readings []readingJSON, r rank.Ranking) {
	for i, index := range r.Taken {
		if r.Misread[i] >= saidMisread {
			readings[index].Misread = view.Percent(r.Misread[i])
		}
	}
	for _, index := range r.Unexplained {
		readings[index].Unexplained = true
	}
	for _, index := range r.Refused {
		readings[index].Refused = true
	}
}

// groupsJSON are the leading groups, and the rest in words.
func groupsJSON(r rank.Ranking) (out []groupJSON, rest string) {
	out = []groupJSON{}
	others, share := 0, 0.0
	for i, g := range r.Groups {
		if i >= shownGroups || i > 0 && g.Probability < leastGroup {
			others += len(g.Faults)
			share += g.Probability
			continue
		}
		group := groupJSON{Probability: g.Probability, Percent: view.Percent(g.Probability)}
		faults := view.Visible(g)
		for _, c := range faults {
			one := faultJSON{c.Name(), page.Spaced(view.FaultPlace(r.Job.Circuit, c.Whole())), c.Probability, view.Percent(c.Probability), view.OhmsWords(c.Ohms)}
			if one.Ohms != "" && c.Whole().IsDouble() {
				one.Ohms = c.Fault.At.String() + ": " + one.Ohms
			}
			group.Faults = append(group.Faults, one)
		}
		group.More = len(g.Faults) - len(faults)
		out = append(out, group)
	}
	switch {
	case others == 1:
		rest = view.Percent(share) + " for one other fault"
	case others > 1:
		rest = view.Percent(share) + " for " + itoa(others) + " other faults together"
	}
	return out, rest
}

// planJSON is what to do next.
type planJSON struct {
	Version  string        `json:"version"`
	Done     bool          `json:"done"`
	Reason   string        `json:"reason"`
	Advice   []string      `json:"advice"`
	Places   []placeJSON   `json:"places"`
	Readings []offeredJSON `json:"readings"` // best first
}

type placeJSON struct {
	Place   string `json:"place"`
	Percent string `json:"percent"`
	Leading string `json:"leading"`
}

// offeredJSON is a reading worth taking.
type offeredJSON struct {
	Steps    []string                `json:"steps"` // what a hand does, one after the other
	Worth    string                  `json:"worth"`
	Confirms bool                    `json:"confirms"`
	Cautions []string                `json:"cautions"`
	Reading  view.PlannedReadingJSON `json:"reading"`
	State    stateJSON               `json:"state"`
	Outcomes []outcomeJSON           `json:"outcomes"`
}

type outcomeJSON struct {
	Says        string  `json:"says"`
	Probability float64 `json:"probability"`
	Percent     string  `json:"percent"`
}

const (
	offered       = 4
	shownOutcomes = 5
	leastOutcome  = 0.01
)

// showPlan answers with the plan for the text of a job that the page shows; it takes longer than the ranking.
func (p *Page) showPlan(r *http.Request) (any, error) {
	s, end, err := p.ready(r)
	if err != nil {
		return nil, err
	}
	defer end()
	v := s.plan()
	left, err := p.left(r, s.job)
	if err != nil {
		return nil, err
	}
	shown := v.JSON(offered)
	out := planJSON{Version: s.version, Done: v.Plan.Done, Reason: v.ReasonText(), Advice: forPage(shown.Advice), Places: []placeJSON{}, Readings: []offeredJSON{}}
	for i, place := range shown.Remaining {
		if i < shownGroups && (i == 0 || place.Probability >= leastGroup) {
			out.Places = append(out.Places, placeJSON{place.Place, view.Percent(place.Probability), place.Leading})
		}
	}
	if s.job.Circuit.Pyrotechnic {
		return out, nil
	}
	for i, one := range shown.Suggestions {
		var steps []string
		for _, step := range view.Steps(s.job.Circuit, left, v.Plan.Suggestions[i].Reading) {
			steps = append(steps, page.Spaced(step))
		}
		o := offeredJSON{Steps: steps, Worth: page.Spaced(view.Minutes(one.Minutes)), Confirms: one.Confirms, Cautions: one.Cautions, Reading: one.Reading,
			State: stateOf(v.Plan.Suggestions[i].Reading.State), Outcomes: []outcomeJSON{}}
		rest := 0.0
		for k, outcome := range one.Outcomes {
			if k >= shownOutcomes || k > 0 && outcome.Probability < leastOutcome {
				rest += outcome.Probability
				continue
			}
			o.Outcomes = append(o.Outcomes, outcomeJSON{outcome.Says, outcome.Probability, view.Percent(outcome.Probability)})
		}
		if rest > 0 {
			o.Outcomes = append(o.Outcomes, outcomeJSON{"other values", rest, view.Percent(rest)})
		}
		out.Readings = append(out.Readings, o)
	}
	return out, nil
}

// forPage is advice in the words of a page, which has a button where a file has a table.
func forPage(advice []string) []string {
	out := []string{}
	for _, a := range advice {
		out = append(out, strings.ReplaceAll(a, "Enter what you see as an [[inspection]].", "Enter it with “Note what you see”."))
	}
	return out
}

// usable is the edition of a request's job where it can be used, else a refusal.
func (p *Page) usable(r *http.Request) (*work, *edition, error) {
	w, s, err := p.on(r)
	if err == nil && s.job == nil {
		err = refusal{Status: http.StatusConflict, Words: "the file cannot be read as it stands: " + s.problems.Errors().Error(), Broken: true}
	}
	return w, s, err
}

// drawing answers with the picture.
func (p *Page) drawing(w http.ResponseWriter, r *http.Request) {
	s, end, err := p.ready(r)
	if err != nil {
		p.fail(w, err)
		return
	}
	defer end()
	w.Header().Set("Content-Type", "image/svg+xml")
	w.Write(s.picture())
}
