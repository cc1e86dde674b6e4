package network

import (
	"ohmtrail/circuits"
)

// A netlist is laid out once, and its values written anew as often as numbers or stimuli change: by the same laws, which
// lay out the same branches, output stages and pieces in the same order whatever the numbers. So a netlist that is
// rewriting writes over what it has from a mark on, and asks for no nodes, which cost most of laying out.

// mark is a place in a netlist's lists.
type mark struct{ branch, gain, piece, module int }

// here is where the next of everything will stand.
func (n *netlist) here() mark {
	if n.rewriting {
		return n.cursor
	}
	return mark{len(n.values.branches), len(n.values.gains), len(n.pieces), len(n.modules)}
}

// rewrite is a netlist that writes over these values and pieces from a mark on.
func (n *netlist) rewrite(v values, pieces []piece, modules []moduleSlots, from mark) *netlist {
	return &netlist{c: n.c, values: v, pieces: pieces, modules: modules, key: n.key, joints: n.joints, built: n.built, rewriting: true, cursor: from}
}

// add appends a branch and gives its number.
func (n *netlist) add(b branch) int {
	if !n.rewriting {
		n.values.branches = append(n.values.branches, b)
		return len(n.values.branches) - 1
	}
	i := n.cursor.branch
	to := &n.values.branches[i]
	to.siemens, to.emf, to.amps = b.siemens, b.emf, b.amps
	n.cursor.branch++
	return i
}

// addGain appends an output stage.
func (n *netlist) addGain(g gain) int {
	if !n.rewriting {
		n.values.gains = append(n.values.gains, g)
		return len(n.values.gains) - 1
	}
	i := n.cursor.gain
	n.values.gains[i].siemens, n.values.gains[i].share = g.siemens, g.share
	n.cursor.gain++
	return i
}

// addPiece appends a part that changes its law.
func (n *netlist) addPiece(p piece) int {
	if !n.rewriting {
		n.pieces = append(n.pieces, p)
		return len(n.pieces) - 1
	}
	i := n.cursor.piece
	p.a, p.b = n.pieces[i].a, n.pieces[i].b
	n.pieces[i] = p
	n.cursor.piece++
	return i
}

// revalue gives a netlist, a copy whose values nobody else has, the numbers of a machine of its circuit. What the state
// of a reading changes is not kept.
func (n *netlist) revalue(own *circuits.Circuit) {
	n.c, n.modules = own, append([]moduleSlots(nil), n.modules...)
	n.rewrite(n.values, n.pieces, n.modules, mark{}).parts(n.built)
}
