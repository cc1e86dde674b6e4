package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Exit statuses, as the contract has them.
const (
	done       = 0
	atFault    = 1 // the file, or the question, is at fault
	wrongUsage = 2
)

// commands are all that ohmtrail can do, in the order in which help lists them. A new command is a file of its own and
// a line here.
var commands = []func(*desk) *cobra.Command{
	checkCommand, expectCommand, rankCommand, nextCommand, stepCommand, serveCommand, logCommand, reportCommand, verifyCommand, learnedCommand,
	drawCommand, flowchartCommand, libraryCommand, newCommand, importCommand, exportCommand, trialCommand, exerciseCommand, formatCommand,
}

// run carries out one command line and gives its exit status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	d := newDesk(stdin, stdout, stderr)
	root := rootCommand(d)
	root.SetArgs(args)
	c, err := root.ExecuteC()
	return d.report(c, err)
}

func rootCommand(d *desk) *cobra.Command {
	root := &cobra.Command{
		Use:   "ohmtrail COMMAND",
		Short: "Where a harness is at fault, from its wiring diagram and a few readings",
		Long: `ohmtrail weighs every fault that a wiring diagram allows against the readings taken so far:
where the fault is, how sure that is, and which faults no reading yet tells apart.`,
		Example: `  ohmtrail library copy throttle-potentiometer throttle.circuit.toml
  ohmtrail check throttle.circuit.toml
  ohmtrail rank throttle.job.toml --why`,
		Version:       version(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.ArbitraryArgs,
		RunE:          func(c *cobra.Command, args []string) error { return noCommand(c, args) },
	}
	root.SetVersionTemplate("ohmtrail {{.Version}}\n")
	root.SetUsageTemplate(usageTemplate(d.page.Width))
	root.SetIn(d.in)
	root.SetOut(d.out)
	root.SetErr(d.err)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return usageError{flagWords(c, err)} })
	root.InitDefaultHelpFlag()
	for _, command := range commands {
		root.AddCommand(command(d))
	}
	root.SetHelpCommand(helpCommand())
	addCompletion(root)
	return root
}

// noCommand is what a command line without a known command comes to.
func noCommand(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return usageError{"say what to do; `ohmtrail help` lists the commands"}
	}
	words := fmt.Sprintf("there is no command %q", args[0])
	c.SuggestionsMinimumDistance = 2
	near := c.SuggestionsFor(args[0])
	if len(near) == 0 {
		return usageError{words + fmt.Sprintf("; `%s --help` lists them", c.CommandPath())}
	}
	return usageError{words + fmt.Sprintf("; did you mean %s?", strings.Join(near, " or "))}
}

// usageError is a command line that cannot be understood.
type usageError struct{ words string }

func (e usageError) Error() string { return e.words }

// errSaid ends a command whose problems have been printed already.
var errSaid = errors.New("said already")

// report prints what went wrong, once, and gives the exit status. A wrong command line is answered with the command's
// own first example.
func (d *desk) report(c *cobra.Command, err error) int {
	var usage usageError
	switch {
	case err == nil:
		return done
	case errors.Is(err, errSaid):
		return atFault
	case errors.As(err, &usage):
		fmt.Fprintf(d.err, "%s: %s\n", c.CommandPath(), usage.words)
		if example, _, _ := strings.Cut(strings.TrimSpace(c.Example), "\n"); example != "" {
			fmt.Fprintf(d.err, "example: %s\n", example)
		}
		return wrongUsage
	}
	fmt.Fprintln(d.err, err)
	return atFault
}

// flagWords says a mistake in a flag, with the flag that was probably meant.
func flagWords(c *cobra.Command, err error) string {
	var (
		unknown *pflag.NotExistError
		lacking *pflag.ValueRequiredError
		invalid *pflag.InvalidValueError
	)
	switch {
	case errors.As(err, &unknown) && nearestFlag(c, unknown.GetSpecifiedName()) != "":
		return fmt.Sprintf("there is no flag --%s; did you mean --%s?", unknown.GetSpecifiedName(), nearestFlag(c, unknown.GetSpecifiedName()))
	case errors.As(err, &unknown) && len(unknown.GetSpecifiedName()) == 1:
		return fmt.Sprintf("there is no flag -%s; `%s --help` lists them", unknown.GetSpecifiedName(), c.CommandPath())
	case errors.As(err, &unknown):
		return fmt.Sprintf("there is no flag --%s; `%s --help` lists them", unknown.GetSpecifiedName(), c.CommandPath())
	case errors.As(err, &lacking):
		return fmt.Sprintf("--%s wants a value", lacking.GetFlag().Name)
	case errors.As(err, &invalid) && invalid.GetFlag().Value.Type() == "int":
		return fmt.Sprintf("--%s wants a whole number, not %q", invalid.GetFlag().Name, invalid.GetValue())
	case errors.As(err, &invalid) && invalid.GetFlag().Value.Type() == "float64":
		return fmt.Sprintf("--%s wants a number, not %q", invalid.GetFlag().Name, invalid.GetValue())
	}
	return err.Error()
}

// filesWanted checks how many file names a command line has.
func filesWanted(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return usageError{"name " + what}
		case most >= 0 && len(args) > most:
			return usageError{fmt.Sprintf("%q is one name too many; name %s", args[most], what)}
		}
		return nil
	}
}
