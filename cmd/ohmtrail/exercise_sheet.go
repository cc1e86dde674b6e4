package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/worksheet"
)

// sheetFlags are the flags of exercise sheet.
type sheetFlags struct {
	out, key, size string
	withKey        bool
	kinds          []string
	seed           uint64
}

func exerciseSheetCommand(d *desk) *cobra.Command {
	var f sheetFlags
	c := &cobra.Command{
		Use:   "sheet CIRCUIT|EXERCISE…",
		Short: "Write worksheets to fill in by hand, with a key",
		Long: `sheet writes a worksheet on each circuit: its drawing with numbered test points, what is needed to reckon
with, and tasks of up to three kinds:

  predict   before any meter: the voltage at each test point, healthy and under named faults, and why
  explain   which of four faults explains these readings
  next      which of four readings to take next

The end of the name says what is written: .pdf, to be printed and copied (black and white will do), or
.html. --key writes the answers into a file of their own, --with-key puts them on the last pages.
` + worksheet.MeterRule() + `
The key gives what to mark as right, and says from the solver's numbers why each point reads what it does.

Of an exercise the sheet takes the machine as it stands, its complaint and codes; its fault is the one
that the readings of "explain" come from. The same seed writes the same sheet, another one other faults.`,
		Example: `  ohmtrail exercise sheet library:throttle-potentiometer -o throttle.pdf --key throttle-key.pdf
  ohmtrail exercise sheet class/07.exercise.toml --kind explain,next -o friday.pdf --with-key
  ohmtrail exercise sheet library:coolant-temperature library:hall-speed --paper letter --seed 3 -o two.pdf`,
		Args: filesWanted(1, -1, "circuits or exercises, such as library:throttle-potentiometer"),
		ValidArgsFunction: func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if library.Holds(typed) {
				return libraryNames(), cobra.ShellCompDirectiveNoFileComp
			}
			return completeFiles(c, args, typed)
		},
		RunE: func(c *cobra.Command, args []string) error {
			w, err := f.writer()
			if err != nil {
				return err
			}
			return d.sheet(args, f, w)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().StringVarP(&f.out, "output", "o", "", "the sheet to write, `FILE`.pdf or .html")
	c.Flags().StringVar(&f.key, "key", "", "write the key into `FILE`.pdf or .html")
	c.Flags().BoolVar(&f.withKey, "with-key", false, "put the key on the last pages")
	c.Flags().StringSliceVar(&f.kinds, "kind", []string{"predict", "explain", "next"}, "the `KINDS` of task")
	c.Flags().StringVar(&f.size, "paper", "a4", "the `SIZE` of a PDF's pages, a4 or letter")
	c.Flags().Uint64Var(&f.seed, "seed", 1, "a `NUMBER` that faults and values are drawn by")
	return c
}

// setting turns a document into the bytes of a file.
type setting func(paper.Document) ([]byte, error)

// sheetWriter is how the sheet and the key are set.
type sheetWriter struct{ sheet, key setting }

// writer checks the flags.
func (f sheetFlags) writer() (w sheetWriter, err error) {
	size, ok := paper.SizeNamed(strings.ToLower(f.size))
	switch {
	case f.out == "":
		return w, usageError{"name the sheet with -o"}
	case !ok:
		return w, usageError{fmt.Sprintf("--paper wants a4 or letter, not %q", f.size)}
	case f.key != "" && filepath.Clean(f.key) == filepath.Clean(f.out):
		return w, usageError{"the sheet and its key are one file; name the key another, or take --with-key"}
	}
	for _, k := range f.kinds {
		if !slices.Contains(worksheet.Kinds(), worksheet.Kind(k)) {
			return w, usageError{fmt.Sprintf("there is no kind %q of task; there are predict, explain and next", k)}
		}
	}
	if w.sheet, err = settingOf(f.out, size); err != nil || f.key == "" {
		return w, err
	}
	w.key, err = settingOf(f.key, size)
	return w, err
}

// settingOf chooses by the end of a file's name.
func settingOf(name string, size paper.Size) (setting, error) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".pdf":
		return func(d paper.Document) ([]byte, error) { return paper.PDF(d, size) }, nil
	case ".html", ".htm":
		return paper.HTML, nil
	}
	return nil, usageError{fmt.Sprintf("%q is no sheet that can be written: its name must end in .pdf or .html", name)}
}

func (d *desk) sheet(names []string, f sheetFlags, w sheetWriter) error {
	var kinds []worksheet.Kind
	for _, k := range worksheet.Kinds() {
		if slices.Contains(f.kinds, string(k)) {
			kinds = append(kinds, k)
		}
	}
	var sheets []worksheet.Sheet
	bar := d.foundBar(len(names))
	bar.Describe("circuits")
	for _, name := range names {
		subject, err := d.subject(name)
		if err != nil {
			return err
		}
		s, err := worksheet.Make(subject, worksheet.Options{Kinds: kinds, Seed: f.seed})
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		bar.Add(1)
		for _, lack := range s.Lacks {
			fmt.Fprintf(d.err, "%s: %s\n", name, lack)
		}
		sheets = append(sheets, s)
	}
	bar.Finish()
	doc := worksheet.Document(sheets)
	if f.withKey {
		doc.Blocks = append(append(doc.Blocks, paper.PageBreak{}), worksheet.KeyBlocks(sheets)...)
	}
	if err := d.write(f.out, doc, w.sheet); err != nil || f.key == "" {
		return err
	}
	return d.write(f.key, worksheet.Key(sheets), w.key)
}

func (d *desk) write(name string, doc paper.Document, set setting) error {
	body, err := set(doc)
	if err != nil {
		return fmt.Errorf("%s: cannot be set: %w", name, err)
	}
	if err := files.Replace(name, body); err != nil {
		return err
	}
	return d.text("wrote " + name + "\n")
}

// subject reads what a sheet is about: a circuit or an exercise.
func (d *desk) subject(name string) (worksheet.Subject, error) {
	text, err := files.Read(name, d.in)
	if err != nil {
		return worksheet.Subject{}, err
	}
	short := strings.TrimSuffix(strings.TrimSuffix(filepath.Base(text.Name), ".toml"), ".circuit")
	if exercise.LooksLikeExercise(text.Name, text.Body) {
		x, err := exercise.Read(text.Name, text.Body)
		if err != nil {
			return worksheet.Subject{}, err
		}
		s := worksheet.Subject{Name: strings.TrimSuffix(short, ".exercise"), Job: x.Job()}
		if x.Hidden.Duty >= 1 {
			s.Truth = x.Hidden.Fault
		}
		return s, nil
	}
	if text.KindOf() == files.Job {
		return worksheet.Subject{}, fmt.Errorf("%s: %w", text.Name, errors.New("this is a job; exercise sheet wants a circuit or an exercise"))
	}
	c, problems := text.Circuit()
	if err := d.usable(c != nil, text.Name, problems); err != nil {
		return worksheet.Subject{}, err
	}
	return worksheet.Subject{Name: strings.TrimPrefix(short, "library:"), Job: &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}}, nil
}
