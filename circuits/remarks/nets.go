package remarks

import (
	"ohmtrail/circuits"
)

// netFacts are what a search asks of a net: the points at which it can end, and the parts through which it goes on.
type netFacts struct {
	ends  []circuits.Point // module pins, posts and studs
	parts []circuits.Point // terminals of devices
	sink  bool             // one of the ends takes current back
}

// factsOf sorts the points of every net.
func (r *remarker) factsOf(n *circuits.Copper) []netFacts {
	out := make([]netFacts, len(n.Nets()))
	for id, net := range n.Nets() {
		f := &out[id]
		for _, p := range net {
			switch r.c.Element(p.Place).Kind {
			case circuits.ElementModule, circuits.ElementPost, circuits.ElementStud:
				f.ends = append(f.ends, p)
				f.sink = f.sink || r.isSink(p)
			case circuits.ElementDevice:
				f.parts = append(f.parts, p)
			}
		}
	}
	return out
}

// search looks for a wanted point along the copper and through parts that conduct. It does not go on beyond a net that
// takes current back: behind the common return stand all other sensors, which have nothing to do with this one. skip is
// a part that is not walked through; nil for none.
func (r *remarker) search(start circuits.Point, skip *circuits.Device, want func(circuits.Point) bool) (circuits.Point, bool) {
	seen := map[int]bool{}
	for queue := []circuits.Point{start}; len(queue) > 0; queue = queue[1:] {
		id, ok := r.fused.NetOf(queue[0])
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
				if t.Role != d.role && conducts(d.Device, d.role, t.Role) {
					queue = append(queue, circuits.Point{Place: d.Name, Cavity: t.Cavity})
				}
			}
		}
	}
	return circuits.Point{}, false
}

// conducts tells whether current can flow through the part between two of its terminals: through every two-terminal
// part but a cell, along a track, and through the transistor of a switching sensor.
func conducts(d *circuits.Device, a, b string) bool {
	switch d.Kind {
	case circuits.Zirconia, circuits.Ratiometric:
		return false
	case circuits.Switching:
		return a != "supply" && b != "supply"
	}
	return true
}

// isSink tells whether current can flow back at a point: a return, ground or low-side pin, a stud or the negative post.
func (r *remarker) isSink(p circuits.Point) bool {
	if r.isGround(p) {
		return true
	}
	pin := r.pins[p]
	return pin != nil && (pin.Kind == circuits.PinReturn || pin.Kind == circuits.PinLowSide)
}

// isGround tells whether a point is ground itself.
func (r *remarker) isGround(p circuits.Point) bool {
	if p == circuits.BNegative || r.c.Element(p.Place).Kind == circuits.ElementStud {
		return true
	}
	pin := r.pins[p]
	return pin != nil && pin.Kind == circuits.PinGround
}

// isFeed tells whether a point can feed a part: the battery, or a reference, power or high-side pin.
func (r *remarker) isFeed(p circuits.Point) bool {
	if p == circuits.BPositive {
		return true
	}
	pin := r.pins[p]
	return pin != nil && (pin.Kind == circuits.PinReference || pin.Kind == circuits.PinPower || pin.Kind == circuits.PinHighSide)
}

// firstOf is the first point for which is holds; ok is false where there is none.
func firstOf(points []circuits.Point, is func(circuits.Point) bool) (circuits.Point, bool) {
	for _, p := range points {
		if is(p) {
			return p, true
		}
	}
	return circuits.Point{}, false
}

func (r *remarker) pinOfKind(points []circuits.Point, kind circuits.PinKind) (circuits.Point, bool) {
	return firstOf(points, func(p circuits.Point) bool { pin := r.pins[p]; return pin != nil && pin.Kind == kind })
}
