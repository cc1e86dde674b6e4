package layout

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// labels are the cells that Graphviz repeats in its plain format; no other angle brackets stand there.
var labels = regexp.MustCompile(`<<TABLE.*?</TABLE>>`)

// read takes places from Graphviz's plain format (its manual, "plain": graph scale width height; node name x y width height …;
// edge tail head n x1 y1 … xn yn …; inches, y upwards). Every node and edge must be there: one that was dropped is an error.
func (g Graph) read(plain string) (Placed, error) {
	out := Placed{Nodes: make([]XY, len(g.Nodes)), Edges: make([][]XY, len(g.Edges))}
	plain = labels.ReplaceAllString(plain, "-")
	nodes := map[int]bool{}
	waiting := map[[2]int][]int{}
	for i, e := range g.Edges {
		waiting[[2]int{e.From, e.To}] = append(waiting[[2]int{e.From, e.To}], i)
	}
	for _, line := range strings.Split(plain, "\n") {
		f := strings.Fields(line)
		if len(f) == 0 {
			continue
		}
		switch {
		case f[0] == "graph" && len(f) >= 4:
			out.Width, out.Height = inches(f[2]), inches(f[3])
		case f[0] == "node" && len(f) >= 6:
			i, ok := index(f[1], len(g.Nodes))
			if !ok {
				return out, fmt.Errorf("ohmtrail-layout placed a node %q that was not asked for", f[1])
			}
			nodes[i] = true
			out.Nodes[i] = XY{inches(f[2]), out.Height - inches(f[3])}
		case f[0] == "edge" && len(f) >= 4:
			from, okFrom := index(f[1], len(g.Nodes))
			to, okTo := index(f[2], len(g.Nodes))
			count, err := strconv.Atoi(f[3])
			mine := waiting[[2]int{from, to}]
			if !okFrom || !okTo || err != nil || len(f) < 4+2*count || len(mine) == 0 {
				return out, fmt.Errorf("ohmtrail-layout placed an edge that was not asked for: %q", line)
			}
			var control []XY
			for k := range count {
				control = append(control, XY{inches(f[4+2*k]), out.Height - inches(f[5+2*k])})
			}
			at := g.nearest(mine, out.Nodes, control[0])
			out.Edges[mine[at]] = curve(control)
			waiting[[2]int{from, to}] = append(append([]int(nil), mine[:at]...), mine[at+1:]...)
		}
	}
	if len(nodes) != len(g.Nodes) {
		return out, fmt.Errorf("ohmtrail-layout placed %d of %d boxes", len(nodes), len(g.Nodes))
	}
	lost := 0
	for _, left := range waiting {
		lost += len(left)
	}
	if lost > 0 {
		return out, fmt.Errorf("ohmtrail-layout left %d lines out", lost)
	}
	return out, nil
}

// nearest is which of several edges between the same two nodes begins at a place: that of the port there.
func (g Graph) nearest(edges []int, centres []XY, begin XY) int {
	best, least := 0, 0.0
	for i, e := range edges {
		n := g.Nodes[g.Edges[e].From]
		y := centres[g.Edges[e].From].Y - n.Height/2 + n.Top
		for k := 0; k < g.Edges[e].Port; k++ {
			y += n.Ports[k]
		}
		y += n.Ports[g.Edges[e].Port] / 2
		if off := (y - begin.Y) * (y - begin.Y); i == 0 || off < least {
			best, least = i, off
		}
	}
	return best
}

func index(name string, count int) (int, bool) {
	i, err := strconv.Atoi(strings.TrimPrefix(name, "n"))
	return i, err == nil && i >= 0 && i < count
}

func inches(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v * inch
}

// curve is a line along cubic Bézier curves: the first point, then two guides and an end for each curve.
func curve(control []XY) []XY {
	if len(control) == 0 {
		return nil
	}
	out := []XY{control[0]}
	const pieces = 12
	for i := 0; i+3 < len(control); i += 3 {
		a, b, c, d := control[i], control[i+1], control[i+2], control[i+3]
		for k := 1; k <= pieces; k++ {
			t := float64(k) / pieces
			u := 1 - t
			out = append(out, XY{u*u*u*a.X + 3*u*u*t*b.X + 3*u*t*t*c.X + t*t*t*d.X, u*u*u*a.Y + 3*u*u*t*b.Y + 3*u*t*t*c.Y + t*t*t*d.Y})
		}
	}
	return out
}
