package draw

import (
	"fmt"

	"ohmtrail/circuits"
)

const (
	ink     = "#1b1b1b" // outlines and text
	faint   = "#5b5f63" // secondary text; 6.4:1 on white
	paper   = "#ffffff"
	panel   = "#f3f1ea" // inside of boxes
	slipPad = 4.0

	probeRoom = 17.0 // the sign of a test point, beside its values
)

// slip is a small block of text that hangs on a place: the values of a test point, or the tag of a suspect.
type slip struct {
	suspect       int // index into Marks.Suspects, none for a test point
	lines         []line
	width, height float64
	point         circuits.Point // of a test point
}

// legSlips hang under a leg: at its first and its second end, and between.
type legSlips struct {
	ends   [2][]slip
	middle []slip
}

// notes says where every mark stands.
type notes struct {
	marks    Marks
	under    []legSlips // by leg
	inside   [][]slip   // by slot: in the box, under the row
	tags     [][]slip   // by part: under its name
	ringed   []int      // by slot: the suspect whose contact this is, or none
	cored    []int      // by slot: the suspect behind this pin, or none
	outlined []int      // by part: the suspect that is this part, or none
	broken   []int      // by strand: the suspect that is this wire, or none
	unplaced []string   // marks whose place is not in the circuit
}

func fill(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = none
	}
	return out
}

// annotate finds the place of every mark.
func (g *grid) annotate(m Marks, r *ruler) *notes {
	n := &notes{
		marks: m, under: make([]legSlips, len(g.legs)), inside: make([][]slip, len(g.slots)), tags: make([][]slip, len(g.parts)),
		ringed: fill(len(g.slots)), cored: fill(len(g.slots)), outlined: fill(len(g.parts)), broken: fill(len(g.strands)),
	}
	for i, s := range m.Suspects {
		tag := slip{suspect: i, lines: wrapped(printable(s.Words), 30, line{size: textSize, bold: true, ink: ink})}
		tag.height = max(heightOf(tag.lines)+2*slipPad, 20) + 5
		tag.width = r.widest(tag.lines) + 2*slipPad + 20
		for _, at := range []circuits.Location{s.Location, s.Other} {
			if !at.IsZero() && !g.hangTag(n, at, tag) {
				n.unplaced = append(n.unplaced, fmt.Sprintf("%s: %s", at, s.Words))
			}
		}
	}
	for _, t := range m.Tests {
		s := slip{suspect: none, point: t.Point, lines: testLines(t)}
		s.height = heightOf(s.lines) + 6
		s.width = r.widest(s.lines) + probeRoom + 4
		if !g.hangTest(n, t.Point, s) {
			n.unplaced = append(n.unplaced, fmt.Sprintf("%s: %s", t.Point, t.Measured))
		}
	}
	return n
}

func testLines(t Test) []line {
	var out []line
	add := func(before, value string, bold bool) {
		if value != "" {
			out = append(out, line{text: printable(before + value), size: smallSize, bold: bold, ink: ink})
		}
	}
	add("", t.Measured, true)
	if t.Measured == "" {
		add("", "not yet read", false)
	}
	add("healthy ", t.Healthy, false)
	add("suspect ", t.Leading, false)
	return out
}

// hangTag marks a location as suspect; false where the circuit has no such place.
func (g *grid) hangTag(n *notes, at circuits.Location, tag slip) bool {
	if at.IsWire() {
		for i, s := range g.strands {
			if s.wire.Location == at {
				l := &n.under[g.legsOf[i][0]]
				l.middle = append(l.middle, tag)
				if n.broken[i] == none {
					n.broken[i] = tag.suspect
				}
				return true
			}
		}
		return false
	}
	i, ok := g.byName[at.From.Place]
	if !ok {
		return false
	}
	if at.From.Cavity == "" {
		n.tags[i] = append(n.tags[i], tag)
		if n.outlined[i] == none {
			n.outlined[i] = tag.suspect
		}
		return true
	}
	for j, r := range g.parts[i].rows {
		if r.point != at.From.Terminal() {
			continue
		}
		s := g.slotOf[i][j]
		n.inside[s] = append(n.inside[s], tag)
		which := n.ringed
		if at.From.Side == "device" && g.parts[i].kind != connectorPart {
			which = n.cored
		}
		if which[s] == none {
			which[s] = tag.suspect
		}
		return true
	}
	return false
}

// hangTest puts a test point's values under the wire that it touches, or into the box for a part's own pin.
func (g *grid) hangTest(n *notes, at circuits.Point, s slip) bool {
	i, ok := g.byName[at.Place]
	if !ok {
		return false
	}
	p := &g.parts[i]
	faces := []face{east, west}
	switch {
	case p.kind == devicePart:
		faces = []face{west, east}
	case p.crossed && at.Side == p.sides[1]:
		faces = []face{east}
	case p.crossed:
		faces = []face{west}
	}
	found := none
	for j, r := range p.rows {
		if r.point != at.Terminal() {
			continue
		}
		slot := g.slotOf[i][j]
		if found == none {
			found = slot
		}
		if at.Side == "device" && p.kind != connectorPart || p.kind == connectorPart && !p.crossed && at.Side == p.sides[1] {
			break // the part's own pin, or the empty half of a socket
		}
		for _, f := range faces {
			if l := g.legAt[slot][f]; l != none {
				which := 0
				if g.legs[l].to == (anchor{slot, f}) {
					which = 1
				}
				n.under[l].ends[which] = append(n.under[l].ends[which], s)
				return true
			}
		}
	}
	if found == none {
		return false
	}
	n.inside[found] = append(n.inside[found], s)
	return true
}

// footNotes are what the foot says in words: what is left out, and the marks whose place is not drawn.
func (n *notes) footNotes() (head string, said []string) {
	if n.marks.LeftOut == nil {
		return "Not in this circuit:", n.unplaced
	}
	said = LeftOut(*n.marks.LeftOut)
	for _, u := range n.unplaced {
		said = append(said, "Not drawn here: "+u)
	}
	return "A part of the circuit:", said
}

// stack is the width and height of slips one under the other.
func stack(slips []slip) (w, h float64) {
	for _, s := range slips {
		w, h = max(w, s.width), h+s.height+2
	}
	return w, h
}
