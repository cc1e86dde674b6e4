package main

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/wirelist"
)

func importCommand(d *desk) *cobra.Command {
	var (
		o              wirelist.ImportOptions
		out, separator string
		columns        []string
	)
	c := &cobra.Command{
		Use:   "import LIST",
		Short: "Make a circuit file from a from-to wire list",
		Long: `import reads the wire list that a wiring department exports, one row a wire, and writes a circuit file
to go on from. What a list does not know (what stands behind a pin, what a part is) is guessed, and each
guess says in the file what it was made from. A row that cannot be placed is told with its line; then
the rest is written all the same, and the exit status is 1.`,
		Example: `  ohmtrail import mast-harness.csv -o mast-harness.circuit.toml
  ohmtrail import list.csv --module ECU --column from=Start --column color=Litze`,
		Args: filesWanted(1, 1, "one wire list"),
		RunE: func(c *cobra.Command, args []string) (err error) {
			if o.Separator, err = separatorOf(separator); err != nil {
				return err
			}
			if o.Columns, err = wirelist.ParseColumns(columns); err != nil {
				return usageError{"--column " + err.Error()}
			}
			return d.importList(args[0], out, o)
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVarP(&out, "output", "o", "", "the circuit `FILE` to write, never over one that is there (else standard output)")
	f.StringVar(&o.Title, "title", "", "the circuit's `TITLE`")
	f.StringVar(&separator, "separator", "", "what stands between cells: a `CHARACTER`, or tab (found by itself)")
	f.StringArrayVar(&columns, "column", nil, "a column that is not found by itself, `COLUMN=HEADER`, the header's text or number from 1 on")
	for _, kind := range []struct {
		to         *[]string
		flag, what string
	}{{&o.Modules, "module", "a control module"}, {&o.Devices, "device", "a sensor, switch, lamp or other part"},
		{&o.Connectors, "connector", "an in-line connector"}, {&o.Splices, "splice", "a splice"}, {&o.Grounds, "ground", "a ground stud"}} {
		f.StringSliceVar(kind.to, kind.flag, nil, "`NAME` is "+kind.what)
	}
	return c
}

// importList writes what could be placed, and tells what could not.
func (d *desk) importList(name, out string, o wirelist.ImportOptions) error {
	text, err := files.Read(name, d.in)
	if err != nil {
		return err
	}
	o.File = text.Name
	made, err := wirelist.Import(bytes.NewReader(text.Body), o)
	if err != nil {
		return err
	}
	for _, p := range made.Problems {
		fmt.Fprintln(d.err, p.Error())
	}
	if out == "" || out == files.Stdin {
		err = d.text(string(made.Text))
	} else if err = files.Create(out, made.Text); err == nil {
		err = d.text(fmt.Sprintf("wrote %s with %d wires\n", out, made.Wires))
	}
	if err == nil && len(made.Problems.Errors()) > 0 {
		return errSaid
	}
	return err
}

func exportCommand(d *desk) *cobra.Command {
	var (
		o              wirelist.ExportOptions
		out, separator string
		points         bool
	)
	c := &cobra.Command{
		Use:   "export FILE",
		Short: "Write a circuit's wire list, or a bill of its test points",
		Long: `export writes the wire list of a circuit (or of a job's circuit) as CSV, one row a wire, which import
reads back. With --test-points it writes every point that a lead can touch: where it is, how long it
takes to reach, and what it carries.`,
		Example: `  ohmtrail export mast-height.circuit.toml -o mast-height.csv
  ohmtrail export mast-height.circuit.toml --test-points`,
		Args:              filesWanted(1, 1, "one circuit or job file"),
		ValidArgsFunction: completeFiles,
		RunE: func(c *cobra.Command, args []string) (err error) {
			if o.Separator, err = separatorOf(separator); err != nil {
				return err
			}
			write := wirelist.Wires
			if points {
				write = wirelist.TestPoints
			}
			return d.export(args[0], out, func(w io.Writer, c *circuits.Circuit) error { return write(w, c, o) })
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the `FILE` to write (else standard output)")
	c.Flags().BoolVar(&points, "test-points", false, "write the test points in place of the wires")
	c.Flags().StringVar(&separator, "separator", "", "what stands between cells: a `CHARACTER`, or tab (a comma)")
	c.Flags().BoolVar(&o.DecimalComma, "decimal-comma", false, "write 0,5 in place of 0.5, and a semicolon between cells")
	return c
}

// separatorOf reads a --separator flag; 0 for none.
func separatorOf(text string) (rune, error) {
	switch r, size := utf8.DecodeRuneInString(text); {
	case text == "":
		return 0, nil
	case text == "tab" || text == `\t`:
		return '\t', nil
	case size < len(text) || r == utf8.RuneError || r == '"' || r == '\n' || r == '\r':
		return 0, usageError{fmt.Sprintf("--separator wants one character, or tab, not %q", text)}
	default:
		return r, nil
	}
}

func (d *desk) export(name, out string, write func(io.Writer, *circuits.Circuit) error) error {
	text, err := files.Read(name, d.in)
	if err != nil {
		return err
	}
	checked := checkText(text)
	if err := d.usable(checked.Circuit != nil, text.Name, checked.Problems); err != nil {
		return err
	}
	var list bytes.Buffer
	if err := write(&list, checked.Circuit); err != nil {
		return err
	}
	if out == "" || out == files.Stdin {
		return d.text(list.String())
	}
	if err := files.Replace(out, list.Bytes()); err != nil {
		return err
	}
	return d.text("wrote " + out + "\n")
}
