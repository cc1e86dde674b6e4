package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/marking"
	"ohmtrail/cmd/internal/files"
)

// playFlags are the flags of exercise play.
type playFlags struct {
	student, save   string
	noMarks, asJSON bool
}

func exercisePlayCommand(d *desk) *cobra.Command {
	var f playFlags
	c := &cobra.Command{
		Use:   "play FILE",
		Short: "Look for the hidden fault of an exercise",
		Long: `play is a machine with a hidden fault. It answers any reading that is asked for as the real one would,
counts the minutes of work, and refuses what a workshop would refuse. Before each reading it asks why
it is taken; the reason is marked too. It ends with a finding, and then shows the marks.

All is written into a play file after each step (beside the exercise; --save names another), so nothing
is lost when it is left; the same command, or play with that file, goes on.

What is typed, one thing a line (a pipe may hold the same lines; the line after a reading, repair or
finding is the reason, unless it says because):

` + indented(exercise.Grammar) + `
` + indented(sittingWords) + `

A reading with watch or wiggle that moved shows two values. The play file holds the exercise and what
was done, no answer that could be read; see ` + "`ohmtrail exercise make --help`" + ` for what that is worth.`,
		Example: `  ohmtrail exercise play class/07.exercise.toml --student Kim
  printf 'scan ECM:34\nis the code there now?\nquit\n' | ohmtrail exercise play class/07.exercise.toml`,
		Args:              filesWanted(1, 1, "one exercise, or one play to go on with"),
		ValidArgsFunction: completeFiles,
		RunE:              func(c *cobra.Command, args []string) error { return d.play(args[0], f) },
	}
	c.Flags().SortFlags = false
	c.Flags().StringVar(&f.student, "student", "", "the student's `NAME`")
	c.Flags().StringVar(&f.save, "save", "", "the play `FILE` to write and to go on with")
	c.Flags().BoolVar(&f.noMarks, "no-marks", false, "end without marks: the trainer shows them")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the transcript, and the marks, as JSON at the end")
	return c
}

func indented(s string) string { return "  " + strings.ReplaceAll(s, "\n", "\n  ") }

// playing is one sitting at an exercise.
type playing struct {
	d     *desk
	flags playFlags
	file  string // of the play
	text  []byte // of the exercise
	p     *exercise.Play
	lines *bufio.Scanner
	echo  bool
}

func (d *desk) play(name string, f playFlags) error {
	if name == files.Stdin {
		return usageError{"play keeps a file beside the exercise, so it needs a file"}
	}
	text, err := files.Read(name, d.in)
	if err != nil {
		return err
	}
	s := &playing{d: d, flags: f, lines: bufio.NewScanner(d.in), echo: !isTerminal(d.in)}
	s.lines.Buffer(nil, longestLine)
	if strings.HasSuffix(name, exercise.PlayEnding) {
		s.file = name
		err = s.resume(text.Body)
	} else {
		err = s.begin(name, text.Body)
	}
	if err != nil {
		return err
	}
	return s.work()
}

// begin opens an exercise, or goes on with the play that lies beside it.
func (s *playing) begin(name string, text []byte) error {
	s.file = s.flags.save
	if s.file == "" {
		s.file = strings.TrimSuffix(name, exercise.Ending) + nameInFile(s.flags.student) + exercise.PlayEnding
	}
	body, err := files.Read(s.file, nil)
	if err == nil {
		return s.resume(body.Body)
	}
	if _, statErr := os.Stat(s.file); !errors.Is(statErr, fs.ErrNotExist) {
		return err
	}
	x, err := exercise.Read(name, text)
	if err != nil {
		return err
	}
	s.text, s.p = text, exercise.NewPlay(x, s.flags.student)
	if err := s.say(s.head()); err != nil {
		return err
	}
	return s.keep()
}

func (s *playing) resume(body []byte) (err error) {
	if s.p, s.text, err = exercise.Resume(s.file, body); err != nil {
		return err
	}
	if s.flags.student != "" && s.p.Student != exercise.Clean(s.flags.student) {
		whose := s.p.Student
		if whose == "" {
			whose = "somebody who gave no name"
		}
		return fmt.Errorf("%s: this is the play of %s; name another file with --save", s.file, whose)
	}
	if s.p.Done() {
		return fmt.Errorf("%s: it has ended with a finding; `ohmtrail exercise mark %s` shows the marks", s.file, s.file)
	}
	return s.say(s.head() + s.list() + "Going on.\n")
}

// nameInFile is a student's name as a part of a file's name.
func nameInFile(student string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(student) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(r)
		} else if b.Len() > 0 && !strings.HasSuffix(b.String(), "-") {
			b.WriteByte('-')
		}
	}
	if out := strings.TrimSuffix(b.String(), "-"); out != "" {
		return "." + out
	}
	return ""
}

// keep writes the play as it stands.
func (s *playing) keep() error {
	body, err := s.p.Text(s.text)
	if err != nil {
		return err
	}
	return files.Replace(s.file, body)
}

// say prints what a person reads; a program that asked for JSON gets nothing but that.
func (s *playing) say(text string) error {
	if s.flags.asJSON {
		return nil
	}
	return s.d.text(text)
}

// line reads one typed line; ok is false at the end of the input.
func (s *playing) line(prompt string) (line string, ok bool, err error) {
	if err := s.say(prompt); err != nil {
		return "", false, err
	}
	if !s.lines.Scan() {
		if err := s.lines.Err(); err != nil {
			return "", false, fmt.Errorf("the typed line cannot be read: %w", err)
		}
		return "", false, s.say("\n")
	}
	line = exercise.Clean(s.lines.Text())
	if s.echo {
		err = s.say(line + "\n")
	}
	return line, true, err
}

// work takes line after line until a finding, quit, or the end of the input.
func (s *playing) work() error {
	for {
		line, ok, err := s.line(fmt.Sprintf("%s> ", minutesShort(s.p.Minutes())))
		if err != nil {
			return err
		}
		if !ok || line == "quit" || line == "q" || line == "exit" {
			return s.leave()
		}
		if ended, err := s.take(line); err != nil || ended {
			return err
		}
	}
}

func minutesShort(m float64) string { return fmt.Sprintf("%g min", m) }

func (s *playing) leave() error {
	if s.flags.asJSON {
		return s.transcript(nil)
	}
	return s.say(fmt.Sprintf("Kept in %s; `ohmtrail exercise play %s` goes on.\n", s.file, s.file))
}

// end shows the marks, or only that it has ended.
func (s *playing) end() error {
	if s.flags.noMarks {
		if s.flags.asJSON {
			return s.transcript(nil)
		}
		return s.say(fmt.Sprintf("Your finding is kept in %s. The trainer has the marks.\n", s.file))
	}
	if err := s.say("\n"); err != nil {
		return err
	}
	m, err := marking.NewJudge().Mark(s.p, marking.DefaultPoints())
	if err != nil {
		return err
	}
	if s.flags.asJSON {
		j := m.JSON()
		return s.transcript(&j)
	}
	return s.say(m.Text(s.d.page))
}

// transcriptJSON is a play for programs: what was asked and answered, and the marks where it has ended.
type transcriptJSON struct {
	Student   string              `json:"student"`
	Exercise  string              `json:"exercise"`
	Machine   string              `json:"machine"`
	Complaint string              `json:"complaint"`
	Codes     []string            `json:"codes"`
	Minutes   float64             `json:"minutes"`
	Done      bool                `json:"done"`
	Steps     []exercise.StepJSON `json:"steps"`
	Marks     *marking.MarksJSON  `json:"marks"` // null before a finding
}

func (s *playing) transcript(m *marking.MarksJSON) error {
	x := s.p.Exercise
	t := transcriptJSON{Student: s.p.Student, Exercise: x.Name, Machine: x.Machine, Complaint: x.Complaint, Codes: append([]string{}, x.Codes...), Minutes: s.p.Minutes(),
		Done: s.p.Done(), Steps: []exercise.StepJSON{}, Marks: m}
	for _, step := range s.p.Steps {
		t.Steps = append(t.Steps, step.JSON())
	}
	return s.d.json(t)
}
