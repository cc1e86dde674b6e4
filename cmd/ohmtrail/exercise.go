package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"ohmtrail/cmd/internal/files"
)

func exerciseCommand(d *desk) *cobra.Command {
	c := &cobra.Command{
		Use:   "exercise COMMAND",
		Short: "Machines with hidden faults to learn on: make, play, mark",
		Long: `exercise makes machines with hidden faults out of any circuit, lets a student look for them on a virtual
machine that answers as the real one would, and marks the way, not only the answer.`,
		Example: `  ohmtrail exercise make library:throttle-potentiometer --level 2 --count 12 -o class
  ohmtrail exercise play class/07.exercise.toml --student Kim
  ohmtrail exercise mark class --csv marks.csv`,
		Args: cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usageError{"say what to do: make, play, mark, key or sheet"}
			}
			return noCommand(c, args)
		},
	}
	c.AddCommand(exerciseMakeCommand(d), exercisePlayCommand(d), exerciseMarkCommand(d), exerciseKeyCommand(d), exerciseSheetCommand(d))
	return c
}

// answersFile is the key of a folder of exercises, sealed with the trainer's pass phrase.
const answersFile = "answers.age"

// phrase is a pass phrase from the first line of a file, or typed unseen on a terminal. It is "" where neither is at
// hand. twice asks for it again, so that a slip does not lock the trainer out.
func (d *desk) phrase(file string, twice bool) (string, error) {
	if file != "" {
		text, err := files.Read(file, d.in)
		if err != nil {
			return "", err
		}
		line, _, _ := strings.Cut(string(text.Body), "\n")
		if line = strings.TrimRight(line, "\r"); line == "" {
			return "", fmt.Errorf("%s: its first line is to be the pass phrase, and it is empty", file)
		}
		return line, nil
	}
	if !d.interactive() {
		return "", nil
	}
	first, err := d.typedUnseen("Pass phrase for the answers (empty for none): ")
	if err != nil || !twice || first == "" {
		return first, err
	}
	again, err := d.typedUnseen("The same again: ")
	if err == nil && again != first {
		err = errors.New("the two pass phrases differ; nothing was written")
	}
	return first, err
}

func (d *desk) typedUnseen(ask string) (string, error) {
	in, ok := d.in.(*os.File)
	if !ok {
		return "", nil
	}
	fmt.Fprint(d.err, ask)
	typed, err := term.ReadPassword(int(in.Fd()))
	fmt.Fprintln(d.err)
	return string(typed), err
}

// inFolder are the files of a folder whose names have an ending, in order.
func inFolder(folder, ending string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("%s: there is no such folder, or you may not read it", folder)
	}
	var out []string
	for _, e := range entries {
		if !e.IsDir() && strings.HasSuffix(e.Name(), ending) {
			out = append(out, filepath.Join(folder, e.Name()))
		}
	}
	slices.Sort(out)
	return out, nil
}

func isFolder(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}
