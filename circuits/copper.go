package circuits

import (
	"gonum.org/v1/gonum/graph"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/traverse"
)

// Joint is a piece of metal between two points: a wire, a mated contact, a stud's joint, a fuse taken for a wire, a lead.
type Joint struct {
	A, B    Point
	At      Location // the place of faults in it; zero for what is no part of the harness
	LengthM float64  // of a wire
}

// Copper is what joints make of the points they join, as one graph. What it answers comes in the order of the joints.
type Copper struct {
	joints []Joint
	points []Point
	node   map[Point]int64 // a point's node; the joints' nodes follow those of the points
	graph  copperGraph
	nets   [][]Point
	net    []int // by point's node
}

// Join makes one graph of joints.
func Join(joints []Joint) *Copper {
	k := &Copper{joints: joints, node: make(map[Point]int64, len(joints)+1)}
	for _, j := range joints {
		for _, p := range [2]Point{j.A, j.B} {
			if _, met := k.node[p]; !met {
				k.node[p] = int64(len(k.points))
				k.points = append(k.points, p)
			}
		}
	}
	k.graph.next = make([][]graph.Node, len(k.points)+len(joints))
	for i, j := range joints {
		at := int64(len(k.points) + i)
		for _, p := range [2]int64{k.node[j.A], k.node[j.B]} {
			k.graph.next[p] = append(k.graph.next[p], simple.Node(at))
			k.graph.next[at] = append(k.graph.next[at], simple.Node(p))
		}
	}
	k.net = make([]int, len(k.points))
	var walk traverse.BreadthFirst
	walk.WalkAll(k.graph, func() { k.nets = append(k.nets, nil) }, nil, func(n graph.Node) {
		if id := n.ID(); id < int64(len(k.points)) {
			last := len(k.nets) - 1
			k.net[id] = last
			k.nets[last] = append(k.nets[last], k.points[id])
		}
	})
	return k
}

// joint is the joint of a node; ok is false for a point's.
func (k *Copper) joint(n graph.Node) (j Joint, ok bool) {
	if i := n.ID() - int64(len(k.points)); i >= 0 && i < int64(len(k.joints)) {
		return k.joints[i], true
	}
	return Joint{}, false
}

// Nets are the pieces of copper: each is all points that joints join. Nets and their points stand in the order in which
// the joints name them.
func (k *Copper) Nets() [][]Point { return k.nets }

// NetOf is the number of the net that a point belongs to; ok is false where nothing is joined to it.
func (k *Copper) NetOf(p Point) (net int, ok bool) {
	id, ok := k.node[p]
	if !ok {
		return 0, false
	}
	return k.net[id], true
}

// Net is all points of a point's net; the point alone where nothing is joined to it.
func (k *Copper) Net(p Point) []Point {
	if net, ok := k.NetOf(p); ok {
		return k.nets[net]
	}
	return []Point{p}
}

// Joined tells whether two points are one piece of copper.
func (k *Copper) Joined(a, b Point) bool {
	first, okA := k.NetOf(a)
	second, okB := k.NetOf(b)
	return a == b || okA && okB && first == second
}

// Harness are the joints from terminal to terminal: wires, and the mated ways of in-line connectors. No part is among
// them, so a module's or device's terminal stands for its harness side.
func (c *Circuit) Harness() []Joint {
	out := make([]Joint, 0, len(c.Wires)+len(c.Contacts))
	for _, w := range c.Wires {
		out = append(out, Joint{A: w.From, B: w.To, At: w.Location, LengthM: w.LengthM})
	}
	for _, m := range c.Contacts {
		if c.elements[m.Place].Kind == ElementConnector {
			out = append(out, Joint{A: m.First, B: m.Second, At: m.Location})
		}
	}
	return out
}

// Fuses are the joints that a harness has where its fuses are whole.
func (c *Circuit) Fuses() []Joint {
	var out []Joint
	for _, d := range c.Devices {
		if d.Kind == Fuse {
			out = append(out, Joint{A: d.Terminal("a"), B: d.Terminal("b"), At: PointLocation(Point{Place: d.Name})})
		}
	}
	return out
}

// Joints are all joints from the pins inside the parts to the battery's negative post: wires, every mated contact but
// those of connectors that are apart, and the joints of studs.
func (c *Circuit) Joints(unplugged []string) []Joint {
	apart := map[string]bool{}
	for _, name := range unplugged {
		for _, plug := range c.PlugsNamed(name) {
			apart[plug] = true
		}
	}
	out := make([]Joint, 0, len(c.Wires)+len(c.Contacts)+len(c.Studs))
	for _, w := range c.Wires {
		out = append(out, Joint{A: w.From, B: w.To, At: w.Location, LengthM: w.LengthM})
	}
	for _, m := range c.Contacts {
		if len(apart) == 0 || !apart[c.PlugOf(m.First)] {
			out = append(out, Joint{A: m.First, B: m.Second, At: m.Location})
		}
	}
	for _, s := range c.Studs {
		at := Point{Place: s.Name}
		out = append(out, Joint{A: at, B: BNegative, At: PointLocation(at)})
	}
	return out
}

// Copper is the harness as one graph, from terminal to terminal.
func (c *Circuit) Copper() *Copper { return Join(c.Harness()) }
