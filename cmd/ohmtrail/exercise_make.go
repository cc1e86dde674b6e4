package main

import (
	"crypto/rand"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/seal"
	"ohmtrail/cmd/internal/files"
)

func exerciseMakeCommand(d *desk) *cobra.Command {
	var (
		q              exercise.Request
		folder, phrase string
		levels, asJSON bool
	)
	c := &cobra.Command{
		Use:   "make CIRCUIT",
		Short: "Make exercises out of a circuit",
		Long: `make hides faults in machines of a circuit and writes each as a file to hand out. The level is computed on
each machine (--levels says how). No two exercises are alike; some are variants of one symptom with the
fault at different places, so that an answer passed on is no help. Every one has been found by the
planner's readings on that very machine. The same seed makes the same exercises, so whoever knows or
guesses it, 1 or 7 or a date, can make them with a pass phrase of their own and read the answers: give none,
and one is drawn that nobody guesses.

A file shows no answer to a glance or to a search through its bytes: its sealed part is encrypted (age).
The program itself must open it to play the machine, so whoever reads the program's source can open it
too. That keeps honest students honest, and no more: for marks that count, use the class page, where
the answers stay on the trainer's machine. ` + answersFile + ` holds the key of the folder; it is encrypted with
your pass phrase and is as safe as that. Do not hand it out.`,
		Example: `  ohmtrail exercise make library:throttle-potentiometer --level 2 --count 12 -o class
  ohmtrail exercise make mast.circuit.toml --level 4 --count 24 --seed 7 -o friday --phrase-file phrase.txt
  ohmtrail exercise make --levels`,
		Args: func(c *cobra.Command, args []string) error {
			if levels {
				return nil
			}
			return filesWanted(1, 1, "one circuit, such as library:throttle-potentiometer")(c, args)
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if library.Holds(typed) {
				return libraryNames(), cobra.ShellCompDirectiveNoFileComp
			}
			return completeFiles(c, args, typed)
		},
		RunE: func(c *cobra.Command, args []string) error {
			drawn := !c.Flags().Changed("seed")
			if drawn {
				q.Seed = drawnSeed()
			}
			switch {
			case levels:
				return d.text(exercise.LevelsText())
			case q.Level < 1 || q.Level > exercise.Levels:
				return usageError{fmt.Sprintf("--level wants a number from 1 to %d", exercise.Levels)}
			case q.Count < 1 || q.Count > 999:
				return usageError{"--count wants a number from 1 to 999"}
			case folder == "":
				return usageError{"name the folder that they go into: -o FOLDER"}
			}
			return d.makeExercises(args[0], q, drawn, folder, phrase, asJSON)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().IntVar(&q.Level, "level", 2, "a `LEVEL` from 1 to 5")
	c.Flags().IntVar(&q.Count, "count", 12, "`N` exercises")
	c.Flags().Uint64Var(&q.Seed, "seed", 0, "a `NUMBER` that the machines are drawn by; none: one that nobody guesses")
	c.Flags().StringVarP(&folder, "output", "o", "", "the `FOLDER` to write them into")
	c.Flags().StringVar(&phrase, "phrase-file", "", "a `FILE` whose first line is the pass phrase for the answers")
	c.Flags().BoolVar(&levels, "levels", false, "say how the levels are defined, and end")
	c.Flags().BoolVar(&asJSON, "json", false, "print what was made as JSON, without answers")
	return c
}

// drawnSeed is a seed that nobody guesses. Its 53 bits come through every reader of JSON.
func drawnSeed() uint64 {
	var b [8]byte
	rand.Read(b[:]) // never fails: it ends the program where the system has no randomness
	return binary.LittleEndian.Uint64(b[:]) >> 11
}

// madeJSON is what make has done, for programs.
type madeJSON struct {
	Folder   string   `json:"folder"`
	Level    int      `json:"level"`
	Files    []string `json:"files"`
	Families int      `json:"families"`
	Seed     uint64   `json:"seed"`
	Answers  string   `json:"answers"` // the sealed key, "" for none
	Short    string   `json:"short"`   // why there are fewer than asked for
}

func (d *desk) makeExercises(name string, q exercise.Request, drawn bool, folder, phraseFile string, asJSON bool) error {
	text, err := files.Read(name, d.in)
	if err != nil {
		return err
	}
	if text.KindOf() == files.Job {
		return fmt.Errorf("%s: this is a job; exercise make wants a circuit", text.Name)
	}
	c, problems := text.Circuit()
	if err := d.usable(c != nil, text.Name, problems); err != nil {
		return err
	}
	if c.Pyrotechnic {
		return fmt.Errorf("%s: %w", text.Name, exercise.ErrPyrotechnic)
	}
	if there, err := inFolder(folder, exercise.Ending); err == nil && len(there) > 0 {
		return fmt.Errorf("%s: there are exercises in it already; name another folder", folder)
	}
	phrase, err := d.phrase(phraseFile, true)
	if err != nil {
		return err
	}
	q.CircuitName, q.CircuitText = filepath.Base(text.Name), text.Body
	if library.Holds(text.Name) {
		q.CircuitName = text.Name
	}
	bar := d.foundBar(q.Count)
	q.Progress = func(tried, found int) {
		bar.Describe(fmt.Sprintf("%d machines tried, found", tried))
		bar.Set(found)
	}
	set, err := exercise.Make(q)
	bar.Finish()
	if err != nil {
		return err
	}
	if len(set.Exercises) == 0 {
		return fmt.Errorf("%s: %s", text.Name, set.Short(q))
	}
	made, err := writeExercises(set, folder, phrase)
	if err != nil {
		return err
	}
	made.Level, made.Families, made.Seed, made.Short = q.Level, set.Families, q.Seed, set.Short(q)
	if asJSON {
		return d.json(made)
	}
	said := madeText(d, made, set)
	if drawn {
		said += d.page.Paragraph(fmt.Sprintf("The seed was %d. Keep it to yourself: it makes these exercises again, and their answers.", q.Seed))
	}
	return d.text(said)
}

// writeExercises writes the files and, with a pass phrase, the sealed key.
func writeExercises(set exercise.Set, folder, phrase string) (madeJSON, error) {
	made := madeJSON{Folder: folder, Files: []string{}}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return made, fmt.Errorf("%s: the folder cannot be made", folder)
	}
	var key []exercise.HiddenJSON
	for _, x := range set.Exercises {
		body, err := x.Text()
		if err != nil {
			return made, err
		}
		file := filepath.Join(folder, x.Name+exercise.Ending)
		if err := files.Create(file, body); err != nil {
			return made, err
		}
		made.Files = append(made.Files, file)
		key = append(key, x.JSON())
	}
	if phrase == "" {
		return made, nil
	}
	plain, err := json.Marshal(key)
	if err != nil {
		return made, err
	}
	sealed, err := seal.ForPhrase(plain, phrase)
	if err != nil {
		return made, err
	}
	made.Answers = filepath.Join(folder, answersFile)
	return made, files.Create(made.Answers, []byte(sealed))
}

func madeText(d *desk, made madeJSON, set exercise.Set) string {
	var b strings.Builder
	noun := "exercises"
	if len(made.Files) == 1 {
		noun = "exercise"
	}
	families := fmt.Sprintf("%d families of one symptom each", made.Families)
	switch made.Families {
	case 0:
		families = "no two with one symptom"
	case 1:
		families = "one family of one symptom"
	}
	b.WriteString(d.page.Paragraph(fmt.Sprintf("%d %s of level %d written into %s; %s.", len(made.Files), noun, made.Level, made.Folder, families)))
	if made.Short != "" {
		b.WriteString(d.page.Paragraph("Fewer than asked for: " + made.Short + "."))
	}
	if made.Answers == "" {
		b.WriteString(d.page.Paragraph("No key was written, for there was no pass phrase (--phrase-file)."))
	} else {
		b.WriteString(d.page.Paragraph(fmt.Sprintf("The key is %s; `ohmtrail exercise key %s` shows it. Do not hand it out.", made.Answers, made.Folder)))
	}
	return b.String()
}

// foundBar is a bar of exercises found on a terminal, and nothing in a pipe.
func (d *desk) foundBar(count int) *progressbar.ProgressBar {
	if !isTerminal(d.err) {
		return progressbar.DefaultSilent(int64(count))
	}
	return progressbar.NewOptions(count, progressbar.OptionSetWriter(d.err), progressbar.OptionSetDescription("0 machines tried, found"),
		progressbar.OptionSetWidth(30), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish())
}
