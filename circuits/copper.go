package circuits

// Copper is the wiring of a circuit without its parts. A net is all points that wires, splices and mated in-line contacts join
// without a part in between (or with fuses in between, where so built).
type Copper struct {
	of      map[Point]int // points with their sides; a module's or device's terminal on its harness side
	Members [][]Point     // by net; nets and members in the order in which the runs name them
	edges   map[Point][]Step
}

// Step is one step along the copper; wire is -1 where it is a mated contact or a fuse.
type Step struct {
	To   Point
	Wire int
}

// NewCopper finds the nets. throughFuses counts a fuse as a piece of wire.
func NewCopper(c *Circuit, throughFuses bool) *Copper {
	n := &Copper{of: map[Point]int{}, edges: map[Point][]Step{}}
	var points []Point
	join := func(a, b Point, wire int) {
		for _, p := range []Point{a, b} {
			if _, met := n.edges[p]; !met {
				points = append(points, p)
			}
		}
		n.edges[a] = append(n.edges[a], Step{b, wire})
		n.edges[b] = append(n.edges[b], Step{a, wire})
	}
	for i, w := range c.Wires {
		join(w.From, w.To, i)
	}
	for _, k := range c.Contacts {
		if c.Element(k.Place).Kind == ElementConnector {
			join(k.First, k.Second, -1)
		}
	}
	if throughFuses {
		for _, d := range c.Devices {
			if d.Kind == Fuse {
				join(d.Terminal("a"), d.Terminal("b"), -1)
			}
		}
	}
	for _, start := range points {
		if _, done := n.of[start]; done {
			continue
		}
		id := len(n.Members)
		n.Members = append(n.Members, nil)
		n.of[start] = id
		for queue := []Point{start}; len(queue) > 0; queue = queue[1:] {
			n.Members[id] = append(n.Members[id], queue[0])
			for _, e := range n.edges[queue[0]] {
				if _, done := n.of[e.To]; !done {
					n.of[e.To] = id
					queue = append(queue, e.To)
				}
			}
		}
	}
	return n
}

// Net is the members of the net that a point belongs to; the point alone where no wire ends there.
func (n *Copper) Net(p Point) []Point {
	if id, ok := n.of[p]; ok {
		return n.Members[id]
	}
	return []Point{p}
}

// Way is the shortest way along the copper from one point to another of its net, as the steps taken; nil for none.
func (n *Copper) Way(from, to Point) []Step {
	type step struct {
		back Point
		edge Step
	}
	came := map[Point]step{from: {}}
	for queue := []Point{from}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if at == to {
			var out []Step
			for at != from {
				out = append([]Step{came[at].edge}, out...)
				at = came[at].back
			}
			return out
		}
		for _, e := range n.edges[at] {
			if _, met := came[e.To]; !met {
				came[e.To] = step{at, e}
				queue = append(queue, e.To)
			}
		}
	}
	return nil
}

// Nets lists the pieces of copper of the circuit: each is all points (a module's or device's terminal on its harness
// side, an in-line connector's with its half) that wires, splices and mated contacts join without a part in between.
// Nets and points stand in the order in which the runs name them.
func (c *Circuit) Nets() [][]Point { return NewCopper(c, false).Members }

// NetOf is the number of the net that a point belongs to; ok is false where no wire ends there.
func (n *Copper) NetOf(p Point) (id int, ok bool) {
	id, ok = n.of[p]
	return id, ok
}
