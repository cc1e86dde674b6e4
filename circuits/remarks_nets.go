package circuits

// nets are the pieces of copper of a circuit: a net is all points that wires, splices and mated in-line contacts join
// without a part in between (or with fuses in between, where so built).
type nets struct {
	of      map[Point]int // points with their sides; a module's or device's terminal on its harness side
	members [][]Point     // by net; nets and members in the order in which the runs name them
	edges   map[Point][]netEdge
}

// netEdge is one step along the copper; wire is -1 where it is a mated contact or a fuse.
type netEdge struct {
	to   Point
	wire int
}

// newNets finds the nets. throughFuses counts a fuse as a piece of wire.
func newNets(c *Circuit, throughFuses bool) *nets {
	n := &nets{of: map[Point]int{}, edges: map[Point][]netEdge{}}
	var points []Point
	join := func(a, b Point, wire int) {
		for _, p := range []Point{a, b} {
			if _, met := n.edges[p]; !met {
				points = append(points, p)
			}
		}
		n.edges[a] = append(n.edges[a], netEdge{b, wire})
		n.edges[b] = append(n.edges[b], netEdge{a, wire})
	}
	for i, w := range c.Wires {
		join(w.From, w.To, i)
	}
	for _, k := range c.Contacts {
		if c.elements[k.Place].kind == isConnector {
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
		id := len(n.members)
		n.members = append(n.members, nil)
		n.of[start] = id
		for queue := []Point{start}; len(queue) > 0; queue = queue[1:] {
			n.members[id] = append(n.members[id], queue[0])
			for _, e := range n.edges[queue[0]] {
				if _, done := n.of[e.to]; !done {
					n.of[e.to] = id
					queue = append(queue, e.to)
				}
			}
		}
	}
	return n
}

// net is the members of the net that a point belongs to; the point alone where no wire ends there.
func (n *nets) net(p Point) []Point {
	if id, ok := n.of[p]; ok {
		return n.members[id]
	}
	return []Point{p}
}

// path is the shortest way along the copper from one point to another of its net, as the steps taken; nil for none.
func (n *nets) path(from, to Point) []netEdge {
	type step struct {
		back Point
		edge netEdge
	}
	came := map[Point]step{from: {}}
	for queue := []Point{from}; len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		if at == to {
			var out []netEdge
			for at != from {
				out = append([]netEdge{came[at].edge}, out...)
				at = came[at].back
			}
			return out
		}
		for _, e := range n.edges[at] {
			if _, met := came[e.to]; !met {
				came[e.to] = step{at, e}
				queue = append(queue, e.to)
			}
		}
	}
	return nil
}

// netFacts are what a search asks of a net: the points at which it can end, and the parts through which it goes on.
type netFacts struct {
	ends  []Point // module pins, posts and studs
	parts []Point // terminals of devices
	sink  bool    // one of the ends takes current back
}

// factsOf sorts the points of every net.
func (r *remarker) factsOf(n *nets) []netFacts {
	out := make([]netFacts, len(n.members))
	for id, net := range n.members {
		f := &out[id]
		for _, p := range net {
			switch r.c.elements[p.Place].kind {
			case isModule, isPost, isStud:
				f.ends = append(f.ends, p)
				f.sink = f.sink || r.isSink(p)
			case isDevice:
				f.parts = append(f.parts, p)
			}
		}
	}
	return out
}

// search looks for a wanted point along the copper and through parts that conduct. It does not go on beyond a net that
// takes current back: behind the common return stand all other sensors, which have nothing to do with this one. skip is
// a part that is not walked through; nil for none.
func (r *remarker) search(start Point, skip *Device, want func(Point) bool) (Point, bool) {
	seen := map[int]bool{}
	for queue := []Point{start}; len(queue) > 0; queue = queue[1:] {
		id, ok := r.fused.of[queue[0]]
		if !ok || seen[id] {
			continue // no wire, or met before
		}
		seen[id] = true
		f := &r.facts[id]
		if p, ok := firstOf(f.ends, want); ok {
			return p, true
		}
		if p, ok := firstOf(f.parts, want); ok {
			return p, true
		}
		if f.sink {
			continue
		}
		for _, p := range f.parts {
			d := r.devices[p]
			if d.Device == skip {
				continue
			}
			for _, t := range d.Terminals {
				if t.Role != d.role && d.conducts(d.role, t.Role) {
					queue = append(queue, Point{Place: d.Name, Cavity: t.Cavity})
				}
			}
		}
	}
	return Point{}, false
}

// conducts tells whether current can flow through the part between two of its terminals: through every two-terminal
// part but a cell, along a track, and through the transistor of a switching sensor.
func (d *Device) conducts(a, b string) bool {
	switch d.Kind {
	case Zirconia, Ratiometric:
		return false
	case Switching:
		return a != "supply" && b != "supply"
	}
	return true
}

// isSink tells whether current can flow back at a point: a return, ground or low-side pin, a stud or the negative post.
func (r *remarker) isSink(p Point) bool {
	if r.isGround(p) {
		return true
	}
	pin := r.pins[p]
	return pin != nil && (pin.Kind == PinReturn || pin.Kind == PinLowSide)
}

// isGround tells whether a point is ground itself.
func (r *remarker) isGround(p Point) bool {
	if p == BNegative || r.c.elements[p.Place].kind == isStud {
		return true
	}
	pin := r.pins[p]
	return pin != nil && pin.Kind == PinGround
}

// isFeed tells whether a point can feed a part: the battery, or a reference, power or high-side pin.
func (r *remarker) isFeed(p Point) bool {
	if p == BPositive {
		return true
	}
	pin := r.pins[p]
	return pin != nil && (pin.Kind == PinReference || pin.Kind == PinPower || pin.Kind == PinHighSide)
}

// firstOf is the first point for which is holds; ok is false where there is none.
func firstOf(points []Point, is func(Point) bool) (Point, bool) {
	for _, p := range points {
		if is(p) {
			return p, true
		}
	}
	return Point{}, false
}

func (r *remarker) pinOfKind(points []Point, kind PinKind) (Point, bool) {
	return firstOf(points, func(p Point) bool { pin := r.pins[p]; return pin != nil && pin.Kind == kind })
}

// Nets lists the pieces of copper of the circuit: each is all points (a module's or device's terminal on its harness
// side, an in-line connector's with its half) that wires, splices and mated contacts join without a part in between.
// Nets and points stand in the order in which the runs name them.
func (c *Circuit) Nets() [][]Point { return newNets(c, false).members }
