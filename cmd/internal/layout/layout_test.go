package layout

import (
	"context"
	"errors"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// built builds ohmtrail-layout and puts it on the path.
func built(t *testing.T) {
	t.Helper()
	folder := t.TempDir()
	build := exec.Command("go", "build", "-o", filepath.Join(folder, "ohmtrail-layout"), "ohmtrail/cmd/ohmtrail-layout")
	if said, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	t.Setenv("PATH", folder)
}

var three = Graph{
	Nodes: []Node{{Width: 180, Height: 100, Top: 60, Ports: []float64{20, 20}}, {Width: 100, Height: 40}, {Width: 100, Height: 40}},
	Edges: []Edge{{0, 0, 1}, {0, 1, 2}, {0, 0, 2}},
}

// TestPlace: boxes do not overlap, lie within the picture and from left to right, and edges go from their port to their node.
func TestPlace(t *testing.T) {
	built(t)
	before, _ := os.ReadDir(os.TempDir())
	p, err := Place(context.Background(), three)
	if err != nil {
		t.Fatal(err)
	}
	for i, n := range three.Nodes {
		at := p.Nodes[i]
		if at.X-n.Width/2 < -1 || at.X+n.Width/2 > p.Width+1 || at.Y-n.Height/2 < -1 || at.Y+n.Height/2 > p.Height+1 {
			t.Errorf("box %d at %v lies outside of %g × %g", i, at, p.Width, p.Height)
		}
		for k := range i {
			m, b := three.Nodes[k], p.Nodes[k]
			if math.Abs(at.X-b.X) < (n.Width+m.Width)/2 && math.Abs(at.Y-b.Y) < (n.Height+m.Height)/2 {
				t.Errorf("boxes %d and %d overlap", i, k)
			}
		}
	}
	for i, e := range three.Edges {
		line := p.Edges[i]
		begin, end := line[0], line[len(line)-1]
		port := p.Nodes[e.From].Y - 50 + 60 + 20*float64(e.Port) + 10
		if math.Abs(begin.X-p.Nodes[e.From].X-90) > 2 || math.Abs(begin.Y-port) > 2 {
			t.Errorf("edge %d begins at %v, its port lies at %g", i, begin, port)
		}
		if math.Abs(end.X-p.Nodes[e.To].X+50) > 14 || math.Abs(end.Y-p.Nodes[e.To].Y) > 2 { // an arrow's length before the box
			t.Errorf("edge %d ends at %v, its box is at %v", i, end, p.Nodes[e.To])
		}
	}
	after, _ := os.ReadDir(os.TempDir())
	for _, f := range after {
		if strings.HasPrefix(f.Name(), "ohmtrail-layout-") && len(after) > len(before) {
			t.Errorf("%s is left behind", f.Name())
		}
	}
}

// TestPlaceTellsWhatIsWrong: a program that is not there, one that fails, one that answers half.
func TestPlaceTellsWhatIsWrong(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("PATH", folder)
	if _, err := Place(context.Background(), three); !errors.Is(err, ErrNoProgram) {
		t.Errorf("without the program: %v", err)
	}
	for script, want := range map[string]string{
		"echo no fonts >&2; exit 1":                                           "no fonts",
		"echo graph 1 2 2; echo node n0 1 1 1 1 -":                            "placed 1 of 3 boxes",
		"for i in 0 1 2; do echo node n$i 1 1 1 1 -; done":                    "left 3 lines out",
		"echo node n7 1 1 1 1 -":                                              "not asked for",
		"for i in 0 1 2; do echo node n$i 1 1 1 1 -; done; echo edge n0 n1 9": "not asked for",
	} {
		program := "#!/bin/sh\n" + script + "\n"
		if err := os.WriteFile(filepath.Join(folder, "ohmtrail-layout"), []byte(program), 0o700); err != nil {
			t.Fatal(err)
		}
		if _, err := Place(context.Background(), three); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", script, err, want)
		}
	}
}
