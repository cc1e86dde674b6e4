package paper

// heightOf is how high blocks would be on an empty page without end, in millimetres.
func (p *press) heightOf(list []Block) float64 {
	h := 0.0
	for _, b := range list {
		h += p.height(b)
	}
	return h
}

func (p *press) height(b Block) float64 {
	text := face{textPt, false}
	switch b := b.(type) {
	case Heading:
		return float64(len(p.lines(b.Text, face{headPt, true}, p.wide)))*face{headPt, true}.lineMM() + 2.4 + 1 + gapMM/2
	case Paragraph:
		f := textFace(b.Small)
		return float64(len(p.lines(b.Lead+" "+b.Text, f, p.wide)))*f.lineMM() + gapMM
	case Notice:
		inner := p.wide - 2*(padMM+1)
		return float64(len(p.lines(b.Head, face{headPt, true}, inner)))*face{headPt, true}.lineMM() +
			float64(len(p.lines(b.Text, text, inner)))*text.lineMM() + 2*padMM + gapMM
	case List:
		h, f := gapMM, textFace(b.Small)
		for _, item := range b.Items {
			h += float64(len(p.lines(item, f, p.wide-indentMM)))*f.lineMM() + 0.3
		}
		return h
	case Ticks:
		h := gapMM
		for _, item := range b.Items {
			h += float64(len(p.lines(item, text, p.wide-indentMM-1)))*text.lineMM() + 1
		}
		return h
	case Table:
		return p.tableHeight(b)
	case Fields:
		columns := max(b.Columns, 1)
		wide := (p.wide - 5*float64(columns-1)) / float64(columns)
		h := gapMM
		for first := 0; first < len(b.Items); first += columns {
			row := 0.0
			for _, item := range b.Items[first:min(first+columns, len(b.Items))] {
				row = max(row, p.fieldLines(item, wide).height)
			}
			h += row + 0.8
		}
		return h
	case Ruled:
		return float64(b.Lines)*ruledMM + 2*gapMM
	case Box:
		return max(b.HeightMM, 4) + face{smallPt, false}.lineMM() + 2*gapMM
	case Drawing:
		return p.drawingHeight(b)
	case Together:
		return p.heightOf(b.Blocks)
	case Space:
		return b.MM
	}
	return 0
}

func (p *press) tableHeight(t Table) float64 {
	if len(t.Columns) == 0 {
		return 0
	}
	s := p.columns(t)
	head := Row{}
	for _, c := range t.Columns {
		head.Cells = append(head.Cells, Cell{Text: c.Head, Bold: true})
	}
	_, h := p.cells(head, s)
	for _, r := range t.Rows {
		_, high := p.cells(r, s)
		h += high
	}
	return h + 2*gapMM
}
