package paper

import "strings"

// leastPartMM is how much of a row that is longer than a page may stand at the foot of one.
const leastPartMM = 20.0

// setting is a table broken for a page.
type setting struct {
	face  face
	pad   float64 // above and below the words of a cell
	wide  []float64
	right []bool
	left  float64
}

func (p *press) table(t Table) {
	if len(t.Columns) == 0 {
		return
	}
	s := p.columns(t)
	head := Row{Cells: make([]Cell, len(t.Columns))}
	heads := false
	for i, c := range t.Columns {
		head.Cells[i] = Cell{Text: c.Head, Bold: true}
		heads = heads || c.Head != ""
	}
	headLines, headMM := p.cells(head, s)
	if headMM > (p.low-p.top)/2 { // a head that leaves no room for rows is a row
		headLines, headMM, heads = nil, 0, false
		t.Rows = append([]Row{head}, t.Rows...)
	}
	begin := func() {
		p.rule(p.left, p.y, p.wide, 0.4)
		if heads {
			p.row(head, headLines, headMM, s)
			p.rule(p.left, p.y, p.wide, 0.4)
		}
	}
	over := func() {
		p.rule(p.left, p.y, p.wide, 0.4)
		p.newPage(false)
		begin()
	}
	for i, r := range t.Rows {
		lines, high := p.cells(r, s)
		if i == 0 {
			if want := headMM + high; want <= p.low-p.top {
				p.ask(want)
			} else {
				p.ask(headMM + leastPartMM)
			}
			begin()
		} else if high > p.room() && (high <= p.low-p.top-headMM || p.room() < leastPartMM) {
			over()
		}
		if i > 0 {
			weight := 0.1
			if r.Heavy {
				weight = 0.4
			}
			p.rule(p.left, p.y, p.wide, weight)
		}
		for high > p.room() { // longer than a page: cut at a line
			n := int((p.room() - 2*s.pad) / s.face.lineMM())
			if n < 1 {
				over()
				continue
			}
			now, rest := cut(lines, n)
			p.row(r, now, float64(n)*s.face.lineMM()+2*s.pad, s)
			lines, high = rest, deepest(rest)*s.face.lineMM()+2*s.pad
			over()
		}
		p.row(r, lines, high, s)
	}
	if len(t.Rows) == 0 {
		p.ask(headMM)
		begin()
	}
	p.rule(p.left, p.y, p.wide, 0.4)
	p.y += 2 * gapMM
}

// cut parts the lines of a row's cells after the first n.
func cut(lines [][]string, n int) (now, rest [][]string) {
	for _, l := range lines {
		k := min(n, len(l))
		now, rest = append(now, l[:k]), append(rest, l[k:])
	}
	return now, rest
}

func deepest(lines [][]string) float64 {
	n := 0
	for _, l := range lines {
		n = max(n, len(l))
	}
	return float64(n)
}

// columns says how wide each column is.
func (p *press) columns(t Table) setting {
	s := setting{face: textFace(t.Small), pad: padMM, left: p.left}
	if t.Small {
		s.pad = padMM / 2
	}
	shares := 0.0
	for _, c := range t.Columns {
		s.right = append(s.right, c.Right)
		shares += max(c.Share, 0)
	}
	if shares > 0 {
		for _, c := range t.Columns {
			s.wide = append(s.wide, max(c.Share, 0)*p.wide/shares)
		}
		return s
	}
	least, likes := make([]float64, len(t.Columns)), make([]float64, len(t.Columns))
	for i, c := range t.Columns {
		p.asks(Cell{Text: c.Head, Bold: true}, s.face, &least[i], &likes[i])
		likes[i] = least[i] // a head may break at its spaces
		for _, r := range t.Rows {
			if i < len(r.Cells) {
				p.asks(r.Cells[i], s.face, &least[i], &likes[i])
			}
		}
	}
	s.wide = widths(p.wide, least, likes)
	return s
}

// asks widens a column to what a cell needs at least, its longest word up to a third of the page, and to what it likes.
func (p *press) asks(c Cell, f face, least, likes *float64) {
	f.bold = c.Bold
	p.use(f)
	const most = 4000 // letters that are measured: more fill any column
	text := p.letters.settable(c.Text)
	if len(text) > most {
		text = strings.ToValidUTF8(text[:most], "")
	}
	for _, line := range strings.Split(text, "\n") {
		*likes = max(*likes, p.pdf.GetStringWidth(line)+2*padMM+0.2)
		for _, word := range strings.Split(line, " ") {
			*least = max(*least, min(p.pdf.GetStringWidth(word)+2*padMM+0.2, p.wide/3))
		}
	}
}

// cells breaks the cells of a row and says how high it is.
func (p *press) cells(r Row, s setting) (lines [][]string, high float64) {
	for i := range s.wide {
		var l []string
		if i < len(r.Cells) && r.Cells[i].Text != "" {
			l = p.lines(r.Cells[i].Text, face{s.face.pt, r.Cells[i].Bold}, max(s.wide[i]-2*padMM, 2))
		}
		lines = append(lines, l)
	}
	return lines, max(deepest(lines)*s.face.lineMM()+2*s.pad, min(r.LeastMM, 200))
}

// row prints a row whose cells are broken.
func (p *press) row(r Row, lines [][]string, high float64, s setting) {
	x := s.left
	for i, l := range lines {
		f := s.face
		f.bold = i < len(r.Cells) && r.Cells[i].Bold
		for k, text := range l {
			at := x + padMM
			if s.right[i] {
				p.use(f)
				at = x + s.wide[i] - padMM - p.pdf.GetStringWidth(text)
			}
			p.line(text, f, at, p.y+s.pad+float64(k)*f.lineMM())
		}
		x += s.wide[i]
		if i+1 < len(lines) {
			p.pdf.SetLineWidth(0.1)
			p.pdf.Line(x, p.y, x, p.y+high)
		}
	}
	p.y += high
}
