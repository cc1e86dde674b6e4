package exercise

import (
	"encoding/json"
	"errors"
	"fmt"
)

// PlayEnding is the end of a play file's name.
const PlayEnding = ".play.json"

// PlayJSON is a play as a file: the exercise itself, so that the file stands alone, and what was done.
type PlayJSON struct {
	Format   int        `json:"format"`
	Student  string     `json:"student"`
	Exercise string     `json:"exercise"` // the exercise file's text
	Done     bool       `json:"done"`
	Minutes  float64    `json:"minutes"`
	Steps    []StepJSON `json:"steps"`
}

// StepJSON is one step as it was typed, and what came of it.
type StepJSON struct {
	Line    string  `json:"line"`
	Reason  string  `json:"reason"`
	Refused string  `json:"refused,omitempty"`
	Reply   string  `json:"reply,omitempty"`
	Minutes float64 `json:"minutes"`
}

// JSON is a step for a file or a transcript.
func (s Step) JSON() StepJSON {
	return StepJSON{Line: s.Action.Line, Reason: s.Action.Reason, Refused: s.Reply.Refused, Reply: s.Reply.Words, Minutes: s.Reply.Minutes}
}

// Text is the whole play as a file, to be written after each step. exerciseText is the exercise file as it was read.
func (p *Play) Text(exerciseText []byte) ([]byte, error) {
	j := PlayJSON{Format: 1, Student: p.Student, Exercise: string(exerciseText), Done: p.done, Minutes: p.total, Steps: []StepJSON{}}
	for _, s := range p.Steps {
		j.Steps = append(j.Steps, s.JSON())
	}
	body, err := json.MarshalIndent(j, "", "  ")
	return append(body, '\n'), err
}

// Resume takes up a play from its file: every step is done again, and one whose reply is another now is noted in
// Altered. exerciseText is the exercise as the file holds it.
func Resume(name string, text []byte) (p *Play, exerciseText []byte, err error) {
	var j PlayJSON
	if err := json.Unmarshal(text, &j); err != nil {
		return nil, nil, fmt.Errorf("%s: this is no play file, or it is damaged", name)
	}
	switch {
	case j.Format != 1:
		return nil, nil, fmt.Errorf("%s: format is %d, and this program reads format 1", name, j.Format)
	case len(j.Steps) > mostSteps:
		return nil, nil, fmt.Errorf("%s: it has %d steps, and a play has %d at the most", name, len(j.Steps), mostSteps)
	}
	x, err := fromText(name, []byte(j.Exercise))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: its exercise: %w", name, err)
	}
	p = NewPlay(x, j.Student)
	for i, s := range j.Steps {
		a, err := Parse(x, s.Line)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: step %d: %w", name, i+1, err)
		}
		a.Reason = s.Reason
		if p.done {
			return nil, nil, fmt.Errorf("%s: %w", name, errors.New("it goes on after its finding"))
		}
		p.Do(a)
		if p.Steps[i].JSON() != s {
			p.Altered = append(p.Altered, i)
		}
	}
	return p, []byte(j.Exercise), nil
}
