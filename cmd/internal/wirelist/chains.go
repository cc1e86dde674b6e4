package wirelist

import "fmt"

// chain is a run in the making: wires that follow each other through in-line connectors. flip tells for each wire
// whether the chain walks it from its to to its from.
type chain struct {
	wires []int
	flip  []bool
}

// at gives the ends of the chain's i-th wire in walking order.
func (c chain) at(wires []wire, i int) (from, to end) {
	w := wires[c.wires[i]]
	if c.flip[i] {
		return w.to, w.from
	}
	return w.from, w.to
}

// path is the chain's elements in walking order.
func (c chain) path(wires []wire) []end {
	first, _ := c.at(wires, 0)
	out := []end{first.terminal()}
	for i := range c.wires {
		_, to := c.at(wires, i)
		out = append(out, to.terminal())
	}
	return out
}

// turned is the chain walked the other way.
func (c chain) turned() chain {
	n := len(c.wires)
	out := chain{make([]int, n), make([]bool, n)}
	for i := range c.wires {
		out.wires[n-1-i], out.flip[n-1-i] = c.wires[i], !c.flip[i]
	}
	return out
}

// mates finds for each cavity of an in-line connector the two wires that meet in it. Where more than two do, and the
// list does not tell the halves, the first two are taken.
func (l *list) mates(found map[string]*place) map[end][2]int {
	at := map[end][]int{}
	var order []end
	for i, w := range l.wires {
		for _, e := range []end{w.from, w.to} {
			if found[e.place].kind != aConnector {
				continue
			}
			if len(at[e.terminal()]) == 0 {
				order = append(order, e.terminal())
			}
			at[e.terminal()] = append(at[e.terminal()], i)
		}
	}
	out := map[end][2]int{}
	for _, e := range order {
		ends := at[e]
		if len(ends) < 2 {
			continue
		}
		a, b := -1, -1
		for i := range ends {
			for j := i + 1; j < len(ends) && a < 0; j++ {
				sa, sb := l.sideAt(ends[i], e), l.sideAt(ends[j], e)
				if ends[i] != ends[j] && (sa == "" || sb == "" || sa != sb) {
					a, b = ends[i], ends[j]
				}
			}
		}
		if a < 0 {
			continue // all on one half: a double crimp at the end of two paths
		}
		out[e] = [2]int{a, b}
		if len(ends) > 2 {
			l.guessed(l.wires[ends[2]].line, fmt.Sprintf("%d wires meet in %s: those of lines %d and %d were taken as mated, the others as ending there", len(ends), e, l.wires[a].line, l.wires[b].line),
				"name the half of the connector that each wire is on, in a column from_side or to_side")
		}
	}
	return out
}

// sideAt is the half on which a wire's end at a terminal is, "" where the list does not say.
func (l *list) sideAt(i int, e end) string {
	w := l.wires[i]
	if w.from.terminal() == e {
		return w.from.side
	}
	return w.to.side
}

// chains joins wires through the connectors.
func (l *list) chains(mates map[end][2]int) []chain {
	used := make([]bool, len(l.wires))
	next := func(i int, e end) int { // the wire that goes on behind a terminal, -1 for none
		m, ok := mates[e]
		switch {
		case ok && m[0] == i:
			return m[1]
		case ok && m[1] == i:
			return m[0]
		}
		return -1
	}
	var out []chain
	for start := range l.wires {
		if used[start] {
			continue
		}
		// walk back to where the chain begins, then forward from there
		i, flip := start, false
		seen := map[int]bool{start: true}
		for {
			from := l.wires[i].from
			if flip {
				from = l.wires[i].to
			}
			back := next(i, from.terminal())
			if back < 0 || seen[back] {
				break
			}
			seen[back] = true
			flip = l.wires[back].from.terminal() == from.terminal()
			i = back
		}
		var c chain
		for i >= 0 && !used[i] {
			used[i] = true
			c.wires, c.flip = append(c.wires, i), append(c.flip, flip)
			to := l.wires[i].to
			if flip {
				to = l.wires[i].from
			}
			i = next(i, to.terminal())
			flip = i >= 0 && l.wires[i].to.terminal() == to.terminal()
		}
		out = append(out, c)
	}
	return out
}

// cutAtColours parts a chain where wires with a known colour meet wires without one: a run has a colour for all of its
// wires, or for none.
func cutAtColours(wires []wire, chains []chain) []chain {
	var out []chain
	for _, c := range chains {
		start := 0
		for i := 1; i <= len(c.wires); i++ {
			if i == len(c.wires) || (wires[c.wires[i]].color == "") != (wires[c.wires[i-1]].color == "") {
				out = append(out, chain{c.wires[start:i], c.flip[start:i]})
				start = i
			}
		}
	}
	return out
}
