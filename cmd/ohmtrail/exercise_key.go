package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/exercise/seal"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

func exerciseKeyCommand(d *desk) *cobra.Command {
	var (
		phrase string
		asJSON bool
	)
	c := &cobra.Command{
		Use:   "key FOLDER",
		Short: "Show the answers of a folder of exercises",
		Long: `key opens ` + answersFile + ` with the pass phrase that the exercises were made with: the fault of each, its level
and where that comes from, its family, and the planner's proof on that machine.`,
		Example: `  ohmtrail exercise key class
  ohmtrail exercise key class --phrase-file phrase.txt --json`,
		Args: filesWanted(1, 1, "one folder of exercises"),
		RunE: func(c *cobra.Command, args []string) error { return d.key(args[0], phrase, asJSON) },
	}
	c.Flags().SortFlags = false
	c.Flags().StringVar(&phrase, "phrase-file", "", "a `FILE` whose first line is the pass phrase")
	c.Flags().BoolVar(&asJSON, "json", false, "print the key as JSON, the readings of the proof included")
	return c
}

func (d *desk) key(folder, phraseFile string, asJSON bool) error {
	name := filepath.Join(folder, answersFile)
	text, err := files.Read(name, d.in)
	if err != nil {
		return err
	}
	phrase, err := d.phrase(phraseFile, false)
	if err != nil {
		return err
	}
	if phrase == "" {
		return usageError{"the key wants its pass phrase: --phrase-file FILE"}
	}
	plain, err := seal.OpenPhrase(string(text.Body), phrase)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var key []exercise.HiddenJSON
	if err := json.Unmarshal(plain, &key); err != nil {
		return fmt.Errorf("%s: %w", name, errors.New("this is no key of exercises"))
	}
	if asJSON {
		return d.json(key)
	}
	return d.text(keyText(key))
}

func keyText(key []exercise.HiddenJSON) string {
	rows := [][]string{{"", "family", "level", "points", "readings", "planned", "half-split", "fault"}}
	for _, k := range key {
		fault := k.Fault
		if k.Duty < 1 {
			fault += fmt.Sprintf(" (there %.0f %% of the time)", 100*k.Duty)
		}
		half := view.Minutes(k.HalfSplit.Minutes)
		if !k.HalfSplit.Done {
			half = "over " + half
		}
		rows = append(rows, []string{k.Exercise, k.Family, fmt.Sprint(k.Level), fmt.Sprintf("%.1f", k.Difficulty.Points), fmt.Sprint(k.Difficulty.Readings),
			view.Minutes(k.Plan.Minutes), half, fault})
	}
	return columns(rows)
}

// columns sets rows of cells under one another; the first row is their head.
func columns(rows [][]string) string {
	wide := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, cell := range r {
			wide[i] = max(wide[i], len([]rune(cell)))
		}
	}
	var b strings.Builder
	for _, r := range rows {
		line := ""
		for i, cell := range r {
			line += view.Pad(cell, wide[i]) + "  "
		}
		b.WriteString(strings.TrimRight(strings.ReplaceAll(line, "\u00a0", " "), " ") + "\n")
	}
	return b.String()
}
