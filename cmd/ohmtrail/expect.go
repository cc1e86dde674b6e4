package main

import (
	"bufio"
	"fmt"
	"slices"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/evidence"
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
  device MHS: reads wrong        module MCU:A2 pull-up lost        open C7:3 + open C7:1

--fault all goes through every single fault that the circuit allows, each printed as it is reckoned:
healthy first, then the wires and the contacts in the file's order and the studs, each with its open,
high resistance and shorts; then what lies side by side; then what can be wrong inside parts and modules.`,
		Example: `  ohmtrail expect mast-height.job.toml --fault "open C7:3"
  ohmtrail expect mast-height.job.toml --fault "high-resistance C7:1 330" --fault "open MHS:1" --json
  ohmtrail expect mast-height.job.toml --fault all`,
		Args:              filesWanted(1, 1, "one job file"),
		ValidArgsFunction: completeFiles,
		RunE:              func(c *cobra.Command, args []string) error { return d.expect(args[0], names, asJSON) },
	}
	c.Flags().StringArrayVar(&names, "fault", nil, "a `NAME` of a fault, or all; again for more")
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON")
	mustComplete(c, "fault", completeFaults)
	return c
}

func (d *desk) expect(file string, names []string, asJSON bool) error {
	j, err := d.job(file, "expect")
	if err != nil {
		return err
	}
	if slices.Contains(names, everyFault) {
		if len(names) > 1 {
			return usageError{"--fault all has every single fault already; name it alone"}
		}
		return d.expectAll(j, asJSON)
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
	done := d.waiting("reckoning what each reading shows")
	e := view.Expect(j, faults)
	done()
	if asJSON {
		return d.json(e.JSON())
	}
	return d.text(e.Text(d.page))
}

// everyFault is the name that stands for all single faults.
const everyFault = "all"

// expectAll goes through every single fault that the circuit allows; nothing is kept of one when the next is printed.
func (d *desk) expectAll(j *circuits.Job, asJSON bool) error {
	var faults []circuits.Single
	var names []string
	for _, h := range hypothesis.Hypotheses(j.Circuit, hypothesis.DefaultWeights(), nil) {
		if h.Fault.Kind != circuits.Unlisted {
			faults, names = append(faults, h.Fault), append(names, h.Fault.String())
		}
	}
	out := bufio.NewWriter(d.out)
	bar := progressbar.DefaultSilent(int64(len(faults)))
	if !isTerminal(d.out) { // else the answer itself shows how far it is
		bar = d.progress("faults", len(faults))
	}
	defer bar.Finish()
	var every *view.EveryFault
	write := func(f int, cells []evidence.Expectation) error {
		bar.Set(f + 1)
		if !asJSON {
			if every == nil {
				every = view.NewEveryFault(j, cells, names)
				out.WriteString(every.Head(d.page)) // errors stay in the writer
			}
			_, err := out.WriteString(every.Fault(names[f], cells))
			return err
		}
		if every == nil {
			every = view.NewEveryFault(j, cells, names)
			head, err := every.HeadJSON()
			if err != nil {
				return err
			}
			out.Write(head)
		}
		line, err := every.FaultJSON(f, names[f], cells)
		if err != nil {
			return err
		}
		_, err = out.Write(line)
		return err
	}
	if err := evidence.NewExpecter(j).All(j.Readings, faults, write); err != nil {
		return err
	}
	if asJSON {
		out.Write(every.FootJSON())
	}
	return out.Flush()
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
