package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
)

func drawCommand(d *desk) *cobra.Command {
	var (
		out, around string
		bare        bool
	)
	c := &cobra.Command{
		Use:   "draw FILE -o PICTURE",
		Short: "Draw a circuit, or a job's circuit with its suspects",
		Long: `draw makes a picture of a circuit. Of a job it draws the circuit with the places that may be at
fault, and at each test point what was read, what a healthy circuit shows and what the leading fault
predicts. The end of the picture's name says what it is: .svg, .png, .pdf, or .dot (Graphviz
text). "-" writes SVG to standard output.

A whole machine does not fit a page. --around POINT draws the way from the module through that point to
the parts beyond it, their other leads, and the wires beside it; the foot says what is left out.`,
		Example: `  ohmtrail draw mast-height.job.toml -o mast-height.svg
  ohmtrail draw library:coolant-temperature -o coolant.png
  ohmtrail draw library:shared-reference --around MAP:2 -o map.pdf`,
		Args:              filesWanted(1, 1, "one circuit or job file"),
		ValidArgsFunction: completeFiles,
		RunE: func(c *cobra.Command, args []string) error {
			render, err := renderer(out)
			if err != nil {
				return err
			}
			return d.draw(args[0], out, around, bare, render)
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the picture to write, `FILE`.svg, .png, .pdf or .dot")
	c.Flags().BoolVar(&bare, "bare", false, "draw a job's circuit without its suspects and readings")
	c.Flags().StringVar(&around, "around", "", "draw only what lies around this `POINT` of the circuit, such as C7:3")
	return c
}

// rendering turns a circuit and its marks into the bytes of a file.
type rendering func(*circuits.Circuit, draw.Marks) ([]byte, error)

// renderer chooses by the end of the picture's name.
func renderer(name string) (rendering, error) {
	end := strings.ToLower(filepath.Ext(name))
	if name == files.Stdin {
		end = ".svg"
	}
	switch end {
	case ".svg":
		return func(c *circuits.Circuit, m draw.Marks) ([]byte, error) { return draw.Draw(c, m).SVG(), nil }, nil
	case ".png":
		return func(c *circuits.Circuit, m draw.Marks) ([]byte, error) {
			p := draw.Draw(c, m)
			if !p.ReadableAsPNG() {
				return nil, errors.New("the drawing is so large that nobody could read its letters in a .png; write .svg or .pdf, or a part with --around POINT")
			}
			return p.PNG()
		}, nil
	case ".pdf":
		return func(c *circuits.Circuit, m draw.Marks) ([]byte, error) { return paper.Picture(draw.Draw(c, m)) }, nil
	case ".dot":
		return func(c *circuits.Circuit, m draw.Marks) ([]byte, error) { return []byte(draw.DOT(c, m)), nil }, nil
	}
	if name == "" {
		return nil, usageError{"name the picture with -o"}
	}
	return nil, usageError{fmt.Sprintf("%q is no picture that can be drawn: its name must end in .svg, .png, .pdf or .dot", name)}
}

func (d *desk) draw(name, out, around string, bare bool, render rendering) error {
	c, marks, err := d.drawing(name, bare)
	if err != nil {
		return err
	}
	said := "wrote " + out + "\n"
	if around != "" {
		if c, marks, err = partAround(c, marks, around); err != nil {
			return err
		}
		said += d.page.Hanging("  ", strings.Join(draw.LeftOut(*marks.LeftOut), " "))
	}
	done := d.waiting("drawing")
	picture, err := render(c, marks)
	done()
	if err != nil {
		return fmt.Errorf("%s: cannot be drawn: %w", name, err)
	}
	if out == files.Stdin {
		_, err := d.out.Write(picture)
		return err
	}
	if err := files.Replace(out, picture); err != nil {
		return err
	}
	return d.text(said)
}

// partAround is the part of a circuit around a point that somebody named.
func partAround(c *circuits.Circuit, m draw.Marks, named string) (*circuits.Circuit, draw.Marks, error) {
	at, err := circuits.ParsePoint(named)
	if err == nil {
		at, err = c.Resolve(at)
	}
	if err != nil {
		return nil, m, usageError{"--around: " + err.Error()}
	}
	part, left := c.Around(at)
	if len(part.Wires) == 0 {
		return nil, m, usageError{fmt.Sprintf("--around: no wire leads to %s", named)}
	}
	m.Title = strings.TrimSpace(m.Title + " (around " + named + ")")
	m.LeftOut = &left
	return part, m, nil
}

// drawing is what a file asks to have drawn.
func (d *desk) drawing(name string, bare bool) (*circuits.Circuit, draw.Marks, error) {
	text, err := files.Read(name, d.in)
	if err != nil {
		return nil, draw.Marks{}, err
	}
	if text.KindOf() == files.Circuit {
		c, problems := text.Circuit()
		return c, draw.Marks{Legend: true}, d.usable(c != nil, text.Name, problems)
	}
	j, problems := text.Job()
	if err := d.usable(j != nil, text.Name, problems); err != nil {
		return nil, draw.Marks{}, err
	}
	if bare {
		return j.Circuit, draw.Marks{Legend: true}, nil
	}
	if err := weighable(j, text.Name); err != nil {
		return nil, draw.Marks{}, err
	}
	return j.Circuit, view.Marks(d.ranked(j)), nil
}
