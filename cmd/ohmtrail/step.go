package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
)

func stepCommand(d *desk) *cobra.Command {
	return &cobra.Command{
		Use:   "step JOB",
		Short: "Take readings one by one: shown, typed, written into the job",
		Long: `step shows the next reading, takes its value as it is typed, writes it into the job file at once, and
shows how that moved the odds, until a place is proven. What stands in the file stays as it is, comments
and layout too.

A value is typed as the meter shows it: 4.98, 4,98, 980m, 4k7, OL, or the lowest and the highest of a
reading that moved, 1.9 4.98; where the symptom comes and goes, with "there" or "away" behind it if
that could be seen. Other words: skip, take N, why, tried PLACE RESULT (a repair, and whether the
symptom remains, is gone or changed), undo, draw FILE, list, note TEXT, help, quit. The end of the input ends it too; values may come from a pipe.`,
		Example: `  ohmtrail step mast-height.job.toml
  printf '0.0\n5.01\n' | ohmtrail step mast-height.job.toml`,
		Args:              filesWanted(1, 1, "one job file"),
		ValidArgsFunction: completeFiles,
		RunE:              func(c *cobra.Command, args []string) error { return d.step(args[0]) },
	}
}

// longestLine is the longest line that is taken as typed.
const longestLine = 1 << 16

func (d *desk) step(name string) error {
	if name == files.Stdin {
		return usageError{"step writes into the job, so it needs a file"}
	}
	j, err := d.job(name, "step")
	if err != nil {
		return err
	}
	if j.Circuit.Pyrotechnic {
		return fmt.Errorf("%s: %s", name, strings.Join(view.Cautions(j), " "))
	}
	s := &stepping{d: d, name: name, lines: bufio.NewScanner(d.in), echo: !isTerminal(d.in), skipped: map[string]bool{}}
	s.lines.Buffer(nil, longestLine)
	s.rank(j)
	if err := s.open(); err != nil {
		return err
	}
	return s.work()
}

// isTerminal tells whether lines are typed by a hand, and so stand on the screen already.
func isTerminal(in any) bool {
	f, ok := in.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// stepping is one session on a job file.
type stepping struct {
	d       *desk
	name    string
	lines   *bufio.Scanner
	echo    bool // show the lines that are read: they come from a pipe
	job     *circuits.Job
	view    view.Planned
	offered []plan.Suggestion // worth taking and not skipped, best first
	now     int               // index of the one that is shown
	skipped map[string]bool   // by circuits.ReadingKey
	added   []kept            // by this session, to be taken back from the end
	note    string            // goes with the next value
	doubted string            // a value that was doubted, to be taken when it is typed again
	advice  []string          // said already
}

// kept is an entry of the job file: a reading, or something that was tried.
type kept struct {
	files.Addition
	tried bool
}

// worthTaking is the least information in bits for which a reading is offered beyond those of the plan.
const worthTaking = 0.02

// rank weighs a job anew and offers what is worth taking. Where all of the plan's readings were skipped the others that
// tell something are offered.
func (s *stepping) rank(j *circuits.Job) {
	s.job, s.view, s.now = j, s.d.planned(j), 0
	s.offer()
}

func (s *stepping) offer() {
	s.offered, s.now = s.unskipped(s.view.Plan.Suggestions), 0
	if len(s.offered) > 0 || len(s.view.Plan.Suggestions) == 0 {
		return
	}
	for _, o := range s.unskipped(plan.All(&s.view.Ranking)) {
		if o.GainBits >= worthTaking {
			s.offered = append(s.offered, o)
		}
	}
	byWorth(s.offered)
}

func (s *stepping) unskipped(all []plan.Suggestion) []plan.Suggestion {
	var out []plan.Suggestion
	for _, o := range all {
		if !s.skipped[circuits.ReadingKey(o.Reading)] {
			out = append(out, o)
		}
	}
	return out
}

// work takes line after line until the input ends.
func (s *stepping) work() error {
	for {
		if err := s.d.text(s.prompt()); err != nil {
			return err
		}
		if !s.lines.Scan() {
			break
		}
		line := strings.TrimSpace(strings.ToValidUTF8(s.lines.Text(), "�"))
		if s.echo {
			if err := s.d.text(line + "\n"); err != nil {
				return err
			}
		}
		quit, err := s.take(line)
		if err != nil {
			return err
		}
		if quit {
			return s.close()
		}
	}
	if err := s.d.text("\n"); err != nil {
		return err
	}
	if err := s.lines.Err(); err != nil {
		return fmt.Errorf("the typed line cannot be read: %w", err)
	}
	return s.close()
}

// prompt asks for the shown reading's value.
func (s *stepping) prompt() string {
	if len(s.offered) == 0 {
		return "> "
	}
	r := s.offered[s.now].Reading
	unit := string(r.Quantity)
	if r.Quantity == circuits.ScanVolts {
		unit = "volts"
	}
	if s.job.Intermittent && r.Wiggle == "" {
		unit += " (there or away)"
	}
	return fmt.Sprintf("%s, %s> ", r.At, unit)
}

// close says what the session has written.
func (s *stepping) close() error {
	var b strings.Builder
	if s.note != "" {
		b.WriteString("The note was not written: no value followed it.\n")
	}
	readings, tried := 0, 0
	for _, w := range s.added {
		if w.tried {
			tried++
		} else {
			readings++
		}
	}
	noun := "readings"
	if readings == 1 {
		noun = "reading"
	}
	repairs := ""
	if tried > 0 {
		repairs = fmt.Sprintf(", and what was tried at %d places,", tried)
		if tried == 1 {
			repairs = ", and what was tried at one place,"
		}
	}
	fmt.Fprintf(&b, "%d %s%s written into %s.\n", readings, noun, repairs, s.name)
	return s.d.text(b.String())
}

// parsed is a check for the job file's text that keeps what it parsed; doubts are its warnings from a line on.
type parsed struct {
	text     files.Text
	from     int // lines of the text before the addition
	confirm  bool
	job      *circuits.Job
	problems circuits.Problems
}

// errDoubt says that the job could be used, but its new reading is odd.
type errDoubt struct{ warnings circuits.Problems }

func (e errDoubt) Error() string { return e.warnings.Error() }

func (p *parsed) usable(body []byte) error {
	p.text.Body = body
	job, problems := p.text.Job()
	if job == nil {
		return problems.Errors()
	}
	var doubts circuits.Problems
	for _, w := range problems.Warnings() {
		if w.File == p.text.Name && w.Line > p.from {
			doubts = append(doubts, w)
		}
	}
	if len(doubts) > 0 && !p.confirm {
		return errDoubt{doubts}
	}
	p.job, p.problems = job, problems
	return nil
}

func linesOf(body []byte) int { return bytes.Count(body, []byte("\n")) }
