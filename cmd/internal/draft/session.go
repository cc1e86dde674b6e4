package draft

import (
	"bufio"
	"fmt"
	"io"
	"sort"
	"strings"
)

// session puts questions and takes answers.
type session struct {
	in    *bufio.Scanner
	talk  io.Writer
	ask   bool
	again bool
	lines int  // answers read
	ended bool // no more answers: usual values from here on
}

// questions takes every answer of a list: a given one, else an asked one, else the usual one.
func (s *session) questions(d *drafting, p *part, given map[string]string, list []question) error {
	for _, q := range list {
		if q.when != nil && !q.when(d, p) {
			if _, ok := given[q.name]; ok {
				return fmt.Errorf("--%s means nothing for %s", q.name, d.subject(p))
			}
			continue
		}
		usual := q.usual(d, p)
		if answer, ok := given[q.name]; ok {
			if strings.TrimSpace(answer) == "" {
				answer = usual
				p.assume(q.name)
			}
			if err := q.take(d, p, strings.TrimSpace(answer)); err != nil {
				return fmt.Errorf("--%s %q: %w", q.name, answer, err)
			}
			continue
		}
		if !s.ask || s.ended {
			if err := q.take(d, p, usual); err != nil {
				return fmt.Errorf("--%s is needed: the usual %q does not do here: %w", q.name, usual, err)
			}
			p.assume(q.name)
			continue
		}
		if err := s.put(d, p, q, usual); err != nil {
			return err
		}
	}
	return nil
}

// put asks one question until its answer is good.
func (s *session) put(d *drafting, p *part, q question, usual string) error {
	for {
		fmt.Fprintf(s.talk, "%s [%s]: ", q.asks(d, p), usual)
		answer, ok := s.line()
		if answer == "?" {
			fmt.Fprintln(s.talk, "  "+q.usage)
			continue
		}
		given := answer != ""
		if !given {
			answer = usual
		}
		err := q.take(d, p, answer)
		if err == nil {
			if !given {
				p.assume(q.name)
			}
			return nil
		}
		if !ok {
			return fmt.Errorf("%w at the question %q: the usual %q does not do here: %v", errStop, q.name, usual, err)
		}
		if !s.again {
			return fmt.Errorf("answer %d, to the question %q: %q: %w", s.lines, q.name, answer, err)
		}
		fmt.Fprintf(s.talk, "  %v\n", err)
	}
}

// assume notes that a question took its usual answer.
func (p *part) assume(question string) {
	if p != nil {
		p.assumed[question] = true
	}
}

// more asks whether another part follows.
func (s *session) more() (bool, error) {
	for {
		if s.ended {
			return false, nil
		}
		fmt.Fprint(s.talk, "Another part on the same module? (yes, no) [no]: ")
		answer, _ := s.line()
		switch strings.ToLower(answer) {
		case "", "n", "no":
			return false, nil
		case "y", "yes":
			return true, nil
		}
		if !s.again {
			return false, fmt.Errorf("answer %d: %q is neither yes nor no", s.lines, answer)
		}
		fmt.Fprintln(s.talk, "  write yes or no")
	}
}

// line reads one answer; ok is false at the end of the input.
func (s *session) line() (string, bool) {
	if !s.ended && s.in.Scan() {
		s.lines++
		return strings.TrimSpace(strings.ToValidUTF8(s.in.Text(), "")), true
	}
	if !s.ended {
		s.ended = true
		fmt.Fprint(s.talk, "\n(no more answers: the usual values from here on)\n")
	}
	return "", false
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
