package main

import (
	"bytes"
	"fmt"

	"github.com/spf13/cobra"

	"ohmtrail/cmd/internal/draft"
	"ohmtrail/cmd/internal/files"
)

func newCommand(d *desk) *cobra.Command {
	var (
		out   string
		also  []string
		usual bool
		ask   bool
	)
	answers := map[string]*string{}
	c := &cobra.Command{
		Use:   "new",
		Short: "Write a first circuit file from a few answers",
		Long: `new asks what part it is, which module pins it goes to, through which connectors and splices, in which
colours, and writes a circuit file. Every question has a usual answer that an empty line takes. What is
answered by a flag is not asked; in a pipe nothing is asked unless --ask is given.`,
		Example: `  ohmtrail new -o oil-temperature.circuit.toml
  ohmtrail new --part thermistor --name MOT --pins A1,A2 --through C7,S2 -o oil.circuit.toml
  ohmtrail new --part pressure --also "part=thermistor name=MOT pins=A4,A3"`,
		Args: filesWanted(0, 0, "the file to write with -o"),
		RunE: func(c *cobra.Command, args []string) error {
			o := draft.Options{Answers: map[string]string{}, Also: also, File: out, Again: d.interactive()}
			for name, value := range answers {
				if c.Flags().Changed(name) {
					o.Answers[name] = *value
				}
			}
			o.Ask = ask || d.interactive() && !usual
			return d.draft(out, o)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().StringVarP(&out, "output", "o", "", "the circuit `FILE` to write, never over one that is there (else standard output)")
	c.Flags().BoolVar(&usual, "usual", false, "ask nothing: what no flag answers takes its usual answer")
	c.Flags().BoolVar(&ask, "ask", false, "read answers line by line from a pipe too")
	for _, q := range draft.Questions() {
		answers[q.Name] = c.Flags().String(q.Name, "", q.Usage)
	}
	c.Flags().StringArrayVar(&also, "also", nil, "a further part on the same module, as \"NAME=ANSWER …\" with the names of these flags")
	return c
}

// draft asks and writes; nothing is written where an answer is no good.
func (d *desk) draft(out string, o draft.Options) error {
	toFile := out != "" && out != files.Stdin
	if toFile {
		if err := files.Free(out); err != nil { // said before the questions, not after them
			return err
		}
	}
	var text bytes.Buffer
	problems, err := draft.New(d.in, d.err, &text, o)
	if err != nil {
		return err
	}
	for _, p := range problems {
		fmt.Fprintln(d.err, p.Error())
	}
	if !toFile {
		return d.text(text.String())
	}
	if err := files.Create(out, text.Bytes()); err != nil {
		return err
	}
	return d.text("wrote " + out + "\n")
}
