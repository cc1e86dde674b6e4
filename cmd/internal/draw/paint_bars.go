package draw

import (
	"sort"
	"strings"

	"ohmtrail/circuits"
)

// bar draws the conductor of a splice or stud and its name.
func (p *painter) bar(i int) {
	part := &p.parts[i]
	top, bottom := p.span(i)
	if top == none {
		return
	}
	x, y0, y1 := p.barX(i), p.y[top], p.y[bottom]
	p.group("part", part.name, strings.TrimSpace(part.name+" "+part.label))
	if p.outlined[i] != none {
		p.put(Shape{Kind: Box, Points: []XY{{x - 11, y0 - 11}, {x + 11, y1 + 11}}, Radius: 11, Fill: paper, Stroke: ink, Width: outlineSuspect, Dash: doubt})
	}
	if part.kind == studPart {
		sign := y1 + rowDown + 4
		p.lineAlong([]XY{{x, y0}, {x, sign}}, ink, 3, nil, 0)
		for k, half := range []float64{11, 7, 3} { // the sign for earth of IEC 60617
			y := sign + 5*float64(k)
			p.lineAlong([]XY{{x - half, y}, {x + half, y}}, ink, 2, nil, 0)
		}
		p.headText(i, x, sign+groundSign-4)
	} else {
		p.lineAlong([]XY{{x, y0}, {x, y1}}, ink, 3, nil, 0)
	}
	p.end()
}

// spliceName writes the name of a splice over its first leg, beside the bars that run past it.
func (p *painter) spliceName(i int) {
	top, _ := p.span(i)
	if top == none {
		return
	}
	tags, tall := stack(p.tags[i])
	w := max(p.ruler.widest(p.heads[i]), tags)
	x, y := p.barX(i), p.y[top]-p.up[top]+boxGap/2
	h := heightOf(p.heads[i]) + tall
	onLeft, onRight := false, false // bars of other splices beside the name
	for k := range p.parts {
		if q := &p.parts[k]; k == i || q.kind != splicePart || q.column != p.parts[i].column || len(q.rows) < 2 {
			continue
		}
		if a, b := p.span(k); p.y[a] < y+h && p.y[b] > y {
			onLeft, onRight = onLeft || p.barX(k) < x, onRight || p.barX(k) > x
		}
	}
	switch {
	case onLeft && !onRight:
		x += w/2 - 6
	case onRight && !onLeft:
		x -= w/2 - 6
	}
	p.put(Shape{Kind: Box, Points: []XY{{x - w/2, y}, {x + w/2, y + h}}, Fill: paper})
	p.headText(i, x, y)
}

// headText writes a part's name, label and tags from a height downwards.
func (p *painter) headText(i int, x, y float64) {
	y = p.text(x, y, true, p.heads[i])
	for _, t := range p.tags[i] {
		p.tag(t, x-t.width/2, y+2)
		y += t.height + 2
	}
}

// joints draws the dots of splices and studs over the wires, and the places that can be tapped.
func (p *painter) joints(i int) {
	part := &p.parts[i]
	tapped := map[circuits.Point]bool{}
	for j, r := range part.rows {
		s := p.slotOf[i][j]
		y := p.y[s]
		bar := part.kind == splicePart || part.kind == studPart
		if bar {
			dot := Shape{Kind: Disc, Points: []XY{{p.barX(i), y}}, Radius: 4.8, Fill: ink}
			if part.kind == studPart { // a ring terminal
				dot.Fill, dot.Stroke, dot.Width = paper, ink, 2.4
			}
			p.put(dot)
			if j == 0 && p.outlined[i] != none {
				p.badge(XY{p.barX(i), y}, p.outlined[i])
			}
		}
		for f, wire := range r.wires {
			if wire == none && !(f == int(east) && r.wires[west] == none) {
				continue
			}
			at := r.point
			if part.kind == connectorPart {
				at.Side = part.sides[0]
				if part.crossed && face(f) == east {
					at.Side = part.sides[1]
				}
			}
			if tapped[at] && !bar {
				continue
			}
			tapped[at] = true
			p.group("point", at.String(), at.String())
			p.put(Shape{Kind: Disc, Points: []XY{{p.faceX(anchor{s, face(f)}), y}}, Radius: 12, Fill: unseen})
			p.end()
		}
	}
}

// heading draws the title, the line under it and the cautions, and returns the height and width that they take.
func (p *painter) heading(title string) (height, width float64) {
	y := margin
	head := wrapped(title, 90, line{size: titleSize, bold: true, ink: ink})
	head = append(head, wrapped(printable(p.marks.Title), 110, line{size: nameSize, ink: ink})...)
	y = p.text(margin, y, false, head)
	width = p.ruler.widest(head) + 2*margin
	if all := cautions(p.circuit, p.marks); len(all) > 0 {
		var ls []line
		for _, c := range all {
			ls = append(ls, wrapped(printable(c), 100, line{size: textSize, bold: true, ink: ink})...)
		}
		y += 8
		w, h := p.ruler.widest(ls), heightOf(ls)
		p.group("caution", "", strings.Join(all, " "))
		p.put(Shape{Kind: Box, Points: []XY{{margin, y}, {margin + w + 58, y + max(h, 22) + 14}}, Stroke: ink, Width: 2.4, Fill: paper, Radius: 2})
		x, mid := margin+24, y+(max(h, 22)+14)/2
		p.put(Shape{Kind: Area, Points: []XY{{x, mid - 12}, {x + 13, mid + 10}, {x - 13, mid + 10}}, Stroke: ink, Width: 2, Fill: paper})
		p.put(Shape{Kind: Text, Points: []XY{{x, mid + 8}}, Text: "!", Size: nameSize, Bold: true, Middle: true, Fill: ink})
		p.text(margin+48, y+7+(max(h, 22)-h)/2, false, ls)
		p.end()
		y += max(h, 22) + 14
		width = max(width, 2*margin+w+60)
	}
	return y + 14, width
}

// foot draws the marks that have no place in this circuit, and the legend, and returns the bottom and width of it.
func (p *painter) foot(y, width float64) (bottom, wide float64) {
	if head, said := p.footNotes(); len(said) > 0 {
		ls := []line{{text: head, size: textSize, bold: true, ink: ink}}
		for _, s := range said {
			ls = append(ls, wrapped(printable(s), 90, line{size: textSize, ink: ink})...)
		}
		y = p.text(margin, y+10, false, ls)
		wide = p.ruler.widest(ls) + 2*margin
	}
	if p.marks.Legend {
		return p.legend(y+12, max(width, 360)), max(wide, 360)
	}
	return y, wide
}

// colours lists the wire colours in use, in alphabetical order of their codes.
func (p *painter) colours() []string {
	seen := map[string]bool{}
	for _, s := range p.strands {
		if s.wire.Color == "" {
			continue
		}
		for _, code := range strings.Split(s.wire.Color, "/") {
			seen[code] = true
		}
	}
	var out []string
	for code := range seen {
		out = append(out, code)
	}
	sort.Strings(out)
	return out
}
