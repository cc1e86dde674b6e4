// Package layout has a graph placed by the program ohmtrail-layout: sizes in, places out. It knows no circuit and no words.
package layout

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// Graph is what is to be placed, from left to right along its edges. Lengths are units of a drawing.
type Graph struct {
	Nodes []Node
	Edges []Edge
}

// Node is a box; its ports are strips at its right side from which edges go.
type Node struct {
	Width, Height float64
	Top           float64   // height above the first port
	Ports         []float64 // heights, one under the other; what is left below them belongs to no port
}

// Edge leads from a node's port to the left side of another node.
type Edge struct{ From, Port, To int }

// Placed is a placed graph, its origin at the top left.
type Placed struct {
	Width, Height float64
	Nodes         []XY   // their centres
	Edges         [][]XY // points of each edge's curve, from its port to its node
}

// XY is a place.
type XY struct{ X, Y float64 }

// ErrNoProgram says that ohmtrail-layout is not there.
var ErrNoProgram = errors.New("the program ohmtrail-layout, which places the boxes of a picture, is neither beside ohmtrail nor on the path")

// longest is the time that placing one graph may take.
const longest = 90 * time.Second

// program finds ohmtrail-layout: beside this program, else on the path.
func program() (string, error) {
	name := "ohmtrail-layout"
	if runtime.GOOS == "windows" {
		name += ".exe"
	}
	if own, err := os.Executable(); err == nil {
		beside := filepath.Join(filepath.Dir(own), name)
		if info, err := os.Stat(beside); err == nil && info.Mode().IsRegular() {
			return beside, nil
		}
	}
	found, err := exec.LookPath(name)
	if err != nil { // not there, or only in the folder one happens to stand in
		return "", ErrNoProgram
	}
	return found, nil
}

// Place has a graph placed, by a process of its own in a temporary folder of its own.
func Place(ctx context.Context, g Graph) (Placed, error) {
	name, err := program()
	if err != nil {
		return Placed{}, err
	}
	room, err := os.MkdirTemp("", "ohmtrail-layout-") // mode 0700: compiled code is kept in it, and loaded again
	if err != nil {
		return Placed{}, fmt.Errorf("no temporary folder for ohmtrail-layout: %w", err)
	}
	defer os.RemoveAll(room)
	ctx, stop := context.WithTimeout(ctx, longest)
	defer stop()
	c := exec.CommandContext(ctx, name)
	c.Env = append(os.Environ(), "TMPDIR="+room, "TMP="+room, "TEMP="+room)
	c.Dir = room
	c.Stdin = strings.NewReader(g.dot())
	var out, said bytes.Buffer
	c.Stdout, c.Stderr = &out, &said
	c.WaitDelay = time.Second
	if err := c.Run(); err != nil {
		switch {
		case ctx.Err() != nil:
			return Placed{}, fmt.Errorf("ohmtrail-layout took longer than %v", longest)
		case said.Len() > 0:
			return Placed{}, errors.New(strings.TrimSpace(said.String()))
		}
		return Placed{}, fmt.Errorf("ohmtrail-layout: %w", err)
	}
	return g.read(out.String())
}

// inch is how many units are one of Graphviz's inches.
const inch = 72

// dot is the graph as Graphviz reads it; there is no word of a user in it.
func (g Graph) dot() string {
	var b strings.Builder
	b.WriteString("digraph {\nrankdir=LR; nodesep=0.3; ranksep=0.6; node [shape=plain, fontsize=1]; edge [arrowhead=none, headport=w];\n")
	for i, n := range g.Nodes {
		fmt.Fprintf(&b, "n%d [label=<<TABLE BORDER=\"0\" CELLBORDER=\"0\" CELLSPACING=\"0\" CELLPADDING=\"0\">", i)
		cell := func(port string, height float64) {
			if height >= 1 {
				fmt.Fprintf(&b, `<TR><TD%s WIDTH="%.0f" HEIGHT="%.0f" FIXEDSIZE="TRUE"></TD></TR>`, port, n.Width, height)
			}
		}
		cell("", n.Top)
		rest := n.Height - n.Top
		for k, height := range n.Ports {
			cell(fmt.Sprintf(` PORT="p%d"`, k), height)
			rest -= height
		}
		cell("", rest)
		b.WriteString("</TABLE>>];\n")
	}
	for _, e := range g.Edges {
		fmt.Fprintf(&b, "n%d:p%d:e -> n%d;\n", e.From, e.Port, e.To)
	}
	b.WriteString("}\n")
	return b.String()
}
