// Package draft writes a first circuit file from a few answers: what part it is, which module pins it goes to, through
// which in-line connectors and splices, in which colours. The answers come as options, or line by line from a terminal
// or a pipe; every question has a usual value that an empty answer takes.
//
//	answers -> part (checked one by one) -> routes through the harness -> circuittext.File -> circuit file
//
// The usual values are common practice, no source, where a kind's table does not name one.
package draft

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// Options say what to draft. The zero Options asks everything.
type Options struct {
	// Answers given beforehand, by the name of their question (see Questions); they are not asked again.
	Answers map[string]string
	// Also holds further parts on the same module, each as one text of NAME=ANSWER fields:
	// `part=thermistor name=MOT pins=A4,A3 through=C7:6,S2`. An answer with spaces stands in double quotes.
	Also []string
	// Ask puts the questions that have no answer yet; without it they all take their usual value.
	Ask bool
	// Again puts a question again whose answer was no good. For a person at a terminal; in a pipe the next line would
	// answer the wrong question, so there a bad answer ends the draft.
	Again bool
	// File names the circuit file in messages.
	File string
}

// errStop is the end of the answers where one more is needed.
var errStop = errors.New("the answers ended")

// New asks what Options leave open (questions go to talk, answers come from in) and writes the circuit file to out.
// Nothing is written where it returns an error. The problems are warnings of the check on what was written: with usual
// values there are none.
func New(in io.Reader, talk, out io.Writer, o Options) (circuits.Problems, error) {
	if o.File == "" {
		o.File = "draft"
	}
	s := &session{in: bufio.NewScanner(in), talk: talk, ask: o.Ask, again: o.Again}
	s.in.Buffer(nil, 1<<20)
	if err := known(o.Answers); err != nil {
		return nil, err
	}
	d := newDrafting()
	if err := s.first(d, o); err != nil {
		return nil, err
	}
	text := d.file().Text()
	c, problems := read.Circuit(o.File, text)
	if c == nil {
		return nil, fmt.Errorf("the answers give a circuit file that does not parse: %w", problems.Errors())
	}
	_, err := out.Write(text)
	return problems, err
}

// first takes the answers in order: the parts, then what concerns the circuit as a whole.
func (s *session) first(d *drafting, o Options) error {
	if err := s.part(d, o.Answers); err != nil {
		return err
	}
	for _, text := range o.Also {
		answers, err := fieldsOf(text)
		if err != nil {
			return err
		}
		quiet := *s
		quiet.ask = false
		if err := quiet.part(d, answers); err != nil {
			return fmt.Errorf("--also %q: %w", text, err)
		}
	}
	for s.ask && len(o.Also) == 0 {
		more, err := s.more()
		if err != nil {
			return err
		}
		if !more {
			break
		}
		if err := s.part(d, nil); err != nil {
			return err
		}
	}
	return s.questions(d, nil, o.Answers, circuitQuestions)
}

// part takes the answers on one part and adds it.
func (s *session) part(d *drafting, given map[string]string) error {
	p := &part{values: map[string]string{}, assumed: map[string]bool{}}
	if err := s.questions(d, p, given, partQuestions); err != nil {
		return err
	}
	d.add(p)
	return nil
}

// known refuses answers to questions that do not exist.
func known(answers map[string]string) error {
	var names []string
	for _, q := range Questions() {
		names = append(names, q.Name)
	}
	for _, name := range sortedKeys(answers) {
		if !slices.Contains(names, name) {
			return fmt.Errorf("no question is called %q; there are %s", name, strings.Join(names, ", "))
		}
	}
	return nil
}

// fieldsOf reads NAME=ANSWER fields parted by blanks.
func fieldsOf(text string) (map[string]string, error) {
	out := map[string]string{}
	for _, field := range splitQuoted(text) {
		name, answer, ok := strings.Cut(field, "=")
		if !ok || name == "" {
			return nil, fmt.Errorf("--also %q: %q is no NAME=ANSWER; write it like part=thermistor name=MOT pins=A4,A3", text, field)
		}
		if _, twice := out[name]; twice {
			return nil, fmt.Errorf("--also %q: %s is answered twice", text, name)
		}
		out[name] = answer
	}
	if err := known(out); err != nil {
		return nil, fmt.Errorf("--also %q: %w", text, err)
	}
	for _, q := range circuitQuestions {
		if _, given := out[q.name]; given {
			return nil, fmt.Errorf("--also %q: %s concerns the whole circuit; give it as --%s", text, q.name, q.name)
		}
	}
	return out, nil
}

// splitQuoted splits at blanks outside double quotes and drops the quotes.
func splitQuoted(text string) []string {
	var out []string
	var b strings.Builder
	quoted, any := false, false
	for _, r := range text {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case (r == ' ' || r == '\t' || r == '\n') && !quoted:
			if any {
				out = append(out, b.String())
			}
			b.Reset()
			any = false
		default:
			b.WriteRune(r)
			any = true
		}
	}
	if any {
		out = append(out, b.String())
	}
	return out
}
