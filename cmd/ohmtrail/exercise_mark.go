package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/marking"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

// markFlags are the flags of exercise mark.
type markFlags struct {
	points, overrides, csv string
	show, asJSON           bool
}

func exerciseMarkCommand(d *desk) *cobra.Command {
	var f markFlags
	c := &cobra.Command{
		Use:   "mark PLAY…|FOLDER",
		Short: "Mark plays: the way, not only the answer",
		Long: `mark marks plays that have ended with a finding. Each part of the marks says the numbers it comes from, and
what is said of a reading is reckoned from what the student's own readings had shown by then. A folder
stands for all plays in it. A play is done again on its machine; where a reply in the file is not what
the machine answers, that is said.

The table of points may be edited (--show-points writes it, --points takes yours). A file of overrides
gives a trainer's word on single plays:

  [[override]]
  student  = "Kim"
  exercise = "07"
  set      = { proof = 10 }      # points of a part by its name in the table
  total    = 80                  # or the whole
  note     = "proved it aloud"`,
		Example: `  ohmtrail exercise mark class/07.kim.play.json
  ohmtrail exercise mark class --csv marks.csv
  ohmtrail exercise mark class --points mine.toml --overrides word.toml --csv marks.csv
  ohmtrail exercise mark --show-points > mine.toml`,
		Args: func(c *cobra.Command, args []string) error {
			if f.show {
				return nil
			}
			return filesWanted(1, -1, "plays, or a folder of them")(c, args)
		},
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return []string{"json"}, cobra.ShellCompDirectiveFilterFileExt
		},
		RunE: func(c *cobra.Command, args []string) error {
			if f.show {
				return d.text(marking.PointsText())
			}
			return d.mark(args, f)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().StringVar(&f.points, "points", "", "a `FILE` with a table of points of your own")
	c.Flags().StringVar(&f.overrides, "overrides", "", "a `FILE` with your word on single plays")
	c.Flags().StringVar(&f.csv, "csv", "", "write the marks as a table into `FILE`")
	c.Flags().BoolVar(&f.show, "show-points", false, "write the table of points in use, and end")
	c.Flags().BoolVar(&f.asJSON, "json", false, "print the marks as JSON")
	return c
}

func (d *desk) mark(names []string, f markFlags) error {
	points, overrides, err := d.markTables(f)
	if err != nil {
		return err
	}
	plays, err := playFiles(names)
	if err != nil {
		return err
	}
	judge := marking.NewJudge()
	var all []marking.Marks
	bad := false
	bar := d.foundBar(len(plays))
	bar.Describe("plays")
	for _, name := range plays {
		m, err := d.markOne(judge, name, points)
		bar.Add(1)
		if err != nil {
			bad = true
			fmt.Fprintln(d.err, err)
			continue
		}
		m.Apply(overrides)
		all = append(all, m)
	}
	bar.Finish()
	if f.csv != "" {
		body, err := marking.CSV(all)
		if err == nil {
			err = files.Replace(f.csv, body)
		}
		if err != nil {
			return err
		}
	}
	if err := d.showMarks(all, f); err != nil {
		return err
	}
	if bad {
		return errSaid
	}
	return nil
}

func (d *desk) markTables(f markFlags) (marking.Points, []marking.Override, error) {
	points := marking.DefaultPoints()
	if f.points != "" {
		text, err := files.Read(f.points, d.in)
		if err != nil {
			return points, nil, err
		}
		if points, err = marking.ReadPoints(f.points, text.Body); err != nil {
			return points, nil, err
		}
	}
	if f.overrides == "" {
		return points, nil, nil
	}
	text, err := files.Read(f.overrides, d.in)
	if err != nil {
		return points, nil, err
	}
	overrides, err := marking.ReadOverrides(f.overrides, text.Body)
	return points, overrides, err
}

// playFiles are the plays that a command line means.
func playFiles(names []string) ([]string, error) {
	var out []string
	for _, name := range names {
		if !isFolder(name) {
			out = append(out, name)
			continue
		}
		there, err := inFolder(name, exercise.PlayEnding)
		if err != nil {
			return nil, err
		}
		if len(there) == 0 {
			return nil, fmt.Errorf("%s: there are no plays in it (files that end in %s)", name, exercise.PlayEnding)
		}
		out = append(out, there...)
	}
	return out, nil
}

func (d *desk) markOne(judge *marking.Judge, name string, points marking.Points) (marking.Marks, error) {
	text, err := files.Read(name, d.in)
	if err != nil {
		return marking.Marks{}, err
	}
	if exercise.LooksLikeExercise(name, text.Body) {
		return marking.Marks{}, fmt.Errorf("%s: this is an exercise; mark wants plays, which `exercise play` writes", name)
	}
	p, _, err := exercise.Resume(text.Name, text.Body)
	if err != nil {
		return marking.Marks{}, err
	}
	m, err := judge.Mark(p, points)
	if errors.Is(err, marking.ErrOpen) {
		return m, fmt.Errorf("%s: %w", name, err)
	}
	return m, err
}

func (d *desk) showMarks(all []marking.Marks, f markFlags) error {
	switch {
	case f.asJSON:
		out := []marking.MarksJSON{}
		for _, m := range all {
			out = append(out, m.JSON())
		}
		return d.json(out)
	case len(all) == 1 && f.csv == "":
		return d.text(all[0].Text(d.page))
	case len(all) == 0:
		return nil
	}
	rows := [][]string{{"student", "exercise", "points", "place", "readings", "told nothing", "minutes", "planned", "found"}}
	for _, m := range all {
		rows = append(rows, []string{m.Student, m.Exercise, fmt.Sprintf("%.0f of %.0f", m.Total, m.Most), fmt.Sprintf("%.0f", m.Parts[0].Points), fmt.Sprint(m.Readings),
			fmt.Sprint(m.Nothing), view.Minutes(m.Minutes), view.Minutes(m.Plan.Minutes), m.Found})
	}
	out := columns(rows)
	if f.csv != "" {
		out += "wrote " + f.csv + "\n"
	}
	return d.text(strings.TrimLeft(out, "\n"))
}
