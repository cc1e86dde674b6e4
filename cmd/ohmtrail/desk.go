package main

import (
	"io"
	"os"

	"github.com/agnivade/levenshtein"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"ohmtrail/cmd/internal/view"
)

// desk is what a command works at: where it reads from and writes to, and how wide and bold its text may be.
type desk struct {
	in       io.Reader
	out, err io.Writer
	page     view.Page
}

// widest keeps lines readable on a wide terminal.
const widest = 100

func newDesk(in io.Reader, out, err io.Writer) *desk {
	d := &desk{in: in, out: out, err: err, page: view.Plain}
	f, ok := out.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return d
	}
	d.page.Bold = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	if columns, _, err := term.GetSize(int(f.Fd())); err == nil && columns > 0 {
		d.page.Width = min(columns, widest)
	}
	return d
}

// interactive tells whether a person sits at both ends.
func (d *desk) interactive() bool {
	in, okIn := d.in.(*os.File)
	out, okOut := d.err.(*os.File)
	return okIn && okOut && term.IsTerminal(int(in.Fd())) && term.IsTerminal(int(out.Fd()))
}

// text prints finished text.
func (d *desk) text(s string) error {
	_, err := io.WriteString(d.out, s)
	return err
}

// json prints a value for programs.
func (d *desk) json(v any) error {
	body, err := view.JSON(v)
	if err != nil {
		return err
	}
	_, err = d.out.Write(body)
	return err
}

// nearestFlag is the flag of a command that a misspelt one was probably meant for, "" where none is near.
func nearestFlag(c *cobra.Command, name string) string {
	best, distance := "", 3
	c.Flags().VisitAll(func(f *pflag.Flag) {
		if n := levenshtein.ComputeDistance(name, f.Name); n < distance && n < len(f.Name) {
			best, distance = f.Name, n
		}
	})
	return best
}
