package network_test

import (
	"fmt"
	"strconv"
	"strings"
)

// The oracle of the comparison with ngspice: an independent reading of the contract's electrical sections, written
// without a look at the solver. This file holds linear networks of named nodes and their text as a SPICE deck.

// spiceElement is one ideal element between two named nodes.
//
//	R: Value in ohms, 0 merges its nodes
//	V: Value in volts, a is positive
//	I: Value in amperes, from a through the element to b
//	E: Value is the gain; V(a) - V(b) = Value·(V(ca) - V(cb))
type spiceElement struct {
	kind         byte
	name         string
	a, b, ca, cb string
	value        float64
}

// spicePart is a part with several states; next tells which state the solution asks for.
type spicePart struct {
	id   string
	next func(s *spiceSolution) int
}

// spiceFuse is a fuse that conducts; load is its current as a share of 1.35 times its amps.
type spiceFuse struct {
	id   string
	load func(s *spiceSolution) float64
}

// spiceNet is the linear network of one assumed vector of states.
type spiceNet struct {
	elements []spiceElement
	parts    []spicePart
	fuses    []spiceFuse
	solution *spiceSolution // once solved

	merged  *unionFind // nodes joined by no resistance at all
	islands *unionFind // nodes joined by anything that conducts
	dry     *unionFind // the same without the meter
}

// meterName is the element that stands for the meter; floating is judged without it.
const meterName = "meter"

// ground is the node of the battery's negative post.
const ground = "B-"

func (n *spiceNet) resistor(name, a, b string, ohms float64) {
	n.elements = append(n.elements, spiceElement{kind: 'R', name: name, a: a, b: b, value: ohms})
}

func (n *spiceNet) joint(a, b string) { n.resistor("", a, b, 0) }

func (n *spiceNet) source(name, plus, minus string, volts float64) {
	n.elements = append(n.elements, spiceElement{kind: 'V', name: name, a: plus, b: minus, value: volts})
}

func (n *spiceNet) current(name, from, to string, amps float64) {
	n.elements = append(n.elements, spiceElement{kind: 'I', name: name, a: from, b: to, value: amps})
}

func (n *spiceNet) controlled(name, plus, minus, cPlus, cMinus string, gain float64) {
	n.elements = append(n.elements, spiceElement{kind: 'E', name: name, a: plus, b: minus, ca: cPlus, cb: cMinus, value: gain})
}

// join finds merged nodes and islands. A current source joins nothing: it cannot hold a voltage.
func (n *spiceNet) join() {
	n.merged, n.islands, n.dry = newUnionFind(), newUnionFind(), newUnionFind()
	for _, e := range n.elements {
		if e.kind == 'R' && e.value == 0 {
			n.merged.union(e.a, e.b)
		}
		if e.kind == 'I' {
			continue
		}
		n.islands.union(e.a, e.b)
		if e.name != meterName {
			n.dry.union(e.a, e.b)
		}
	}
}

// floats tells whether nothing, with the meter if it stands there, joins the node to B-.
func (n *spiceNet) floats(node string) bool { return n.islands.find(node) != n.islands.find(ground) }

// torn tells whether a current source stands between two islands, where it cannot drive anything.
func (n *spiceNet) torn(e spiceElement) bool {
	return e.kind == 'I' && n.islands.find(e.a) != n.islands.find(e.b)
}

// spiceDeck is the text of several networks side by side, and where their unknowns stand in the answer.
type spiceDeck struct {
	text    strings.Builder
	nodes   int
	count   int
	columns []map[string]string // per network: node -> name of the vector, "" for zero volts; "#name" -> vector of a current
	solved  []*spiceNet
	flaw    []string // per network: why it has no solution by its very form
}

func newDeck() *spiceDeck {
	d := &spiceDeck{}
	d.text.WriteString("ohmtrail oracle\n")
	return d
}

// add writes one network. In every island without B- one node is held at 0 V so that the differences within the
// island exist; no caller reads its absolute voltages.
func (d *spiceDeck) add(n *spiceNet) {
	n.join()
	column := map[string]string{}
	reference := map[string]string{n.islands.find(ground): n.merged.find(ground)}
	node := func(name string) string {
		root := n.merged.find(name)
		island := n.islands.find(name)
		if _, ok := reference[island]; !ok {
			reference[island] = root
		}
		if reference[island] == root {
			column[name] = ""
			return "0"
		}
		key := "=" + root
		if column[key] == "" {
			d.nodes++
			column[key] = strconv.Itoa(d.nodes)
		}
		column[name] = "v(" + column[key] + ")"
		return column[key]
	}
	flaw := ""
	for _, e := range n.elements {
		a, b := node(e.a), node(e.b)
		if a == b || n.torn(e) {
			if e.kind == 'V' && e.value != 0 || e.kind == 'E' {
				flaw = fmt.Sprintf("source %s is short-circuited by nothing but ideal joints", e.name)
			}
			continue
		}
		d.count++
		name := fmt.Sprintf("%d", d.count)
		value := strconv.FormatFloat(e.value, 'g', -1, 64)
		switch {
		case e.kind == 'R':
			// A current-controlled source that its own current controls, so that the current is an unknown: in nodal form
			// a point that hangs by milliohms and megohms loses its voltage in the rounding of the sum of conductances.
			fmt.Fprintf(&d.text, "H%s %s %s H%s %s\n", name, a, b, name, value)
			column["#"+e.name] = "i(h" + name + ")"
		case e.kind == 'E':
			fmt.Fprintf(&d.text, "E%s %s %s %s %s %s\n", name, a, b, node(e.ca), node(e.cb), value)
		default:
			fmt.Fprintf(&d.text, "%c%s %s %s %s\n", e.kind, name, a, b, value)
			if e.kind == 'V' {
				column["#"+e.name] = "i(v" + name + ")"
			}
		}
	}
	d.columns, d.solved, d.flaw = append(d.columns, column), append(d.solved, n), append(d.flaw, flaw)
}

// String is the whole deck. The pivots are to be the ones of Kirchhoff's current law, not the milliohms, which would
// bring the conductances back: hence pivrel near 1.
func (d *spiceDeck) String() string {
	if d.count == 0 {
		return "" // nothing to solve
	}
	return d.text.String() + ".options reltol=1e-9 abstol=1e-15 vntol=1e-12 gmin=1e-18 pivrel=0.9\n.op\n.end\n"
}

// deliver hands the vectors of an answer to the networks.
func (d *spiceDeck) deliver(vectors map[string]float64) error {
	for i, n := range d.solved {
		s := &spiceSolution{net: n, volts: map[string]float64{}, amps: map[string]float64{}}
		for name, vector := range d.columns[i] {
			if name[0] == '=' {
				continue
			}
			value, ok := vectors[vector]
			if !ok && vector != "" {
				return fmt.Errorf("ngspice gave no vector %s", vector)
			}
			if name[0] == '#' {
				s.amps[name[1:]] = value
			} else {
				s.volts[name] = value
			}
		}
		n.solution = s
	}
	return nil
}

// spiceSolution is what ngspice found for one network.
type spiceSolution struct {
	net   *spiceNet
	volts map[string]float64 // by node; a node without elements is absent
	amps  map[string]float64 // by element, from a to b, of voltage sources and small resistors
}

// between is the voltage from one node to another.
func (s *spiceSolution) between(plus, minus string) float64 { return s.volts[plus] - s.volts[minus] }

// joined tells whether two nodes are in one island, so that the voltage between them exists.
func (s *spiceSolution) joined(a, b string) bool {
	return s.net.islands.find(a) == s.net.islands.find(b)
}

// unionFind joins names.
type unionFind struct{ parent map[string]string }

func newUnionFind() *unionFind { return &unionFind{parent: map[string]string{}} }

func (u *unionFind) find(x string) string {
	for {
		p, ok := u.parent[x]
		if !ok || p == x {
			return x
		}
		if g, ok := u.parent[p]; ok {
			u.parent[x] = g
		}
		x = p
	}
}

func (u *unionFind) union(a, b string) {
	ra, rb := u.find(a), u.find(b)
	if ra != rb {
		u.parent[ra] = rb
	}
}
