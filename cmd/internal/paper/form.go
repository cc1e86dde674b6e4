package paper

// mostBesideMM is how high fields may be that stand beside each other; longer ones stand below each other.
const mostBesideMM = 60.0

// fields sets a form, row by row.
func (p *press) fields(b Fields) {
	columns := max(b.Columns, 1)
	const between = 5.0
	wide := (p.wide - between*float64(columns-1)) / float64(columns)
	for first := 0; first < len(b.Items); first += columns {
		row := b.Items[first:min(first+columns, len(b.Items))]
		set := make([]fieldLines, len(row))
		height := 0.0
		for i, item := range row {
			set[i] = p.fieldLines(item, wide)
			height = max(height, set[i].height)
		}
		if columns > 1 && height > mostBesideMM {
			p.fields(Fields{Items: row})
			continue
		}
		p.ask(min(height, p.low-p.top))
		y := p.y
		below := y
		for i, s := range set {
			x := p.left + float64(i)*(wide+between)
			p.y = y
			if s.beside { // on one line with its value
				p.y += (face{textPt, false}.lineMM() - face{smallPt, true}.lineMM()) * 0.74
			}
			p.write(s.label, face{smallPt, true}, x, false)
			if s.beside {
				p.y = y
			}
			p.write(s.value, face{textPt, false}, x+s.indent, columns == 1)
			if row[i].Value == "" {
				p.y = y + s.height - 1
				p.rule(x+s.indent, p.y, wide-s.indent, 0.15)
			}
			below = max(below, p.y)
		}
		if columns == 1 {
			p.y = below + 0.8
		} else {
			p.y = y + height + 0.8
		}
	}
	p.y += gapMM
}

// fieldLines is a field broken for a width: its value beside the label where the label is short, else below it.
type fieldLines struct {
	label, value   []string
	indent, height float64
	beside         bool
}

func (p *press) fieldLines(f Field, wide float64) fieldLines {
	label, text := face{smallPt, true}, face{textPt, false}
	s := fieldLines{label: p.lines(f.Label, label, wide)}
	if used := p.pdf.GetStringWidth(s.label[0]) + 2; len(s.label) == 1 && used < wide/2 {
		s.beside = true
		s.indent = max(used, min(wide/4, 28))
	}
	s.value = p.lines(f.Value, text, wide-s.indent)
	labelMM := float64(len(s.label)) * label.lineMM()
	valueMM := max(float64(len(s.value))*text.lineMM(), f.LeastMM)
	if f.Value == "" {
		s.value = nil
		valueMM = max(valueMM, 6.5)
	}
	if s.beside {
		s.height = max(labelMM, valueMM)
	} else {
		s.height = labelMM + valueMM
	}
	return s
}
