package wirelist

import (
	"fmt"
	"slices"
)

// Every path crosses an in-line connector from its first half to its second: an element that one path meets before the
// connector cannot stand behind it in another. A wire list knows no direction, so the chains must be turned until they
// all agree. Each chain is a yes or no (turned or not), each thing that two chains have in common at a connector says
// whether their answers are alike; a contradiction is a wire that no path can hold.

// seat is something whose place before or behind a connector all chains must agree on: an element, the name of a half,
// or one wire of a mated pair.
type seat struct{ connector, what string }

// seating is what one chain says of its seats, in its own direction.
type seating struct {
	order    []seat
	behind   map[seat]bool
	conflict string // why the chain contradicts itself; "" where it does not
}

func (s *seating) sit(at seat, behind bool, conflict string) {
	old, met := s.behind[at]
	switch {
	case !met:
		s.behind[at] = behind
		s.order = append(s.order, at)
	case old != behind && s.conflict == "":
		s.conflict = conflict
	}
}

func (l *list) seatingOf(c chain, found map[string]*place, mates map[end][2]int) seating {
	s := seating{behind: map[seat]bool{}}
	path := c.path(l.wires)
	for i, k := range path {
		if found[k.place].kind != aConnector {
			continue
		}
		for j, e := range path {
			if e.place == k.place && i != j {
				s.conflict = fmt.Sprintf("it loops back through %s", k.place)
			} else if kind := found[e.place].kind; i != j && kind != aPost && kind != aStud {
				s.sit(seat{k.place, e.place}, j > i, fmt.Sprintf("it passes %s on both sides of %s", e.place, k.place))
			}
		}
		half := func(wire int, e end, behind bool) {
			if e.side != "" {
				s.sit(seat{k.place, "half " + e.side}, behind, fmt.Sprintf("both of its wires are on the half %s of %s", e.side, k.place))
			}
			if pair, ok := mates[k]; ok && has2(pair, wire) {
				s.sit(seat{k.place, "pair " + k.String()}, behind != (wire == pair[1]), fmt.Sprintf("it meets itself in %s", k))
			}
		}
		if i > 0 {
			_, to := c.at(l.wires, i-1)
			half(c.wires[i-1], to, false)
		}
		if i < len(c.wires) {
			from, _ := c.at(l.wires, i)
			half(c.wires[i], from, true)
		}
	}
	return s
}

func has2(pair [2]int, w int) bool { return pair[0] == w || pair[1] == w }

// orient turns the chains so that they agree, and leaves out, and tells, those that cannot. Where nothing forces a
// direction the rows' own from and to decide if they agree, else modules stand first.
func (l *list) orient(chains []chain, found map[string]*place, mates map[end][2]int) []chain {
	type use struct {
		chain  int
		behind bool
	}
	used := map[seat]use{}
	root := make([]int, len(chains))    // chains that are turned together
	turned := make([]bool, len(chains)) // against the root's direction
	keep := make([]bool, len(chains))
	for i := range root {
		root[i] = i
	}
	for ci, c := range chains {
		s := l.seatingOf(c, found, mates)
		turns := map[int]bool{} // root -> whether this chain is turned against it
		var roots []int
		for _, at := range s.order {
			u, met := used[at]
			if !met || s.conflict != "" {
				continue
			}
			against := turned[u.chain] != (u.behind != s.behind[at])
			if old, known := turns[root[u.chain]]; !known {
				turns[root[u.chain]] = against
				roots = append(roots, root[u.chain])
			} else if old != against {
				s.conflict = fmt.Sprintf("it crosses %s the other way round than the wire of line %d", at.connector, l.wires[chains[u.chain].wires[0]].line)
			}
		}
		if s.conflict != "" {
			for _, w := range c.wires {
				l.lost(l.wires[w].line, fmt.Sprintf("%s to %s could not be placed: %s", l.wires[w].from, l.wires[w].to, s.conflict),
					"all paths must cross an in-line connector from the same half to the other; check the names and cavities of this wire")
			}
			continue
		}
		keep[ci] = true
		slices.Sort(roots)
		for n, r := range roots {
			if n == 0 {
				root[ci], turned[ci] = r, turns[r]
				continue
			}
			delta := turns[r] != turns[roots[0]] // this chain ties two groups together
			for i := range root {
				if root[i] == r {
					root[i], turned[i] = roots[0], turned[i] != delta
				}
			}
		}
		for _, at := range s.order {
			if _, met := used[at]; !met {
				used[at] = use{ci, s.behind[at]}
			}
		}
	}
	return l.turn(chains, keep, root, turned, found)
}

// turn gives every group of chains its direction.
func (l *list) turn(chains []chain, keep []bool, root []int, turned []bool, found map[string]*place) []chain {
	with, against, rank := map[int]int{}, map[int]int{}, map[int]int{}
	for i, c := range chains {
		if !keep[i] {
			continue
		}
		for _, flip := range c.flip {
			if flip == turned[i] {
				with[root[i]]++
			} else {
				against[root[i]]++
			}
		}
		path := c.path(l.wires)
		first, last := rankOf[found[path[0].place].kind], rankOf[found[path[len(path)-1].place].kind]
		if turned[i] {
			first, last = last, first
		}
		rank[root[i]] += sign(last - first)
	}
	var out []chain
	for i, c := range chains {
		if !keep[i] {
			continue
		}
		r := root[i]
		back := against[r] > with[r]
		if with[r] > 0 && against[r] > 0 && rank[r] != 0 {
			back = rank[r] < 0
		}
		if back != turned[i] {
			c = c.turned()
		}
		out = append(out, c)
	}
	return out
}

// rankOf orders what a path starts with when nothing else decides: modules, posts and studs first, devices last.
var rankOf = map[placeKind]int{aModule: 0, aPost: 1, aStud: 2, aSplice: 3, aConnector: 4, aDevice: 5}

func sign(n int) int {
	switch {
	case n > 0:
		return 1
	case n < 0:
		return -1
	}
	return 0
}
