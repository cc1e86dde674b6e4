package main

import (
	"github.com/spf13/cobra"
)

func nextCommand(d *desk) *cobra.Command {
	var (
		top    int
		asJSON bool
	)
	c := &cobra.Command{
		Use:   "next JOB",
		Short: "Say which reading to take next, and what each outcome would mean",
		Long: `next lists the readings worth taking, the one first that is expected to tell most about the place at
fault for each minute of work: reaching a place that no reading has touched yet, unplugging, leads and
the reading itself all count. With each stands what its outcomes would mean.

It says so when nothing more need be measured: when a place is proven, when trying a repair costs
less than measuring on, or when nothing that can be reached tells the rest apart.`,
		Example: `  ohmtrail next mast-height.job.toml
  ohmtrail next mast-height.job.toml --top 1 --json`,
		Args:              filesWanted(1, 1, "one job file"),
		ValidArgsFunction: completeFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if top < 1 {
				return usageError{"--top wants a number of readings, 1 or more"}
			}
			if asJSON && !c.Flags().Changed("top") {
				return d.next(args[0], 0, true)
			}
			return d.next(args[0], top, asJSON)
		},
	}
	c.Flags().IntVar(&top, "top", 3, "at most `N` readings (the JSON has all unless this is given)")
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	return c
}

// next prints what to do next; top 0 stands for all readings worth taking.
func (d *desk) next(file string, top int, asJSON bool) error {
	j, err := d.job(file, "next")
	if err != nil {
		return err
	}
	v := d.planned(j)
	if asJSON {
		return d.json(v.JSON(top))
	}
	return d.text(v.Text(d.page, top))
}
