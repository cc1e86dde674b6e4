package main

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/cmd/internal/draft/circuittext"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

// take carries out one line of a play.
func (s *playing) take(line string) (ended bool, err error) {
	switch strings.ToLower(line) {
	case "":
		return false, nil
	case "help", "?":
		return false, s.say(exercise.Grammar + "\n" + sittingWords + "\n")
	case "wires":
		return false, s.say(s.wires())
	case "show":
		return false, s.say(s.head())
	case "list":
		return false, s.say(s.list())
	case "ask":
		return false, s.say(s.questions())
	}
	if file, ok := strings.CutPrefix(line, "draw "); ok {
		return false, s.say(s.d.page.Paragraph(s.draw(file)))
	}
	a, err := exercise.Parse(s.p.Exercise, line)
	if err != nil {
		return false, s.say(s.d.page.Paragraph(sentenceOf(err.Error())))
	}
	if ended, err := s.complete(&a); err != nil || ended {
		return ended, err
	}
	reply := s.p.Do(a)
	if err := s.keep(); err != nil {
		return false, err
	}
	if err := s.say(s.d.page.Paragraph(replyText(reply))); err != nil {
		return false, err
	}
	if s.p.Done() {
		return true, s.end()
	}
	return false, nil
}

// sittingWords are the words that do nothing to the machine.
const sittingWords = `show, wires, draw FILE       the machine again; its wires in words; as a picture (.svg, .png)
list, help, quit             what was done; this; leave, to go on later`

// wires is the circuit in words: a line for each run.
func (s *playing) wires() string {
	c := s.p.Exercise.Circuit
	var b strings.Builder
	for _, r := range c.Runs {
		var path []string
		for i, p := range r.Path {
			step := p.String()
			if i > 0 {
				if color := c.Wires[r.Wires[i-1]].Color; color != "" {
					step = "-" + color + "- " + step
				} else {
					step = "- " + step
				}
			}
			path = append(path, step)
		}
		b.WriteString(s.d.page.Hanging("  ", r.Title()+": "+strings.Join(path, " ")))
	}
	return b.String()
}

// draw writes a picture of the circuit, without anything that was found.
func (s *playing) draw(file string) string {
	render, err := renderer(strings.TrimSpace(file))
	if err == nil {
		var picture []byte
		if picture, err = render(s.p.Exercise.Circuit, draw.Marks{}); err == nil {
			err = files.Replace(strings.TrimSpace(file), picture)
		}
	}
	if err != nil {
		return sentenceOf(err.Error())
	}
	return "Wrote " + strings.TrimSpace(file) + "."
}

// complete asks for what a line left away: what is to be done about a finding, and the reason.
func (s *playing) complete(a *exercise.Action) (ended bool, err error) {
	if a.Kind == exercise.Find && a.Remedy == "" {
		remedy, ok, err := s.line("what is to be done> ")
		if err != nil || !ok {
			return true, s.cut(err)
		}
		if a.Remedy = remedy; remedy != "" {
			a.Line += "; " + remedy
		}
	}
	if a.Reason != "" || a.Kind == exercise.Look || a.Kind == exercise.Ask {
		return false, nil
	}
	reason, ok, err := s.line("why> ")
	if err != nil || !ok {
		return true, s.cut(err)
	}
	a.Reason = reason
	return false, nil
}

// cut ends a sitting whose input ended in the middle of a step; the step is not done.
func (s *playing) cut(err error) error {
	if err != nil {
		return err
	}
	return s.leave()
}

// replyText is what came of a step, with its minutes.
func replyText(r exercise.Reply) string {
	if r.Refused != "" {
		return "Refused: " + r.Refused + "."
	}
	words := strings.TrimSuffix(r.Words, ".")
	if r.Minutes == 0 {
		return words + "."
	}
	return fmt.Sprintf("%s   (%s)", words, minutesShort(r.Minutes))
}

// head is the machine as a student meets it.
func (s *playing) head() string {
	x, page := s.p.Exercise, s.d.page
	var b strings.Builder
	b.WriteString(page.Strong(x.Machine) + "\n")
	b.WriteString(page.Paragraph("The operator says: " + x.Complaint))
	if len(x.Codes) > 0 {
		b.WriteString(page.Paragraph("Codes: " + strings.Join(x.Codes, ", ")))
	} else {
		b.WriteString("No code is set.\n")
	}
	var stands []string
	for _, set := range x.Stands {
		stands = append(stands, view.Stimulus(x.Circuit, set.Device, set.Set))
	}
	if len(stands) > 0 {
		b.WriteString(page.Paragraph("As it stands: " + strings.Join(stands, "; ") + "."))
	}
	b.WriteString(page.Paragraph(pointsOf(x)))
	b.WriteString(page.Paragraph("`help` says what can be typed, `wires` how it is wired, `ask` what the operator can be asked."))
	return b.String()
}

// pointsOf lists where a lead can go.
func pointsOf(x *exercise.Exercise) string {
	var out []string
	for _, name := range x.Circuit.Names() {
		words := name
		cavities := x.Circuit.Cavities(name)
		slices.SortFunc(cavities, circuittext.CompareCavities)
		if len(cavities) > 0 {
			words += ":" + strings.Join(cavities, ",")
		}
		if name != "B+" && name != "B-" {
			out = append(out, words)
		}
	}
	return "Points: " + strings.Join(out, "  ") + "  B+  B-"
}

func (s *playing) list() string {
	if len(s.p.Steps) == 0 {
		return "Nothing has been done yet.\n"
	}
	var b strings.Builder
	for i, step := range s.p.Steps {
		b.WriteString(s.d.page.Hanging(fmt.Sprintf("%3d  ", i+1), step.Action.Line+": "+replyText(step.Reply)))
	}
	return b.String()
}

func (s *playing) questions() string {
	var b strings.Builder
	for i, q := range s.p.Exercise.Questions {
		fmt.Fprintf(&b, "%3d  %s\n", i+1, q)
	}
	return b.String()
}
