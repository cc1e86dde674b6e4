package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

func learnedCommand(d *desk) *cobra.Command {
	var write, asJSON bool
	c := &cobra.Command{
		Use:   "learned JOB [--write]",
		Short: "Say what the readings tell of this machine's own numbers, and write it into its circuit",
		Long: `learned lists what the readings of a job tell of modules, sensors and battery: what no wiring diagram
prints, and what a reading now says to less than half of its width. Readings with sound = true, taken on a
machine of the same kind that works, tell it best.

--write puts the numbers of modules and parts into the job's circuit file as ranges, [low, high], over what
stands there; all else in the file stays as it is. The battery is today's, and belongs into the job.`,
		Example: `  ohmtrail learned mast-height.job.toml
  ohmtrail learned mast-height.job.toml --write`,
		Args:              filesWanted(1, 1, "one job file"),
		ValidArgsFunction: completeFiles,
		RunE: func(c *cobra.Command, args []string) error {
			return d.learned(args[0], write, asJSON)
		},
	}
	c.Flags().BoolVar(&write, "write", false, "write the numbers into the circuit file")
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	return c
}

func (d *desk) learned(file string, write, asJSON bool) error {
	j, err := d.job(file, "learned")
	if err != nil {
		return err
	}
	r := rank.Rank(j)
	written := ""
	if write {
		if written, err = writeLearned(file, j, &r); err != nil {
			return err
		}
	}
	if asJSON {
		return d.json(view.LearnedAnswer(&r, written))
	}
	return d.text(view.LearnedPage(d.page, &r, written))
}

// writeLearned writes the numbers of modules and parts into the job's circuit file, and gives its name; "" where there are none.
func writeLearned(file string, j *circuits.Job, r *rank.Ranking) (string, error) {
	switch {
	case file == files.Stdin:
		return "", errors.New("--write wants a job file: beside standard input there is no circuit to write to")
	case library.Holds(j.CircuitName):
		return "", fmt.Errorf("%s: the circuit comes with ohmtrail and stays as it is: make a copy with `ohmtrail library copy %s FILE` and name that in the job", file,
			strings.TrimPrefix(j.CircuitName, "library:"))
	case view.FitIsPoor(r):
		return "", fmt.Errorf("%s: not written, for the circuit as it is does not fit these readings: hold the file against the machine first (`ohmtrail rank %s` says more)", file, file)
	}
	var numbers []files.Number
	for _, l := range r.Learned {
		if n, ok := numberOf(j.Circuit, l); ok {
			numbers = append(numbers, n)
		}
	}
	if len(numbers) == 0 {
		return "", nil
	}
	path := filepath.FromSlash(j.CircuitName)
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(file), path)
	}
	return path, files.SetNumbers(path, numbers, func(body []byte) error {
		_, problems := files.Text{Name: path, Path: path, Body: body}.Circuit()
		if errs := problems.Errors(); len(errs) > 0 {
			return fmt.Errorf("not written: %w", errs)
		}
		return nil
	})
}

// numberOf is where a number that was learned stands in a circuit file; ok is false for the battery, which is today's.
func numberOf(c *circuits.Circuit, l evidence.Learned) (n files.Number, ok bool) {
	p := l.Parameter
	switch at := p.Place; {
	case at == circuits.BPositive:
		return n, false
	case c.Module(at.Place) != nil && at.Cavity != "":
		n.Table = []string{"module", at.Place, "pins", at.Cavity}
	case c.Module(at.Place) != nil:
		n.Table = []string{"module", at.Place}
	default:
		n.Table = []string{"device", at.Place}
	}
	n.Key, n.Value = p.Key, view.WrittenRange(l.Low, l.High)
	return n, true
}
