package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"ohmtrail/circuits/read"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/report"
)

// reporting is what the flags of `report` ask for.
type reporting struct {
	out, paper, rules, date string
	short, printRules       bool
}

func reportCommand(d *desk) *cobra.Command {
	var o reporting
	c := &cobra.Command{
		Use:   "report JOB -o FILE",
		Short: "Write a job up: concern, cause, correction, verification",
		Long: `report writes one file that a workshop files, a customer understands and an engineer can check number
by number: the complaint, the finding in plain words and in the trade's, the circuit with the suspect,
the readings in order with what was expected, what each ruled out, how sure that is, the repair, and
the readings after it. The end of the file's name says what it is: .html, .pdf or .md.

What the job does not say ([writeup], [repair] and [[verification]], see ` + "`ohmtrail format`" + `) is asked
for. A job that is not proven says so in the first lines; so does a repair that was not verified.

--short prints the story in 500 letters or fewer, to paste into another form. Rules for repairs are
data: --print-rules prints those in use, --rules takes a file of your own.`,
		Example: `  ohmtrail report mast-height.job.toml -o mast-height.pdf --paper letter
  ohmtrail report mast-height.job.toml --short
  ohmtrail report --print-rules`,
		ValidArgsFunction: completeFiles,
		Args: func(c *cobra.Command, args []string) error {
			if o.printRules && len(args) == 0 {
				return nil
			}
			return filesWanted(1, 1, "one job file")(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if o.printRules {
				return d.text(report.RulesText())
			}
			return d.writeReport(args[0], o)
		},
	}
	c.Flags().StringVarP(&o.out, "output", "o", "", "the report to write, `FILE`.html, .pdf or .md; - for Markdown on standard output")
	c.Flags().StringVar(&o.paper, "paper", "a4", "the `SIZE` of a PDF's paper, a4 or letter")
	c.Flags().BoolVar(&o.short, "short", false, "print the short form")
	c.Flags().StringVar(&o.rules, "rules", "", "rules for repairs from `FILE`")
	c.Flags().BoolVar(&o.printRules, "print-rules", false, "print the rules for repairs that come with the program")
	c.Flags().StringVar(&o.date, "date", "", "the `DATE` of a job that names none, such as 2026-11-25, or today")
	mustComplete(c, "paper", cobra.FixedCompletions([]string{"a4", "letter"}, cobra.ShellCompDirectiveNoFileComp))
	mustComplete(c, "date", cobra.FixedCompletions([]string{"today"}, cobra.ShellCompDirectiveNoFileComp))
	return c
}

// settled are the flags once they have been looked at: how to render, and with what.
func (o reporting) settled() (render func(report.Report) ([]byte, error), options report.Options, err error) {
	size, ok := paper.SizeNamed(strings.ToLower(o.paper))
	if !ok {
		return nil, options, usageError{fmt.Sprintf("there is no paper %q; --paper takes a4 or letter", o.paper)}
	}
	switch options.Date = o.date; {
	case o.date == "today":
		options.Date = time.Now().Format(time.DateOnly)
	case o.date != "" && !read.IsDate(o.date):
		return nil, options, usageError{fmt.Sprintf("%q is no date; write it as 2026-11-25, or today", o.date)}
	}
	switch kind := strings.ToLower(filepath.Ext(o.out)); {
	case o.out == "" && o.short:
	case o.out == "":
		return nil, options, usageError{"name the report with -o, or ask for --short"}
	case o.out == files.Stdin || kind == ".md":
		render = func(r report.Report) ([]byte, error) { return r.Markdown(), nil }
	case kind == ".html":
		render = report.Report.HTML
	case kind == ".pdf":
		render = func(r report.Report) ([]byte, error) { return r.PDF(size) }
	default:
		return nil, options, usageError{fmt.Sprintf("%q is no report that can be written: its name must end in .html, .pdf or .md", o.out)}
	}
	return render, options, nil
}

func (d *desk) writeReport(file string, o reporting) error {
	render, options, err := o.settled()
	if err != nil {
		return err
	}
	if o.rules != "" {
		text, err := files.Read(o.rules, d.in)
		if err != nil {
			return err
		}
		if options.Rules, err = report.ParseRules(text.Name, text.Body); err != nil {
			return err
		}
	}
	j, err := d.job(file, "report")
	if err != nil {
		return err
	}
	ranking := d.ranked(j)
	done := d.waiting("writing it up")
	defer done()
	r := report.New(j, ranking, options)
	if render != nil {
		body, err := render(r)
		done()
		if err != nil {
			return fmt.Errorf("%s: cannot be written up: %w", file, err)
		}
		if o.out == files.Stdin {
			if _, err := d.out.Write(body); err != nil {
				return err
			}
		} else if err := files.Replace(o.out, body); err != nil {
			return err
		} else if err := d.text("wrote " + o.out + "\n"); err != nil {
			return err
		}
	}
	done()
	if o.short {
		return d.text(r.Short() + "\n")
	}
	return nil
}
