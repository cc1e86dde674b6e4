package main

import (
	"errors"
	"fmt"
	"os"
	"strings"

	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/solver/recording"
)

// takeMarks reads the movements that the command line and the marks file give.
func (l *logging) takeMarks() error {
	var problems []error
	for _, text := range l.ask.marks {
		m, err := parseMark(text)
		if err == nil {
			err = l.mark(m)
		}
		if err != nil {
			problems = append(problems, fmt.Errorf("--mark %s: %w", text, err))
		}
	}
	if l.ask.markFile != "" {
		movements, err := readMovements(l.ask.markFile)
		if err != nil {
			problems = append(problems, err)
		}
		for _, m := range movements {
			if err := l.mark(m); err != nil {
				problems = append(problems, fmt.Errorf("%s:%d: %w", l.ask.markFile, m.Line, err))
			}
		}
	}
	return errors.Join(problems...)
}

func readMovements(name string) ([]recorded.Movement, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: there is no such file, or you may not read it", name)
	}
	defer f.Close()
	return recorded.Movements(name, f)
}

// parseMark reads FROM-TO=PLACE. Times may be negative, as an oscilloscope's are before its trigger.
func parseMark(text string) (recorded.Movement, error) {
	span, place, ok := cutLast(text, "=")
	wrong := errors.New("write FROM-TO=PLACE, as in 12.5-18=C7")
	if !ok || strings.TrimSpace(place) == "" {
		return recorded.Movement{}, wrong
	}
	for at := 1; at < len(span)-1; at++ {
		if span[at] == '-' && span[at-1] != 'e' && span[at-1] != 'E' {
			return recorded.Movement{From: span[:at], To: span[at+1:], Place: strings.TrimSpace(place)}, nil
		}
	}
	return recorded.Movement{}, wrong
}

// mark takes a movement.
func (l *logging) mark(m recorded.Movement) error {
	from, err := l.table.Moment(l.plan.Time, m.From)
	if err != nil {
		return err
	}
	to, err := l.table.Moment(l.plan.Time, m.To)
	if err != nil {
		return err
	}
	if !(to > from) {
		return fmt.Errorf("the movement ends at %s, not after it begins at %s", m.To, m.From)
	}
	if err := l.place(m.Place); err != nil {
		return err
	}
	l.marks = append(l.marks, recording.Mark{Place: m.Place, From: from, To: to})
	return nil
}

// place checks that a name is a place of the circuit.
func (l *logging) place(name string) error {
	if len(l.channels) == 0 {
		return nil
	}
	r := l.channels[0].Reading
	r.Wiggle = name
	if _, problems := l.tried(r); len(problems.Errors()) > 0 {
		return errors.New(problems.Errors()[0].What) // its hint is for a job file
	}
	return nil
}

// checkPlaces checks the places that a mark column named, once they are known.
func (l *logging) checkPlaces() error {
	if l.plan.Mark.Index == 0 {
		return nil
	}
	checked := map[string]bool{}
	var problems []error
	for _, m := range l.marks {
		if checked[m.Place] {
			continue
		}
		checked[m.Place] = true
		if err := l.place(m.Place); err != nil {
			problems = append(problems, fmt.Errorf("%s: column %q: %w", l.table.File, l.plan.Mark.Title(), err))
		}
	}
	return errors.Join(problems...)
}
