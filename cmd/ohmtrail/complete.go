package main

import (
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/solver/hypothesis"
)

// completeFiles offers circuit and job files to the shell.
func completeFiles(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"toml"}, cobra.ShellCompDirectiveFilterFileExt
}

// completeLog offers a job, then a recording.
func completeLog(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return []string{"toml"}, cobra.ShellCompDirectiveFilterFileExt
	}
	return []string{"csv", "txt", "tsv"}, cobra.ShellCompDirectiveFilterFileExt
}

// completeFaults offers the names of the faults that the job on the command line allows.
func completeFaults(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
	const nothing = cobra.ShellCompDirectiveNoFileComp
	if len(args) == 0 {
		return nil, nothing
	}
	text, err := files.Read(args[0], strings.NewReader(""))
	if err != nil {
		return nil, nothing
	}
	j, _ := text.Job()
	if j == nil {
		return nil, nothing
	}
	var out []string
	for _, h := range hypothesis.Hypotheses(j.Circuit, hypothesis.DefaultWeights(), nil) {
		if name := h.Fault.String(); h.Fault.Kind != circuits.Unlisted && strings.HasPrefix(name, typed) {
			out = append(out, name)
		}
	}
	return out, nothing
}

// completeLibrary offers the circuits of the library for a command's first argument.
func completeLibrary(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveDefault
	}
	return library.Names(), cobra.ShellCompDirectiveNoFileComp
}

// mustComplete ties a completion to a flag that exists.
func mustComplete(c *cobra.Command, flag string, complete cobra.CompletionFunc) {
	if err := c.RegisterFlagCompletionFunc(flag, complete); err != nil {
		panic(err) // the flag was defined a line before
	}
}
