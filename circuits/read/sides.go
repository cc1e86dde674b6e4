package read

import (
	"fmt"

	"ohmtrail/circuits"
)

// People write a path in whatever direction they read it: a ground from the part to the stud. Which half of an in-line
// connector a wire is on follows from what the paths through it have in common, for a part stands on one side of a
// connector. Each passage of a path is a yes or no (from the first half to the second, or back), and each thing that two
// passages have in common says whether their answers are alike.

// passage is where a path meets an in-line connector.
type passage struct {
	run, at   int // in Circuit.Runs, and in its path
	connector string
	like      int  // an earlier passage that it is oriented by; itself for the first of those that have something in common
	back      bool // crosses the other way round than that one
}

// neighbour is a place that a passage has before or behind its connector.
type neighbour struct {
	of     int // the passage
	place  string
	behind bool
}

// seat is what passages of one connector have in common.
type seat struct{ connector, what string }

// shared is a place that a passage has in common with an earlier one.
type shared struct{ own, old neighbour }

// half is the half of its connector that a passage has the wire before it on, or the one behind it.
func half(back, behind bool) int {
	if back != behind {
		return 1
	}
	return 0
}

// passages are all of a circuit, in file order.
type passages struct {
	c   *circuits.Circuit
	all []passage
}

// first is the passage that decides how another one lies, and whether they cross the other way round.
func (p passages) first(i int) (first int, back bool) {
	if p.all[i].like == i {
		return i, false
	}
	first, more := p.first(p.all[i].like)
	p.all[i].like, p.all[i].back = first, p.all[i].back != more
	return first, p.all[i].back
}

// tie makes two passages alike, or unlike, unless that is decided already. The earlier one decides.
func (p passages) tie(i, j int, unlike bool) {
	a, backA := p.first(i)
	b, backB := p.first(j)
	if a != b {
		a, b = min(a, b), max(a, b)
		p.all[b].like, p.all[b].back = a, (backA != backB) != unlike
	}
}

// sideOf is the half that a passage has a neighbour on, against the passage that decides.
func (p passages) sideOf(n neighbour) int {
	_, back := p.first(n.of)
	return half(back, n.behind)
}

// neighbours are the places on a passage's path, as far as that does not meet the connector again. A battery post is on
// no side: feeds and grounds come to it from everywhere.
func (p passages) neighbours(i int) []neighbour {
	var out []neighbour
	path := p.c.Runs[p.all[i].run].Path
	for _, step := range [2]int{-1, 1} {
		for at := p.all[i].at + step; at >= 0 && at < len(path) && path[at].Place != p.all[i].connector; at += step {
			if p.c.Element(path[at].Place).Kind != circuits.ElementPost {
				out = append(out, neighbour{i, path[at].Place, step > 0})
			}
		}
	}
	return out
}

// sides finds the half of its in-line connectors that each wire ends on, and reports paths that contradict each other. It
// gives the cavities that the first path through them crosses from the second half to the first.
func (p *circuitParser) sides() (against map[circuits.Point]bool) {
	c := p.c
	ps := passages{c: c}
	for run, r := range c.Runs {
		for at, point := range r.Path {
			if c.Connector(point.Place) != nil {
				ps.all = append(ps.all, passage{run: run, at: at, connector: point.Place, like: len(ps.all)})
			}
		}
	}
	wrong := ps.orient()
	ps.weakly()
	told := map[int]bool{}
	for _, bad := range wrong {
		if run := ps.all[bad[0].own.of].run; !told[run] {
			told[run] = true
			p.paths[run].fail(ps.contradiction(bad))
		}
	}
	alone := ps.deadEnds()
	against = map[circuits.Point]bool{}
	for i, x := range ps.all {
		r, k := c.Runs[x.run], c.Connector(x.connector)
		first, back := ps.first(i)
		end := func(point *circuits.Point, behind bool) {
			on := half(back, behind)
			if alone[first] {
				on = 0
			}
			point.Side = k.Sides[on]
			k.Crossed = k.Crossed || on == 1
		}
		if x.at > 0 {
			end(&c.Wires[r.Wires[x.at-1]].To, false)
		}
		if x.at < len(r.Wires) {
			end(&c.Wires[r.Wires[x.at]].From, true)
		}
		if _, met := against[r.Path[x.at]]; !met {
			against[r.Path[x.at]] = back
		}
	}
	return against
}

// orient ties passages that have a part, a splice or a connector in common, and gives what contradicts that: two places
// of one passage that others have on the wrong sides.
func (p passages) orient() (wrong [][2]shared) {
	met := map[seat]neighbour{}
	for i, x := range p.all {
		var common []shared
		for _, n := range p.neighbours(i) {
			if p.c.Stud(n.place) != nil {
				continue
			}
			at := seat{x.connector, n.place}
			if old, known := met[at]; known {
				common = append(common, shared{n, old})
			} else {
				met[at] = n
			}
		}
		if bad, found := p.opposed(common); found {
			wrong = append(wrong, bad)
			continue
		}
		for _, s := range common {
			p.tie(s.old.of, i, s.own.behind != s.old.behind)
		}
	}
	return wrong
}

// opposed finds two places of a passage that earlier ones have on other sides than it could.
func (p passages) opposed(common []shared) (bad [2]shared, found bool) {
	type says struct {
		by   shared
		back bool
	}
	said := map[int]says{} // by the passage that decides
	for _, s := range common {
		first, back := p.first(s.old.of)
		if s.old.of == s.own.of {
			if s.old.behind != s.own.behind {
				return [2]shared{s, s}, true
			}
			continue
		}
		back = back != (s.own.behind != s.old.behind)
		if before, known := said[first]; !known {
			said[first] = says{s, back}
		} else if before.back != back {
			return [2]shared{before.by, s}, true
		}
	}
	return bad, false
}

// weakly ties passages through one cavity, and those with a stud in common, where nothing else has decided: a stud may
// have wires from both sides.
func (p passages) weakly() {
	met := map[seat]neighbour{}
	tie := func(connector string, n neighbour) {
		at := seat{connector, n.place}
		if old, known := met[at]; known {
			p.tie(old.of, n.of, n.behind != old.behind)
		} else {
			met[at] = n
		}
	}
	for i, x := range p.all {
		tie(x.connector, neighbour{of: i, place: ":" + p.c.Runs[x.run].Path[x.at].Cavity})
	}
	for i, x := range p.all {
		for _, n := range p.neighbours(i) {
			if p.c.Stud(n.place) != nil {
				tie(x.connector, n)
			}
		}
	}
}

// deadEnds are the passages that decide for paths that all end on one half, with nothing on the other: a diagnostic
// socket, a spare cavity. Such wires are on the first half.
func (p passages) deadEnds() map[int]bool {
	on := map[int]int{} // halves with wires, as bits
	for i, x := range p.all {
		first, back := p.first(i)
		if x.at > 0 {
			on[first] |= 1 << half(back, false)
		}
		if x.at < len(p.c.Runs[x.run].Path)-1 {
			on[first] |= 1 << half(back, true)
		}
	}
	out := map[int]bool{}
	for first, halves := range on {
		out[first] = halves != 3
	}
	return out
}

// contradiction says why no direction of a path fits those of others.
func (p passages) contradiction(bad [2]shared) (what, hint string) {
	a, b := bad[0], bad[1]
	k := p.c.Connector(p.all[a.own.of].connector)
	if a == b {
		return fmt.Sprintf("it has %s on both sides of %s", a.own.place, k.Name),
			fmt.Sprintf("end this run before it comes back to %s, and write the rest as a run of its own", a.own.place)
	}
	by := func(n neighbour) string {
		r := p.c.Runs[p.all[n.of].run]
		return fmt.Sprintf("run %q of line %d", r.Title(), r.Line)
	}
	lie := "on different sides"
	if a.own.behind == b.own.behind {
		lie = "on one side"
	}
	what = fmt.Sprintf("it has %s and %s %s of %s, but %s has %s on the %s side", a.own.place, b.own.place, lie, k.Name, by(a.old), a.own.place, k.Sides[p.sideOf(a.old)])
	if by(a.old) != by(b.old) {
		what += ", and " + by(b.old) + " has"
	} else {
		what += " and"
	}
	return what + fmt.Sprintf(" %s on the %s side", b.own.place, k.Sides[p.sideOf(b.old)]), "a place stands on one side of a connector: correct the path that is wrong"
}
