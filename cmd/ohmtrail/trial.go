package main

import (
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/trial"
)

// wholeLibrary stands for all circuits of the library on which anything may be measured.
const wholeLibrary = "library:*"

func trialCommand(d *desk) *cobra.Command {
	var (
		n      int
		plan   trial.Setup
		asJSON bool
	)
	c := &cobra.Command{
		Use:   "trial CIRCUIT…",
		Short: "Try the reasoning on hidden faults, and hold what it says against the truth",
		Long: `trial hides faults in simulated machines, one after another, and lets three orders of readings look for
them: ours (most information a minute), half-split (the reading that parts what is left most evenly,
whatever it costs), and any reading that can tell something. It counts how often the fault is found, in
how many readings and minutes, and how often what was said to be probable came true, with 95 % bounds.

Each machine has every number drawn evenly from its width, and one in five something that no file knows:
a meter 2 % off, every contact 0.1 Ω, an undrawn splice of 1 Ω, or a stimulus that moves. --as-written takes
every number as the file has it, and no extras.

A circuit is a file or library:NAME; library:* is all of the library but the pyrotechnic ones. The same
seed gives the same numbers. A large circuit takes seconds for each fault.`,
		Example: `  ohmtrail trial library:throttle-potentiometer --n 20
  ohmtrail trial 'library:*' --n 40 --seed 7 --json
  ohmtrail trial mast-height.circuit.toml --double`,
		Args: filesWanted(1, -1, "circuits, such as library:throttle-potentiometer"),
		ValidArgsFunction: func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if library.Holds(typed) {
				return libraryNames(), cobra.ShellCompDirectiveNoFileComp
			}
			return completeFiles(c, args, typed)
		},
		RunE: func(c *cobra.Command, args []string) error {
			switch {
			case n < 1:
				return usageError{"--n wants a number of faults, 1 or more"}
			case plan.Double && plan.Intermittent:
				return usageError{"--double and --intermittent cannot be tried together"}
			case !(plan.Extras >= 0 && plan.Extras <= 1):
				return usageError{"--extras wants a share of machines from 0 to 1"}
			case !(plan.Misread >= 0 && plan.Misread <= 0.5):
				return usageError{"--misread wants a share of readings from 0 to 0.5"}
			}
			if plan.AsWritten {
				plan.Extras = 0
			}
			return d.trial(args, n, plan, asJSON)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().IntVar(&n, "n", 10, "`N` hidden faults on each circuit")
	c.Flags().Uint64Var(&plan.Seed, "seed", 1, "a `NUMBER` that the faults are drawn by")
	c.Flags().Float64Var(&plan.Misread, "misread", 0.02, "the `SHARE` of readings that are not what they say")
	c.Flags().Float64Var(&plan.Extras, "extras", 0.2, "the `SHARE` of machines with something that no file knows")
	c.Flags().BoolVar(&plan.AsWritten, "as-written", false, "machines with every number as the file has it, and no extras")
	c.Flags().BoolVar(&plan.Double, "double", false, "hide two faults at once: repair what is found first, and go on")
	c.Flags().BoolVar(&plan.Intermittent, "intermittent", false, "hide faults that come and go (5, 20 or 50 % of the time), with other ohms each time")
	c.Flags().BoolVar(&asJSON, "json", false, "print the answer as JSON, every case included")
	return c
}

// libraryNames are the circuits of the library that a trial takes.
func libraryNames() []string {
	var out []string
	for _, name := range library.Names() {
		if c, err := library.Circuit(name); err == nil && !c.Pyrotechnic {
			out = append(out, "library:"+name)
		}
	}
	return out
}

func (d *desk) trial(names []string, n int, plan trial.Setup, asJSON bool) error {
	var all []string
	for _, name := range names {
		if name == wholeLibrary {
			all = append(all, libraryNames()...)
		} else {
			all = append(all, name)
		}
	}
	v := view.Tried{N: n, Plan: plan}
	var tried []*circuits.Circuit
	for _, name := range all {
		if slices.Contains(v.Circuits, name) {
			continue // named twice
		}
		c, err := d.trialCircuit(name, plan)
		if err != nil {
			return err
		}
		v.Circuits, tried = append(v.Circuits, name), append(tried, c)
	}
	v.Cases = d.tryAll(tried, v)
	if asJSON {
		return d.json(v.JSON())
	}
	return d.text(v.Text(d.page))
}

// trialCircuit reads a circuit on which faults can be hidden and looked for.
func (d *desk) trialCircuit(name string, plan trial.Setup) (*circuits.Circuit, error) {
	text, err := files.Read(name, d.in)
	if err != nil {
		return nil, err
	}
	if text.KindOf() == files.Job {
		return nil, fmt.Errorf("%s: this is a job; trial wants a circuit", text.Name)
	}
	c, problems := text.Circuit()
	if err := d.usable(c != nil, text.Name, problems); err != nil {
		return nil, err
	}
	if c.Pyrotechnic {
		return nil, fmt.Errorf("%s: %s", text.Name, strings.Join(view.Cautions(&circuits.Job{Circuit: c}), " "))
	}
	places := map[circuits.Location]bool{}
	for _, h := range hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil) {
		if h.Fault.Kind != circuits.Healthy && h.Fault.Kind != circuits.Unlisted {
			places[h.Fault.At] = true
		}
	}
	if len(places) == 0 || plan.Double && len(places) < 2 {
		return nil, fmt.Errorf("%s: the circuit has too few places to hide faults in", text.Name)
	}
	return c, nil
}

// tryAll runs every case, as many at once as there are processors; the cases stand by circuit, fault and order.
func (d *desk) tryAll(tried []*circuits.Circuit, v view.Tried) []trial.Case {
	orders := view.Orders()
	out := make([]trial.Case, len(tried)*v.N*len(orders))
	bar := d.progress("hidden faults", len(out))
	queue := make(chan int)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for i := range queue {
				k, fault := i/len(orders)/v.N, i/len(orders)%v.N
				name := filepath.Base(v.Circuits[k]) // the same faults, wherever the file lies
				out[i] = trial.Run(tried[k], name, v.Plan, fault, orders[i%len(orders)])
				out[i].Circuit = v.Circuits[k]
				bar.Add(1)
			}
		})
	}
	for i := range out {
		queue <- i
	}
	close(queue)
	wait.Wait()
	bar.Finish()
	return out
}
