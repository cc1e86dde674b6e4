package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

// usageTemplate is the lower half of a help text, set for a page.
func usageTemplate(width int) string {
	return fmt.Sprintf(`Usage: {{.UseLine}}{{if .HasExample}}

Examples:
{{.Example}}{{end}}{{if .HasAvailableSubCommands}}

Commands:{{range .Commands}}{{if (or .IsAvailableCommand (eq .Name "help"))}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}{{if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsagesWrapped %d | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableSubCommands}}

"{{.CommandPath}} COMMAND --help" says more about one.{{end}}
`, width)
}

// helpCommand explains a command. A command that there is not is a wrong command line, not an answer.
func helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "help [COMMAND]",
		Short:   "Explain a command",
		Long:    "help explains a command, or lists all of them.",
		Example: "  ohmtrail help rank",
		ValidArgsFunction: func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, sub := range c.Root().Commands() {
				if sub.IsAvailableCommand() && len(args) == 0 {
					names = append(names, sub.Name())
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(c *cobra.Command, args []string) error {
			asked, rest, err := c.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return noCommand(c.Root(), args)
			}
			asked.InitDefaultHelpFlag()
			asked.InitDefaultVersionFlag()
			return asked.Help()
		},
	}
}

// completionExamples say how each shell takes its completion.
var completionExamples = map[string]string{
	"completion": "  ohmtrail completion bash > ~/.local/share/bash-completion/completions/ohmtrail",
	"bash":       "  ohmtrail completion bash > ~/.local/share/bash-completion/completions/ohmtrail",
	"zsh":        "  ohmtrail completion zsh > \"${fpath[1]}/_ohmtrail\"",
	"fish":       "  ohmtrail completion fish > ~/.config/fish/completions/ohmtrail.fish",
	"powershell": "  ohmtrail completion powershell | Out-String | Invoke-Expression",
}

// addCompletion takes the library's completion commands and gives them our manner of usage errors and examples.
func addCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd("completion") // the argument says that the command line may want it
	for _, c := range root.Commands() {
		if c.Name() != "completion" {
			continue
		}
		c.Short = "Write the completion of commands, files and faults for a shell"
		c.Long = "completion writes what a shell needs to complete commands, files and names of faults."
		c.Example = completionExamples["completion"]
		c.Args = cobra.ArbitraryArgs
		c.RunE = func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(c, args)
			}
			return usageError{"name a shell: bash, zsh, fish or powershell"}
		}
		for _, shell := range c.Commands() {
			shell.Args = filesWanted(0, 0, "nothing but the shell")
			shell.Example = completionExamples[shell.Name()]
			shell.Long = "Writes the completion for " + shell.Name() + " to standard output."
		}
	}
}
