package circuits

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/flow"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/traverse"
)

// Step is one joint along a way, and the point that it leads to.
type Step struct {
	Joint
	To Point
}

// Way is the way with the fewest joints from one point to another; nil where there is none, or they are the same.
func (k *Copper) Way(from, to Point) []Step {
	start, okFrom := k.node[from]
	end, okTo := k.node[to]
	if !okFrom || !okTo || k.net[start] != k.net[end] {
		return nil
	}
	came := map[int64]int64{}
	walk := traverse.BreadthFirst{Traverse: func(e graph.Edge) bool {
		if _, met := came[e.To().ID()]; !met && e.To().ID() != start {
			came[e.To().ID()] = e.From().ID()
		}
		return true
	}}
	walk.Walk(k.graph, simple.Node(start), func(n graph.Node, _ int) bool { return n.ID() == end })
	var out []Step
	for at := end; at != start; {
		joint := came[at]
		j, _ := k.joint(simple.Node(joint))
		out = append(out, Step{j, k.points[at]})
		at = came[joint]
	}
	slices.Reverse(out)
	return out
}

// metres makes the graph one of lengths: the step into a joint counts its length, the step out of it nothing.
type metres struct {
	copperGraph
	k *Copper
}

// Weight is the length of a step.
func (m metres) Weight(x, y int64) (length float64, ok bool) {
	j, _ := m.k.joint(simple.Node(y))
	return j.LengthM, true
}

// LengthM is the length of wire along the shortest way between two points; ok is false where there is no way.
func (k *Copper) LengthM(from, to Point) (length float64, ok bool) {
	start, okFrom := k.node[from]
	end, okTo := k.node[to]
	if !okFrom || !okTo || k.net[start] != k.net[end] {
		return 0, from == to
	}
	_, length = path.DijkstraFromTo(simple.Node(start), simple.Node(end), metres{k.graph, k})
	return length, !math.IsInf(length, 1)
}

// Between are the joints that lie between two points: those that some way from one to the other passes, on which no point
// is met twice. A branch that hangs beside the way is not among them, a way round is.
func (k *Copper) Between(a, b Point) []Joint {
	start, okA := k.node[a]
	end, okB := k.node[b]
	if !okA || !okB || k.net[start] != k.net[end] || start == end {
		return nil
	}
	// A joint has ways to both ends that meet in nothing but itself just where no single node cuts it off from both:
	// where nothing but the node before both ends dominates it.
	root := simple.Node(len(k.graph.next))
	tree := flow.Dominators(root, rooted{k.graph, root, []graph.Node{simple.Node(start), simple.Node(end)}})
	var out []Joint
	for i, j := range k.joints {
		if n := tree.DominatorOf(int64(len(k.points) + i)); n != nil && n.ID() == root.ID() {
			out = append(out, j)
		}
	}
	return out
}

// Cuts are the joints that each by itself part two points, in order from the first: those that every way passes.
func (k *Copper) Cuts(from, to Point) []Joint {
	start, okFrom := k.node[from]
	end, okTo := k.node[to]
	if !okFrom || !okTo || k.net[start] != k.net[end] {
		return nil
	}
	tree := flow.Dominators(simple.Node(start), k.graph)
	var out []Joint
	for n := tree.DominatorOf(end); n != nil; n = tree.DominatorOf(n.ID()) {
		if j, ok := k.joint(n); ok {
			out = append(out, j)
		}
	}
	slices.Reverse(out)
	return out
}

// Beyond are the points that lie beyond another one as seen from the first: every way to them leads through it. So it
// tells what hangs beyond a splice.
func (k *Copper) Beyond(from, at Point) []Point {
	start, okFrom := k.node[from]
	behind, okAt := k.node[at]
	if !okFrom || !okAt || k.net[start] != k.net[behind] {
		return nil
	}
	tree := flow.Dominators(simple.Node(start), k.graph)
	hangs := make([]bool, len(k.points))
	for queue := tree.DominatedBy(behind); len(queue) > 0; queue = queue[1:] {
		if id := queue[0].ID(); id < int64(len(k.points)) {
			hangs[id] = true
		}
		queue = append(queue, tree.DominatedBy(queue[0].ID())...)
	}
	var out []Point
	for _, p := range k.nets[k.net[behind]] {
		if hangs[k.node[p]] {
			out = append(out, p)
		}
	}
	return out
}

// Bundles are the wires that run between the same two elements, as indices in file order: they lie side by side, and so
// may chafe through to each other. A wire with nothing beside it is a bundle of one.
func (c *Circuit) Bundles() [][]int {
	var out [][]int
	at := map[[2]string]int{}
	for i, w := range c.Wires {
		ends := [2]string{w.From.Place, w.To.Place}
		if ends[0] > ends[1] {
			ends[0], ends[1] = ends[1], ends[0]
		}
		n, met := at[ends]
		if !met {
			n = len(out)
			at[ends] = n
			out = append(out, nil)
		}
		out[n] = append(out[n], i)
	}
	return out
}
