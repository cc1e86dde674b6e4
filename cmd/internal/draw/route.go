package draw

import (
	"math"
	"slices"
)

// faceX is where a wire meets a face of a slot.
func (p *placed) faceX(a anchor) float64 {
	s := p.slots[a.slot]
	if s.part != none {
		switch p.parts[s.part].kind {
		case splicePart, studPart:
			return p.barX(s.part)
		}
	}
	if a.face == west {
		return p.left[s.column]
	}
	return p.left[s.column] + p.wide[s.column]
}

// barX is the middle of a splice or stud. Splices of one column stand side by side, so that no bar runs over another
// splice, which would look joined to it.
func (p *placed) barX(part int) float64 {
	k := p.parts[part].column
	x := p.left[k] + p.wide[k]/2
	if n := len(p.beside[k]); n > 1 && p.parts[part].kind == splicePart {
		x += 14 * (float64(slices.Index(p.beside[k], part)) - float64(n-1)/2)
	}
	return x
}

// besideEachOther lists the splices of each column that has a bar.
func (g *grid) besideEachOther() [][]int {
	out := make([][]int, len(g.columns))
	for i, q := range g.parts {
		if q.kind == splicePart && len(g.bars[q.column]) > 0 {
			out[q.column] = append(out[q.column], i)
		}
	}
	return out
}

// path is the whole way of a strand, from its first end to its second.
func (p *placed) path(strand int) []XY {
	var out []XY
	add := func(x, y float64) {
		q := XY{x, y}
		if n := len(out); n > 0 && out[n-1] == q {
			return
		}
		if n := len(out); n > 1 && (out[n-2].X == out[n-1].X && out[n-1].X == x || out[n-2].Y == out[n-1].Y && out[n-1].Y == y) {
			out[n-1] = q
			return
		}
		out = append(out, q)
	}
	for _, l := range p.legsOf[strand] {
		leg := p.legs[l]
		ya, yb := p.y[leg.from.slot], p.y[leg.to.slot]
		if math.Abs(ya-yb) <= 0.5 {
			yb = ya
		}
		add(p.faceX(leg.from), ya)
		if x, ok := p.lanes[leg.channel+1].track[l]; ok {
			add(p.lanes[leg.channel+1].left+x, ya)
			add(p.lanes[leg.channel+1].left+x, yb)
		}
		add(p.faceX(leg.to), yb)
	}
	return out
}

// straight tells whether a path never changes its height.
func straight(path []XY) bool {
	for _, q := range path {
		if q.Y != path[0].Y {
			return false
		}
	}
	return true
}

// split cuts a path at a point on it.
func split(path []XY, at XY) (before, after []XY) {
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		onX := at.X >= min(a.X, b.X)-0.01 && at.X <= max(a.X, b.X)+0.01
		onY := at.Y >= min(a.Y, b.Y)-0.01 && at.Y <= max(a.Y, b.Y)+0.01
		if onX && onY {
			before = append(append([]XY(nil), path[:i]...), at)
			return before, append([]XY{at}, path[i:]...)
		}
	}
	return path, nil
}

// middleX is where the label, the run's name and the suspect's tag of a leg are centred: between the slips at its ends.
func (p *placed) middleX(l int) float64 {
	leg, c := p.legs[l], p.lanes[p.legs[l].channel+1]
	lw, rw := p.endWidths(l)
	switch {
	case leg.from.face == west && leg.to.face == west:
		return c.left + c.zone + c.tracks + (c.right-rw)/2
	case len(c.track) > 0:
		return c.left + lw + (c.zone-lw)/2
	}
	return c.left + lw + (c.zone-lw-rw)/2
}

// labelX is where the label over a leg is centred: over the middle, but not so far that it leaves its channel.
func (p *placed) labelX(l int, width float64) float64 {
	c := p.lanes[p.legs[l].channel+1]
	low, high := c.left, c.left+c.zone
	if p.legs[l].from.face == west && p.legs[l].to.face == west {
		low, high = c.left+c.zone+c.tracks, c.left+c.zone+c.tracks+c.right
	}
	return max(min(p.middleX(l), high-8-width/2), low+8+width/2)
}

// breakPoint is where a suspect wire is drawn as broken.
func (p *placed) breakPoint(strand int) XY {
	l := p.legsOf[strand][0]
	return XY{p.middleX(l), p.y[p.home(p.legs[l])]}
}
