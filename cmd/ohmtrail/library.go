package main

import (
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/spf13/cobra"

	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/files"
)

func libraryCommand(d *desk) *cobra.Command {
	c := &cobra.Command{
		Use:   "library [NAME]",
		Short: "List the circuits that come with ohmtrail, or show one",
		Long: `library lists the circuits that come with ohmtrail. With a name it shows that circuit's file. A job
may use one as it is, circuit = "library:NAME", or a copy that was changed to fit the machine.`,
		Example: `  ohmtrail library
  ohmtrail library coolant-temperature
  ohmtrail library copy coolant-temperature my-coolant.circuit.toml`,
		Args:              filesWanted(0, 1, "one circuit of the library, or none"),
		ValidArgsFunction: completeLibrary,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return d.libraryList()
			}
			text, err := libraryText(args[0])
			if err != nil {
				return err
			}
			return d.text(string(text))
		},
	}
	c.AddCommand(libraryCopyCommand(d))
	return c
}

func libraryCopyCommand(d *desk) *cobra.Command {
	return &cobra.Command{
		Use:   "copy NAME FILE",
		Short: "Copy a circuit of the library to a new file",
		Long: `copy writes a circuit of the library to a file of your own, to be changed to fit the machine. It
never writes over a file.`,
		Example:           "  ohmtrail library copy coolant-temperature my-coolant.circuit.toml",
		Args:              filesWanted(2, 2, "a circuit of the library and the file to write"),
		ValidArgsFunction: completeLibrary,
		RunE: func(c *cobra.Command, args []string) error {
			text, err := libraryText(args[0])
			if err != nil {
				return err
			}
			if err := files.Create(args[1], text); err != nil {
				return err
			}
			return d.text("wrote " + args[1] + "\n")
		},
	}
}

// libraryText is the text of a circuit of the library, or where to find their names.
func libraryText(name string) ([]byte, error) {
	text, err := library.Text(name)
	if err != nil && !strings.Contains(err.Error(), "did you mean") {
		err = fmt.Errorf("%w; `ohmtrail library` lists them", err)
	}
	return text, err
}

// libraryList prints name and title of each circuit; only the titles are read, so that the list is there at once.
func (d *desk) libraryList() error {
	names := library.Names()
	wide := 0
	for _, n := range names {
		wide = max(wide, len(n))
	}
	var b strings.Builder
	for _, n := range names {
		text, err := library.Text(n)
		if err != nil {
			return err
		}
		var head struct{ Title string }
		if _, err := toml.Decode(string(text), &head); err != nil {
			return fmt.Errorf("library:%s: %w", n, err)
		}
		fmt.Fprintf(&b, "%-*s  %s\n", wide, n, head.Title)
	}
	return d.text(b.String())
}
