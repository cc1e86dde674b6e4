package draw

import (
	"math"

	"ohmtrail/circuits"
)

// Distances, in units of the drawing.
const (
	rowUp, rowDown   = 13.0, 12.0 // a bare row
	labelUp          = 19.0       // room over a wire for its label
	boxGap           = 16.0       // between boxes of a column
	boxPad           = 8.0
	groupGap         = 12.0 // between the connectors of a module
	groundSign       = 20.0 // height of the sign under a stud
	ringRoom         = 10.0 // what the ring round a suspect contact takes from what stands beside it
	chevron          = 26.0 // width of the mated contact between two halves
	pullPasses       = 24
	loosenings       = 8
	labelLettersWide = 22
)

// placed is a grid whose slots have heights and whose columns and channels have widths.
type placed struct {
	*grid
	*notes
	ruler    *ruler
	heads    [][]line  // by part: name and label
	headTall []float64 // by part: height of its header, tags included
	up, down []float64 // room over and under each slot
	y        []float64 // of each slot
	left     []float64 // of each column: its left edge
	wide     []float64 // of each column
	beside   [][]int   // of each column: the splices that stand side by side in it
	lanes    []channelPlan
	height   float64
	width    float64
}

func place(g *grid, n *notes, r *ruler) *placed {
	p := &placed{grid: g, notes: n, ruler: r, beside: g.besideEachOther()}
	p.measure()
	p.setHeights()
	p.spread()
	return p
}

// home is the slot at whose height a leg's label stands.
func (g *grid) home(l leg) int {
	if left, _, ok := l.across(); ok {
		return left
	}
	return l.from.slot
}

// hasLabel tells whether the leg carries its strand's label: the first one does.
func (g *grid) hasLabel(l int) bool { return g.legsOf[g.legs[l].strand][0] == l }

// measure finds the room that each slot needs over and under it.
func (p *placed) measure() {
	n := len(p.slots)
	p.up, p.down = make([]float64, n), make([]float64, n)
	p.heads, p.headTall = make([][]line, len(p.parts)), make([]float64, len(p.parts))
	for i, part := range p.parts {
		p.heads[i] = append(p.heads[i], line{text: printable(part.name), size: nameSize, bold: true, ink: ink})
		p.heads[i] = append(p.heads[i], wrapped(printable(part.label), labelLettersWide, line{size: smallSize, ink: faint})...)
		_, tags := stack(p.tags[i])
		p.headTall[i] = heightOf(p.heads[i]) + tags + 11
		switch {
		case part.kind == devicePart && p.hasSymbol(part.name):
			p.headTall[i] += symbolTall
		case part.kind == connectorPart && part.crossed:
			p.headTall[i] += smallSize*1.3 + 4
		case part.kind == postPart: // its name stands in its first row
			p.heads[i], p.headTall[i] = nil, tags+4
		}
	}
	for s, sl := range p.slots {
		p.up[s], p.down[s] = 9, 7
		if sl.part == none {
			continue
		}
		p.up[s], p.down[s] = rowUp, rowDown
		if _, h := stack(p.inside[s]); h > 0 {
			p.down[s] += h + 2
		}
	}
	for i, l := range p.legs {
		s := p.home(l)
		if p.hasLabel(i) {
			p.up[s] = max(p.up[s], p.labelRise(i)+2)
		}
		_, middle := stack(p.under[i].middle)
		if middle > 0 {
			middle += 5
		}
		if p.runLabel(i).text != "" {
			middle += smallSize * 1.3
		}
		p.down[s] = max(p.down[s], 9+middle)
		for k, a := range []anchor{l.from, l.to} {
			_, h := stack(p.under[i].ends[k])
			p.down[a.slot] = max(p.down[a.slot], 9+h)
		}
	}
	for k := range p.columns {
		p.measureEnds(p.order(k))
	}
}

// measureEnds adds the room for headers over the first row of a part, and for its foot under the last.
func (p *placed) measureEnds(order []int) {
	first, last := map[int]int{}, map[int]int{}
	for _, s := range order {
		if i := p.slots[s].part; i != none {
			if _, ok := first[i]; !ok {
				first[i] = s
			}
			last[i] = s
		}
	}
	for _, s := range order {
		i := p.slots[s].part
		if i == none {
			continue
		}
		foot := p.kindOf(s) == studPart
		if first[i] == s {
			if foot {
				p.up[s] += boxGap / 2
			} else {
				p.up[s] += p.headTall[i] + boxGap/2
			}
		}
		if last[i] == s {
			p.down[s] += boxPad + boxGap/2
			if foot {
				p.down[s] += p.headTall[i] + groundSign
			}
		}
	}
	for k, s := range order {
		if k == 0 || p.slots[s].part == none || p.slots[s].part != p.slots[order[k-1]].part || p.kindOf(s) != modulePart {
			continue
		}
		rows := p.parts[p.slots[s].part].rows
		if rows[p.slots[s].row].group != rows[p.slots[order[k-1]].row].group {
			p.up[s] += groupGap
		}
	}
}

func (p *placed) kindOf(s int) partKind { return p.parts[p.slots[s].part].kind }

// runLabel is the name of the run, under the leg that carries the wire's label.
func (p *placed) runLabel(l int) line {
	if !p.hasLabel(l) {
		return line{}
	}
	return line{text: printable(p.runName(p.legs[l].strand)), size: smallSize, ink: faint}
}

// wireLine is the label over a wire.
func (p *placed) wireLine(l int) line {
	return line{text: printable(wireLabel(p.strands[p.legs[l].strand].wire)), size: textSize, ink: ink}
}

// labelRise is how far over its wire a label begins: higher over a suspect, which is thick and carries a number.
func (p *placed) labelRise(l int) float64 {
	if p.broken[p.legs[l].strand] != none {
		return labelUp + 5
	}
	return labelUp - 2
}

// spread gives every column and channel its place from left to right.
func (p *placed) spread() {
	columns := len(p.columns)
	p.left, p.wide = make([]float64, columns), make([]float64, columns)
	p.lanes = make([]channelPlan, columns+1)
	x := margin
	for k := 0; k <= columns; k++ {
		p.lanes[k] = p.planChannel(k)
		p.lanes[k].left = x
		x += p.lanes[k].zone + p.lanes[k].tracks + p.lanes[k].right
		if k < columns {
			p.left[k], p.wide[k] = x, p.columnWidth(k)
			x += p.wide[k]
		}
	}
	p.width = x + margin
	top, bottom := math.Inf(1), 0.0
	for s := range p.slots {
		top, bottom = min(top, p.y[s]-p.up[s]), max(bottom, p.y[s]+p.down[s])
	}
	for s := range p.slots {
		p.y[s] -= top
	}
	p.height = max(0, bottom-top)
}

func (p *placed) columnWidth(k int) float64 {
	w := 0.0
	for i, part := range p.parts {
		if part.column != k {
			continue
		}
		tags, _ := stack(p.tags[i])
		need := max(p.ruler.widest(p.heads[i]), tags) + 16
		if part.kind == splicePart {
			if n := len(p.beside[k]); n > 1 { // names stand on both sides of the bars
				need = 2*need + 14*float64(n)
			}
		}
		for j, r := range part.rows {
			in, _ := stack(p.inside[p.slotOf[i][j]])
			row := 0.0
			switch part.kind {
			case connectorPart:
				cavity := p.ruler.width(cavityLine(r.point))
				half := cavity + 16
				for _, side := range part.sides {
					if part.crossed {
						half = max(half, p.ruler.width(sideLine(side))+12)
					}
				}
				row = half + 16
				if part.crossed {
					row = 2*half + chevron
				}
			case postPart:
				row = p.ruler.width(postLine(part.name)) + p.ruler.width(line{text: part.label, size: smallSize}) + 30
			case modulePart, devicePart:
				row = p.ruler.width(cavityLine(r.point)) + p.ruler.width(line{text: r.words, size: textSize}) + 42
				if p.ringed[p.slotOf[i][j]] != none || p.cored[p.slotOf[i][j]] != none {
					row += ringRoom + 14
				}
			}
			need = max(need, row, in+24)
		}
		if part.kind != splicePart {
			need = max(need, 64)
		}
		w = max(w, need)
	}
	return w
}

func cavityLine(p circuits.Point) line {
	return line{text: p.Cavity, size: textSize, bold: true, ink: ink}
}

func postLine(name string) line { return line{text: name, size: nameSize, bold: true, ink: ink} }

func sideLine(side string) line { return line{text: printable(side), size: smallSize, ink: faint} }
