package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/rank"
)

// leadingFaults is what --why without a fault asks for.
const leadingFaults = "leading"

func rankCommand(d *desk) *cobra.Command {
	var (
		why    []string
		top    int
		asJSON bool
	)
	c := &cobra.Command{
		Use:   "rank JOB [--why [FAULT]]…",
		Short: "Weigh every fault against the readings taken so far",
		Long: `rank lists the faults that the readings leave, likeliest first. Faults that no reading so far
tells apart stand in one group under one probability; all probabilities sum to 1.

--why sets each reading beside what the leading faults predict, says which readings speak
against a fault, and which readings nothing explains. With a fault it accounts for that one too.`,
		Example: `  ohmtrail rank mast-height.job.toml
  ohmtrail rank mast-height.job.toml --why "open MHS:1"
  ohmtrail rank mast-height.job.toml --json`,
		ValidArgsFunction: completeFiles,
		Args: func(c *cobra.Command, args []string) error {
			if !c.Flags().Changed("why") {
				return filesWanted(1, 1, "one job file")(c, args)
			}
			return filesWanted(1, -1, "one job file")(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if top < 1 {
				return usageError{"--top wants a number of groups, 1 or more"}
			}
			file, faults := jobAndFaults(args)
			if file == "" {
				return usageError{"name one job file"}
			}
			return d.rank(file, whyOf(c, why, faults), top, asJSON)
		},
	}
	c.Flags().StringArrayVar(&why, "why", nil, "account for the leading faults, and for `FAULT`; again for more")
	c.Flags().Lookup("why").NoOptDefVal = leadingFaults
	c.Flags().IntVar(&top, "top", 4, "at most `N` groups in the text (the JSON has all)")
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	mustComplete(c, "why", completeFaults)
	return c
}

// question is what --why asks for.
type question struct {
	asked bool
	names []string
}

// jobAndFaults parts the arguments: a fault that follows `--why ` comes as an argument of its own. The job is the one
// that looks like a file, else the first that is no fault; "" where there is none.
func jobAndFaults(args []string) (file string, faults []string) {
	at := slices.IndexFunc(args, func(a string) bool { return strings.HasSuffix(a, ".toml") || a == files.Stdin })
	if at < 0 {
		at = slices.IndexFunc(args, func(a string) bool { _, err := circuits.ParseFault(a); return err != nil })
	}
	if at < 0 {
		return "", args
	}
	return args[at], slices.Concat(args[:at], args[at+1:])
}

func whyOf(c *cobra.Command, flags, arguments []string) question {
	q := question{asked: c.Flags().Changed("why")}
	for _, name := range append(flags, arguments...) {
		if name != leadingFaults {
			q.names = append(q.names, name)
		}
	}
	return q
}

func (d *desk) rank(file string, why question, top int, asJSON bool) error {
	j, err := d.job(file, "rank")
	if err != nil {
		return err
	}
	faults, err := d.faults(j, why.names)
	if err != nil {
		return err
	}
	r := d.ranked(j)
	v := view.Ranked{Ranking: r}
	if why.asked {
		if v.Why, err = account(r, faults); err != nil {
			return err
		}
	}
	if asJSON {
		return d.json(v.JSON())
	}
	return d.text(v.Text(d.page, top))
}

// account are the leading faults, then those asked for that are not among them.
func account(r rank.Ranking, asked []view.Asked) ([]rank.Candidate, error) {
	out := view.Leading(r)
	there := map[string]bool{}
	for _, c := range out {
		there[c.Name()] = true
	}
	for _, f := range asked {
		c, ok := r.Find(f.Fault)
		if !ok {
			return nil, fmt.Errorf("fault %q: not among those weighed here; `ohmtrail expect` says what it predicts", f.Name)
		}
		if !there[c.Name()] {
			there[c.Name()] = true
			out = append(out, c)
		}
	}
	return out, nil
}
