package circuits

import (
	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/iterator"
	"gonum.org/v1/gonum/graph/simple"
)

// copperGraph is what gonum's algorithms walk on: points and joints are nodes, and each joint lies between its two
// points. So two joints between the same points stay two, and a joint can be what cuts a part off as well as a point can.
// Its nodes and what they lead to come in the order of the joints, never of a map: the same circuit gives the same bytes.
type copperGraph struct{ next [][]graph.Node }

// Node gives the node of that number.
func (g copperGraph) Node(id int64) graph.Node {
	if id < 0 || id >= int64(len(g.next)) {
		return nil
	}
	return simple.Node(id)
}

// Nodes gives all nodes, the points first.
func (g copperGraph) Nodes() graph.Nodes {
	all := make([]graph.Node, len(g.next))
	for i := range all {
		all[i] = simple.Node(i)
	}
	return iterator.NewOrderedNodes(all)
}

// From gives the nodes beside a node.
func (g copperGraph) From(id int64) graph.Nodes { return iterator.NewOrderedNodes(g.next[id]) }

// To gives the same: copper has no direction. With it and HasEdgeFromTo the graph serves what asks for a directed one.
func (g copperGraph) To(id int64) graph.Nodes { return g.From(id) }

// HasEdgeBetween looks at the node with fewer neighbours: a stud has hundreds, a joint two.
func (g copperGraph) HasEdgeBetween(x, y int64) bool {
	if len(g.next[x]) > len(g.next[y]) {
		x, y = y, x
	}
	for _, n := range g.next[x] {
		if n.ID() == y {
			return true
		}
	}
	return false
}

// HasEdgeFromTo is HasEdgeBetween.
func (g copperGraph) HasEdgeFromTo(u, v int64) bool { return g.HasEdgeBetween(u, v) }

// Edge gives the step from one node to the next; nil where they do not touch.
func (g copperGraph) Edge(u, v int64) graph.Edge {
	if !g.HasEdgeBetween(u, v) {
		return nil
	}
	return simple.Edge{F: simple.Node(u), T: simple.Node(v)}
}

// EdgeBetween is Edge.
func (g copperGraph) EdgeBetween(x, y int64) graph.Edge { return g.Edge(x, y) }

// rooted is a copperGraph with one more node, that leads to some of the others: a place to start from at several at once.
type rooted struct {
	copperGraph
	root   simple.Node
	starts []graph.Node
}

// Node gives the node of that number.
func (g rooted) Node(id int64) graph.Node {
	if id == g.root.ID() {
		return g.root
	}
	return g.copperGraph.Node(id)
}

// From gives the nodes that can be reached from a node by one step.
func (g rooted) From(id int64) graph.Nodes {
	if id == g.root.ID() {
		return iterator.NewOrderedNodes(g.starts)
	}
	return g.copperGraph.From(id)
}
