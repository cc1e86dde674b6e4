package main

import (
	_ "embed"

	"github.com/spf13/cobra"
)

//go:embed format.md
var formatPage string

func formatCommand(d *desk) *cobra.Command {
	return &cobra.Command{
		Use:     "format",
		Short:   "Show how circuit and job files are written",
		Long:    "format shows the page on circuit files, job files, names of faults and the JSON of answers.",
		Example: "  ohmtrail format | less",
		Args:    filesWanted(0, 0, "nothing"),
		RunE:    func(c *cobra.Command, args []string) error { return d.text(formatPage) },
	}
}
