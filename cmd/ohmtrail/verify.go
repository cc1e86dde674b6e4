package main

import (
	"github.com/spf13/cobra"

	"ohmtrail/cmd/internal/report"
)

func verifyCommand(d *desk) *cobra.Command {
	asJSON := false
	c := &cobra.Command{
		Use:   "verify JOB",
		Short: "Hold the readings after a repair against a healthy machine",
		Long: `verify looks at the [[verification]] readings of a job, which were taken after the repair: each passes
or fails against what a healthy machine shows. It says whether any of them would have shown the fault
if it were still there, for a reading that could not have shown it confirms nothing.

It proposes the shortest set of readings that would catch a repair gone wrong: the fault still there, a
poor joint, ways changed over, a neighbour disturbed; with the chance that each would be seen. The exit
status is 0 whether or not the repair held.`,
		Example: `  ohmtrail verify mast-height-repaired.job.toml
  ohmtrail verify mast-height-repaired.job.toml --json`,
		Args:              filesWanted(1, 1, "one job file"),
		ValidArgsFunction: completeFiles,
		RunE: func(c *cobra.Command, args []string) error {
			j, err := d.job(args[0], "verify")
			if err != nil {
				return err
			}
			v := report.Verify(j, d.ranked(j))
			if asJSON {
				return d.json(v.JSON())
			}
			return d.text(v.Text(d.page))
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	return c
}
