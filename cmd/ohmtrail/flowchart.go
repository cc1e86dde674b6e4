package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// flowNodes is about how many nodes a chart has, so that it can be printed.
const flowNodes = 25

func flowchartCommand(d *desk) *cobra.Command {
	var (
		out    string
		codes  []string
		nodes  int
		asJSON bool
	)
	c := &cobra.Command{
		Use:   "flowchart FILE",
		Short: "Work out the flow chart of a circuit or a job: which reading first, and by what it shows which then",
		Long: `flowchart works out the readings beforehand: at each step what is undone and done, the values by which
one goes on, how many machines of a hundred go there, and at the ends the place to repair with its odds
and the readings that prove it. The values are those of this circuit with all that is not exactly known
of it. A chart is short enough to be printed; what it leaves open is taken reading by reading (step).

The end of the file's name says what is written: .svg, .pdf (pages of A4), .dot, .md or .txt; without
-o the chart is printed as text. The boxes of .svg and .pdf are placed by ohmtrail-layout, a program
beside this one.`,
		Example: `  ohmtrail flowchart library:coolant-temperature --code P0118
  ohmtrail flowchart mast-height.job.toml -o chart.pdf`,
		Args:              filesWanted(1, 1, "one circuit or job file"),
		ValidArgsFunction: completeFiles,
		RunE: func(c *cobra.Command, args []string) error {
			if nodes < 3 {
				return usageError{"--steps wants a number of steps, 3 or more"}
			}
			write, err := flowWriter(out)
			if err != nil {
				return err
			}
			j, err := d.flowJob(args[0], codes)
			if err != nil {
				return err
			}
			return d.flowchart(args[0], j, nodes, out, asJSON, write)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the chart to write, `FILE`.svg, .pdf, .dot, .md or .txt")
	c.Flags().StringArrayVar(&codes, "code", nil, "a `CODE` that is set, beside those of a job (again for more)")
	c.Flags().IntVar(&nodes, "steps", flowNodes, "about `N` steps")
	c.Flags().BoolVar(&asJSON, "json", false, "print the chart as JSON")
	return c
}

// flowJob is the job that a chart is worked out for: a job file's, or a circuit's without a reading.
func (d *desk) flowJob(name string, codes []string) (*circuits.Job, error) {
	text, err := files.Read(name, d.in)
	if err != nil {
		return nil, err
	}
	var (
		j        *circuits.Job
		problems circuits.Problems
	)
	if text.KindOf() == files.Circuit {
		var c *circuits.Circuit
		if c, problems = text.Circuit(); c != nil {
			j = &circuits.Job{File: text.Name, CircuitName: text.Name, Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
		}
	} else {
		j, problems = text.Job()
	}
	if err := d.usable(j != nil, text.Name, problems); err != nil {
		return nil, err
	}
	known := j.Circuit.Codes()
	for _, code := range codes {
		if !slices.Contains(known, code) {
			return nil, usageError{fmt.Sprintf("--code: no pin of this circuit sets %q%s", code, codeHint(code, known))}
		}
		if !slices.Contains(j.Codes, code) {
			j.Codes = append(j.Codes, code)
		}
	}
	switch {
	case j.Circuit.Pyrotechnic:
		return nil, fmt.Errorf("%s: %s", name, strings.Join(view.Cautions(j), " "))
	case j.Intermittent:
		return nil, fmt.Errorf("%s: the symptom comes and goes, and a chart would be wrong each time it is away; take the readings one by one with `ohmtrail step %s`", name, name)
	}
	return j, nil
}

// codeHint says which code was probably meant, or which there are.
func codeHint(code string, known []string) string {
	if near := wording.Nearest(code, known); near != "" {
		return "; did you mean " + near + "?"
	}
	if len(known) == 0 {
		return "; its pins set none"
	}
	return "; its codes are " + strings.Join(known, ", ")
}

// flowWriting makes a file of a chart.
type flowWriting func(view.Flow) ([]byte, error)

func flowWriter(name string) (flowWriting, error) {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".md":
		return func(f view.Flow) ([]byte, error) { return []byte(f.Markdown()), nil }, nil
	case ".svg":
		return flowSVG, nil
	case ".pdf":
		return flowPDF, nil
	case ".dot":
		return func(f view.Flow) ([]byte, error) { return []byte(flowDOT(f)), nil }, nil
	case ".txt", "":
		if name == "" || filepath.Ext(name) != "" {
			return func(f view.Flow) ([]byte, error) { return []byte(f.Text(view.Plain)), nil }, nil
		}
	}
	return nil, usageError{fmt.Sprintf("%q is no chart that can be written: its name must end in .svg, .pdf, .dot, .md or .txt", name)}
}

func (d *desk) flowchart(name string, j *circuits.Job, nodes int, out string, asJSON bool, write flowWriting) error {
	stop := d.waiting("working the chart out")
	j, assumed := plan.FlowJob(j)
	r := rank.Rank(j)
	chart := plan.Flow(&r, nodes)
	stop()
	if len(chart.Nodes) == 0 {
		return fmt.Errorf("%s: no reading that can be taken tells the places apart, so there is no chart", name)
	}
	if asJSON {
		return d.json(view.FlowJSONOf(&r, chart, assumed))
	}
	flow := view.FlowOf(&r, chart, assumed)
	if out == "" {
		return d.text(flow.Text(d.page))
	}
	body, err := write(flow)
	if err != nil {
		return err
	}
	if err := files.Replace(out, body); err != nil {
		return err
	}
	return d.text("wrote " + out + "\n")
}
