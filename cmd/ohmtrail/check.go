package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

func checkCommand(d *desk) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "check FILE…",
		Short: "Find every problem of a circuit or job file, and say what was understood",
		Long: `check reads circuit and job files. Every error and warning is printed with its file and line, all
at once; then follows what was understood, so that a slip of the pen meets the eye. The exit status
is 1 where a file has errors.`,
		Example: `  ohmtrail check mast-height.job.toml
  ohmtrail check *.circuit.toml
  ohmtrail check library:coolant-temperature`,
		Args:              filesWanted(1, -1, "a circuit or job file"),
		ValidArgsFunction: completeFiles,
		RunE:              func(c *cobra.Command, args []string) error { return d.check(args, asJSON) },
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print what was found as JSON")
	return c
}

func (d *desk) check(names []string, asJSON bool) error {
	var all []view.Checked
	failed := false
	said := map[circuits.Problem]bool{} // a circuit that several jobs name has its problems once
	for _, name := range names {
		text, err := files.Read(name, d.in)
		if err != nil {
			fmt.Fprintln(d.err, err)
			failed = true
			continue
		}
		checked := checkText(text)
		for _, p := range checked.Problems {
			if !said[p] {
				said[p] = true
				fmt.Fprintln(d.err, p.Error())
			}
		}
		failed = failed || len(checked.Problems.Errors()) > 0
		all = append(all, checked)
	}
	if err := d.checked(all, asJSON); err != nil {
		return err
	}
	if failed {
		return errSaid
	}
	return nil
}

func checkText(text files.Text) view.Checked {
	out := view.Checked{File: text.Name, Kind: string(text.KindOf())}
	if text.KindOf() == files.Job {
		out.Job, out.Problems = text.Job()
		if out.Job != nil {
			out.Circuit = out.Job.Circuit
			out.Problems = append(out.Problems, view.Unsafe(out.Job)...)
		}
		return out
	}
	out.Circuit, out.Problems = text.Circuit()
	return out
}

func (d *desk) checked(all []view.Checked, asJSON bool) error {
	if asJSON {
		list := []view.CheckedJSON{}
		for _, c := range all {
			list = append(list, c.JSON())
		}
		return d.json(map[string]any{"files": list})
	}
	for i, c := range all {
		if i > 0 {
			fmt.Fprintln(d.out)
		}
		if err := d.text(c.Text(d.page)); err != nil {
			return err
		}
	}
	return nil
}
