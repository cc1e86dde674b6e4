package draw

import (
	"strings"

	"ohmtrail/models"
)

// colourCodes are the screen colours of a wire colour; false where there is none to draw.
func colourCodes(color string) (hex []string, ok bool) {
	if color == "" {
		return nil, false
	}
	codes, ok := models.Colour(color)
	if !ok {
		return nil, false
	}
	for _, c := range codes {
		hex = append(hex, models.ColourHex(c))
	}
	return hex, true
}

// span is the highest and the lowest slot of a part.
func (p *placed) span(part int) (top, bottom int) {
	top, bottom = none, none
	for _, s := range p.partSlots(part) {
		if top == none || p.y[s] < p.y[top] {
			top = s
		}
		if bottom == none || p.y[s] > p.y[bottom] {
			bottom = s
		}
	}
	return top, bottom
}

// partSlots are the slots of a part; a part without a row has one all the same.
func (p *placed) partSlots(part int) []int {
	if s := p.slotOf[part]; len(s) > 0 {
		return s
	}
	for s, sl := range p.slots {
		if sl.part == part {
			return []int{s}
		}
	}
	return nil
}

// box draws a module, device, connector or post with its cavities.
func (p *painter) box(i int) {
	part := &p.parts[i]
	top, bottom := p.span(i)
	if top == none {
		return
	}
	x0, x1 := p.left[part.column], p.left[part.column]+p.wide[part.column]
	y0 := p.y[top] - p.up[top] + boxGap/2
	y1 := p.y[bottom] + p.down[bottom] - boxGap/2
	p.group("part", part.name, strings.TrimSpace(part.name+" "+part.label))
	width, dash := outline, []float64(nil)
	if p.outlined[i] != none {
		width, dash = outlineSuspect, doubt
	}
	head := y0 + p.headTall[i]
	frame := Shape{Kind: Box, Points: []XY{{x0, y0}, {x1, y1}}, Radius: 3, Fill: panel, Stroke: ink, Width: width, Dash: dash}
	if part.kind == connectorPart {
		p.halves(i, x0, x1, y0, y1, head, frame)
	} else {
		p.put(frame)
		if part.kind == modulePart {
			p.put(Shape{Kind: Line, Points: []XY{{x0, head - 3}, {x1, head - 3}}, Stroke: ink, Width: 2.6})
		}
	}
	y := p.text((x0+x1)/2, y0+4, true, p.heads[i])
	if part.kind == devicePart && p.hasSymbol(part.name) {
		p.symbol(part.name, (x0+x1)/2, y+symbolTall/2+1)
		y += symbolTall
	}
	for _, t := range p.tags[i] {
		p.tag(t, (x0+x1)/2-t.width/2, y+2)
		y += t.height + 2
	}
	for j := range part.rows {
		p.row(i, j, x0, x1)
	}
	if part.kind == modulePart {
		p.groupRules(i, x0, x1)
	}
	p.end()
}

// halves draws an in-line connector as two halves that face each other, or one half where nothing goes on.
func (p *painter) halves(i int, x0, x1, y0, y1, head float64, frame Shape) {
	part := &p.parts[i]
	if !part.crossed {
		p.put(frame)
		return
	}
	middle := (x0 + x1) / 2
	y := head - smallSize*1.3 - 4
	if len(frame.Dash) > 0 {
		around := frame
		around.Fill = ""
		around.Points = []XY{{x0 - 5, y0}, {x1 + 5, y1 + 5}}
		p.put(around)
	}
	frame.Width, frame.Dash = outline, nil
	for side, edges := range [][2]float64{{x0, middle - chevron/2}, {middle + chevron/2, x1}} {
		half := frame
		half.Points = []XY{{edges[0], y}, {edges[1], y1}}
		p.put(half)
		p.text((edges[0]+edges[1])/2, y+2, true, []line{sideLine(part.sides[side])})
	}
}

// row draws a cavity: its name at the faces that wires meet, what it is, and the mated contact.
func (p *painter) row(i, j int, x0, x1 float64) {
	part := &p.parts[i]
	r, s := part.rows[j], p.slotOf[i][j]
	y := p.y[s]
	base := y - textSize*0.62
	cavity := cavityLine(r.point)
	first := j == 0 || part.rows[j-1].point != r.point
	switch part.kind {
	case postPart:
		if j == 0 {
			name := postLine(part.name)
			p.text(x0+8, y-nameSize*0.62, false, []line{name})
			p.text(x0+16+p.ruler.width(name), y-smallSize*0.62, false, []line{{text: part.label, size: smallSize, ink: faint}})
		}
	case connectorPart:
		if part.crossed {
			middle := (x0 + x1) / 2
			p.text((x0+middle-chevron/2)/2, base, true, []line{cavity})
			p.text((x1+middle+chevron/2)/2, base, true, []line{cavity})
			p.mated(XY{middle, y}, east, p.ringed[s])
		} else {
			p.text((x0+x1)/2, base, true, []line{cavity})
			p.mated(p.edge(r, x0, x1, y), p.turned(r), p.ringed[s])
		}
	default:
		if !first {
			break
		}
		words := line{text: printable(r.words), size: textSize, ink: ink}
		at, f := p.edge(r, x0, x1, y), p.turned(r)
		left, right := x0+15, x1-14
		if p.ringed[s] != none {
			left, right = left+ringRoom, right-ringRoom
		}
		if f == east {
			w := p.ruler.width(cavity)
			p.text(right-w, base, false, []line{cavity})
			p.text(right-10-w-p.ruler.width(words), base, false, []line{words})
		} else {
			p.text(left, base, false, []line{cavity})
			p.text(left+10+p.ruler.width(cavity), base, false, []line{words})
		}
		p.mated(at, f, p.ringed[s])
		if p.cored[s] != none {
			mark := XY{x0 + 16, y}
			if f == west {
				mark.X = x1 - 16
			}
			p.put(Shape{Kind: Disc, Points: []XY{mark}, Radius: 11, Stroke: ink, Width: 2.4, Dash: []float64{5, 3}})
			p.badge(mark, p.cored[s])
		}
	}
	below := y + rowDown
	for _, t := range p.inside[s] {
		x := (x0+x1)/2 - t.width/2
		if t.suspect != none {
			p.tag(t, x, below)
		} else {
			p.group("test", t.point.String(), aboutTest(t))
			p.text((x0+x1)/2, below, true, t.lines)
			p.end()
		}
		below += t.height + 2
	}
}

// turned is the face at which a row's cavity is drawn.
func (p *placed) turned(r row) face {
	if r.wires[west] != none && r.wires[east] == none {
		return west
	}
	if r.wires[west] == none && r.wires[east] == none {
		if i := p.byName[r.point.Place]; p.parts[i].kind == devicePart {
			return west
		}
	}
	return east
}

func (p *placed) edge(r row, x0, x1, y float64) XY {
	if p.turned(r) == west {
		return XY{x0, y}
	}
	return XY{x1, y}
}

// mated draws a contact after IEC 60617: the arc of a socket and the bar of a plug in it. f is the side that the plug
// comes from; a suspect contact gets a dashed ring and the suspect's number.
func (p *painter) mated(at XY, f face, suspect int) {
	if suspect != none {
		p.put(Shape{Kind: Disc, Points: []XY{at}, Radius: 13, Fill: paper, Stroke: ink, Width: 3, Dash: []float64{6, 3.5}})
		p.badge(at, suspect)
		return
	}
	way := 1.0
	if f == west {
		way = -1
	}
	arc := []XY{{at.X + way*2.5, at.Y - 5.5}, {at.X - way*1.8, at.Y - 4.2}, {at.X - way*4, at.Y}, {at.X - way*1.8, at.Y + 4.2}, {at.X + way*2.5, at.Y + 5.5}}
	p.put(Shape{Kind: Area, Points: arc, Fill: paper})
	p.lineAlong(arc, ink, 1.5, nil, 0)
	p.lineAlong([]XY{{at.X - way*1.2, at.Y}, {at.X + way*6, at.Y}}, ink, 3.6, nil, 0)
}

// groupRules separates the connectors of a module.
func (p *painter) groupRules(i int, x0, x1 float64) {
	order := p.order(p.parts[i].column)
	last := none
	for _, s := range order {
		if p.slots[s].part != i {
			continue
		}
		if last != none && p.parts[i].rows[p.slots[s].row].group != p.parts[i].rows[p.slots[last].row].group {
			y := p.y[s] - p.up[s] + groupGap/2 - 2
			p.lineAlong([]XY{{x0, y}, {x1, y}}, ink, 1.2, []float64{2, 3}, 0)
		}
		last = s
	}
}
