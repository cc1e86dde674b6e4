package circuits

import (
	"slices"
	"strings"
)

// mostPartsAround is how many parts beyond a point are followed home; a shared reference has more than a page can show.
const mostPartsAround = 4

// LeftOut says what a part of a circuit does not show of the whole.
type LeftOut struct {
	Wires   int
	Modules []string // in file order, as the devices
	Devices []string
	GoesOn  []Point // splices, studs and posts of the part at which wires that are left out end too, in alphabetical order
}

// Around is the part of a circuit around a point: the way from the module's pin to the point and on to the parts beyond it,
// the other leads of those parts back to where they come from, the neighbours (the wires beside the way in a bundle, in the
// cavities next to its own; the other legs of its splices, as far as their next end), and what that leaves out.
func (c *Circuit) Around(p Point) (*Circuit, LeftOut) {
	if c.Connector(p.Place) == nil {
		p = p.Terminal() // the copper is told from harness side to harness side
	}
	a := around{c: c, copper: c.Copper(), keep: map[Location]bool{}}
	home := a.home(p)
	way := a.follow(p, home)
	for i, part := range a.partsBeyond(home, p) {
		if i == mostPartsAround {
			break
		}
		way = append(way, a.follow(p, part)...)
		for _, t := range c.Device(part.Place).Terminals {
			if lead := (Point{Place: part.Place, Cavity: t.Cavity}); lead != part {
				a.follow(lead, a.home(lead))
			}
		}
	}
	a.beside(way)
	a.legs(way)
	part := c.Only(func(i int) bool { return a.keep[c.Wires[i].Location] })
	return part, c.leftOut(part)
}

// around collects the wires of a part of a circuit.
type around struct {
	c      *Circuit
	copper *Copper
	keep   map[Location]bool
}

// home is the point of a net that a lead comes from: the nearest module pin, else stud or post; the point itself where the
// net has none.
func (a *around) home(p Point) Point {
	var others []Point
	for _, kinds := range [][]ElementKind{{ElementModule}, {ElementStud, ElementPost}} {
		others = others[:0]
		for _, q := range a.copper.Net(p) {
			if slices.Contains(kinds, a.c.elements[q.Place].Kind) {
				others = append(others, q)
			}
		}
		if near, ok := a.nearest(p, others); ok {
			return near
		}
	}
	return p
}

// nearest is the point with the fewest joints to another one; of several the first.
func (a *around) nearest(p Point, others []Point) (near Point, ok bool) {
	least := 0
	for _, q := range others {
		if n := len(a.copper.Way(p, q)); !ok || n < least {
			near, least, ok = q, n, true
		}
	}
	return near, ok
}

// partsBeyond are the terminals of devices beyond a point as seen from its home, the nearest first; the point's own where it
// is one, and all others of the net where its home has nothing beyond.
func (a *around) partsBeyond(home, p Point) []Point {
	isPart := func(q Point) bool { return a.c.elements[q.Place].Kind == ElementDevice }
	if isPart(p) {
		return []Point{p}
	}
	out := slices.DeleteFunc(slices.Clone(a.copper.Beyond(home, p)), func(q Point) bool { return !isPart(q) })
	steps := map[Point]int{}
	for _, q := range out {
		steps[q] = len(a.copper.Way(p, q))
	}
	slices.SortStableFunc(out, func(q, r Point) int { return steps[q] - steps[r] })
	return out
}

// follow keeps the wires of a way, and gives them.
func (a *around) follow(from, to Point) []Wire {
	var out []Wire
	for _, s := range a.copper.Way(from, to) {
		if s.At.IsWire() {
			a.keep[s.At] = true
			out = append(out, *a.c.Wire(s.At))
		}
	}
	return out
}

// beside keeps the wires of a bundle that lie in the cavities next to a wire's own, at either of its ends.
func (a *around) beside(way []Wire) {
	if len(way) == 0 {
		return
	}
	on := map[Location]bool{}
	for _, w := range way {
		on[w.Location] = true
	}
	for _, bundle := range a.c.Bundles() {
		if len(bundle) == 1 {
			continue
		}
		for _, place := range []string{a.c.Wires[bundle[0]].From.Place, a.c.Wires[bundle[0]].To.Place} {
			cavities := a.c.Cavities(place)
			number := make(map[string]int, len(cavities))
			for i, cavity := range cavities {
				number[cavity] = i
			}
			row := slices.Clone(bundle)
			at := func(i int) int {
				w := a.c.Wires[i]
				if w.From.Place == place {
					return number[w.From.Cavity]
				}
				return number[w.To.Cavity]
			}
			slices.SortStableFunc(row, func(i, j int) int { return at(i) - at(j) })
			for i, wire := range row {
				if !on[a.c.Wires[wire].Location] {
					continue
				}
				for _, k := range []int{i - 1, i + 1} {
					if k >= 0 && k < len(row) {
						a.keep[a.c.Wires[row[k]].Location] = true
					}
				}
			}
		}
	}
}

// legs keeps the wires that end at the splices of a way.
func (a *around) legs(way []Wire) {
	splices := map[string]bool{}
	for _, w := range way {
		for _, end := range [2]Point{w.From, w.To} {
			if a.c.elements[end.Place].Kind == ElementSplice {
				splices[end.Place] = true
			}
		}
	}
	for _, w := range a.c.Wires {
		if splices[w.From.Place] || splices[w.To.Place] {
			a.keep[w.Location] = true
		}
	}
}

// leftOut compares a part of a circuit with the whole.
func (c *Circuit) leftOut(part *Circuit) LeftOut {
	out := LeftOut{Wires: len(c.Wires) - len(part.Wires)}
	for _, m := range c.Modules {
		if part.Module(m.Name) == nil {
			out.Modules = append(out.Modules, m.Name)
		}
	}
	for _, d := range c.Devices {
		if part.Device(d.Name) == nil {
			out.Devices = append(out.Devices, d.Name)
		}
	}
	legs := map[Point]int{}
	for _, w := range c.Wires {
		legs[w.From]++
		legs[w.To]++
	}
	shown := map[Point]bool{}
	for _, w := range part.Wires {
		for _, end := range [2]Point{w.From, w.To} {
			legs[end]--
			shown[end] = true
		}
	}
	for p := range shown {
		if legs[p] > 0 {
			out.GoesOn = append(out.GoesOn, p)
		}
	}
	slices.SortFunc(out.GoesOn, func(a, b Point) int { return strings.Compare(a.String(), b.String()) })
	return out
}
