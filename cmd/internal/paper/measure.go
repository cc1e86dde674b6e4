package paper

import "math"

// heightOf is how high blocks are on an empty page without end, in millimetres: they are set on one, and nobody sees it.
func (p *press) heightOf(list []Block) float64 {
	if p.scratch == nil {
		p.scratch = newPress(Document{}, p.size)
		p.scratch.newPage(false)
		p.scratch.endless, p.scratch.low = true, math.Inf(1)
	}
	s := p.scratch
	s.left, s.wide = p.left, p.wide
	s.y = s.top + 1 // not at the top, where a heading leaves no room over itself
	s.blocks(list)
	return s.y - s.top - 1
}
