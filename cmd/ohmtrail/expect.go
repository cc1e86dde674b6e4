package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
)

func expectCommand(d *desk) *cobra.Command {
	var (
		names  []string
		asJSON bool
	)
	c := &cobra.Command{
		Use:   "expect JOB",
		Short: "Say what each reading of a job shows, healthy and with a fault",
		Long: `expect works out what every reading of a job shows, planned or taken: with nothing wrong, and under
each fault asked for. The range holds all tolerances, unknown settings and, for a fault without
ohms, every resistance.

A fault is named as in the answer of rank:
  open C7:3                      high-resistance MCU:A1>S1 4k7     short-to-ground C7:2
  short-to-voltage C7:2          short-between C7:1 C7:2           swapped C7:1 C7:2
  device MHS: reads wrong        module MCU:A2 pull-up lost        open C7:3 + open C7:1`,
		Example: `  ohmtrail expect mast-height.job.toml --fault "open C7:3"
  ohmtrail expect mast-height.job.toml --fault "high-resistance C7:1 330" --fault "open MHS:1" --json`,
		Args:              filesWanted(1, 1, "one job file"),
		ValidArgsFunction: completeFiles,
		RunE:              func(c *cobra.Command, args []string) error { return d.expect(args[0], names, asJSON) },
	}
	c.Flags().StringArrayVar(&names, "fault", nil, "a `NAME` of a fault; again for more")
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	mustComplete(c, "fault", completeFaults)
	return c
}

func (d *desk) expect(file string, names []string, asJSON bool) error {
	j, err := d.job(file, "expect")
	if err != nil {
		return err
	}
	faults, err := d.faults(j, names)
	if err != nil {
		return err
	}
	if healthy := (view.Asked{Name: "healthy"}); len(faults) == 0 {
		faults = []view.Asked{healthy}
	} else if !asJSON && !hasHealthy(faults) {
		faults = append([]view.Asked{healthy}, faults...) // to compare with
	}
	e := view.Expect(j, faults)
	if asJSON {
		return d.json(e.JSON())
	}
	return d.text(e.Text(d.page))
}

func hasHealthy(faults []view.Asked) bool {
	for _, f := range faults {
		if f.Fault == (circuits.Fault{}) {
			return true
		}
	}
	return false
}

// faults resolves fault names on a job's circuit; each that is wrong is printed.
func (d *desk) faults(j *circuits.Job, names []string) ([]view.Asked, error) {
	var out []view.Asked
	wrong := false
	for _, name := range names {
		f, err := hypothesis.CheckFault(j, name)
		if err != nil {
			fmt.Fprintln(d.err, err)
			wrong = true
			continue
		}
		out = append(out, view.Asked{Name: name, Fault: f})
	}
	if wrong {
		return nil, errSaid
	}
	return out, nil
}
