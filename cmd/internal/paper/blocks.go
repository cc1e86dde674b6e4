package paper

import "strconv"

const (
	indentMM = 5.0
	ruledMM  = 8.0
	padMM    = 1.2 // between a frame or rule and its words
)

func (p *press) blocks(list []Block) {
	for i, b := range list {
		if h, ok := b.(Heading); ok {
			p.heading(h, list[i+1:])
			continue
		}
		p.block(b)
	}
}

func (p *press) block(b Block) {
	switch b := b.(type) {
	case Heading:
		p.heading(b, nil)
	case Paragraph:
		p.paragraph(b)
	case Notice:
		p.notice(b)
	case List:
		p.list(b)
	case Table:
		p.table(b)
	case Fields:
		p.fields(b)
	case Ticks:
		p.ticks(b)
	case Ruled:
		for range b.Lines {
			p.ask(ruledMM)
			p.y += ruledMM
			p.rule(p.left, p.y, p.wide, 0.15)
		}
		p.y += 2 * gapMM
	case Box:
		p.box(b)
	case Drawing:
		p.drawing(b)
	case Together:
		if !p.endless {
			p.ask(min(p.heightOf(b.Blocks), p.low-p.top))
		}
		p.blocks(b.Blocks)
	case Space:
		p.y += max(min(b.MM, p.room()), 0)
	case PageBreak:
		if p.y > p.top && !p.endless {
			p.y = p.low + 1 // full: what follows, if anything does, begins a page of its own kind
		}
	}
}

// heading keeps itself with the first lines of what follows.
func (p *press) heading(h Heading, follow []Block) {
	f, above := face{headPt, true}, 2.4
	if h.Level > 1 {
		f, above = face{subheadPt, true}, 1.2
	}
	lines := p.lines(h.Text, f, p.wide)
	need := above + float64(len(lines))*f.lineMM() + 3*face{textPt, false}.lineMM()
	if len(follow) > 0 && !p.endless {
		whole := p.heightOf(follow[:1])
		if _, intro := follow[0].(Paragraph); intro && len(follow) > 1 {
			whole += 3 * face{textPt, false}.lineMM() // and the first lines of what it introduces
		}
		if whole < 50 {
			need = max(need, above+float64(len(lines))*f.lineMM()+whole)
		}
	}
	p.ask(need)
	if p.y > p.top {
		p.y += above
	}
	p.write(lines, f, p.left, true)
	if h.Level <= 1 {
		p.rule(p.left, p.y+0.2, p.wide, 0.3)
		p.y += 1
	}
	p.y += gapMM / 2
}

func textFace(small bool) face {
	if small {
		return face{smallPt, false}
	}
	return face{textPt, false}
}

// paragraph sets a bold lead, where there is one, and the text behind it.
func (p *press) paragraph(b Paragraph) {
	f := textFace(b.Small)
	if b.Lead == "" {
		p.write(p.lines(b.Text, f, p.wide), f, p.left, true)
		p.y += gapMM
		return
	}
	bold := face{f.pt, true}
	lead := p.lines(b.Lead, bold, p.wide)
	last := lead[len(lead)-1]
	p.use(bold)
	used := p.pdf.GetStringWidth(last + " ")
	first, rest := p.afterLead(b.Text, f, p.wide-used)
	p.write(lead, bold, p.left, true)
	p.line(first, f, p.left+used, p.y-f.lineMM())
	if rest != "" {
		p.write(p.lines(rest, f, p.wide), f, p.left, true)
	}
	p.y += gapMM
}

// afterLead parts a text into what stands beside its lead and the rest.
func (p *press) afterLead(text string, f face, room float64) (first, rest string) {
	p.use(f)
	text = p.letters.settable(text)
	used := 0.0
	good := 0
	for i, r := range text {
		if r == '\n' {
			return text[:i], text[i+1:]
		}
		if r == ' ' {
			good = i
		}
		if used += p.pdf.GetStringWidth(string(r)); used > room {
			if good == 0 {
				return "", text
			}
			return plainSpaces(text[:good]), text[good+1:]
		}
	}
	return plainSpaces(text), ""
}

func (p *press) notice(b Notice) {
	inner := p.wide - 2*(padMM+1)
	head, text := p.lines(b.Head, face{headPt, true}, inner), p.lines(b.Text, face{textPt, false}, inner)
	if b.Head == "" {
		head = nil
	}
	if b.Text == "" {
		text = nil
	}
	height := float64(len(head))*face{headPt, true}.lineMM() + float64(len(text))*face{textPt, false}.lineMM() + 2*padMM
	if height > p.low-p.top { // longer than a page: without its frame
		p.write(head, face{headPt, true}, p.left, true)
		p.write(text, face{textPt, false}, p.left, true)
		return
	}
	p.ask(height)
	p.frame(p.left, p.y, p.wide, height, 0.7)
	p.y += padMM
	p.write(head, face{headPt, true}, p.left+padMM+1, false)
	p.write(text, face{textPt, false}, p.left+padMM+1, false)
	p.y += padMM + gapMM
}

func (p *press) list(b List) {
	f := textFace(b.Small)
	first := max(b.First, 1)
	for i, item := range b.Items {
		lines := p.lines(item, f, p.wide-indentMM)
		p.ask(min(float64(len(lines)), 2) * f.lineMM())
		if mark := strconv.Itoa(first + i); b.Numbered {
			p.line(mark, f, p.left, p.y)
		} else {
			p.line("–", f, p.left+1.2, p.y)
		}
		p.write(lines, f, p.left+indentMM, true)
		p.y += 0.3
	}
	p.y += gapMM
}

func (p *press) ticks(b Ticks) {
	f := face{textPt, false}
	for _, item := range b.Items {
		lines := p.lines(item, f, p.wide-indentMM-1)
		p.ask(float64(len(lines)) * f.lineMM())
		p.frame(p.left+0.4, p.y+0.8, 3, 3, 0.25)
		p.write(lines, f, p.left+indentMM+1, true)
		p.y += 1
	}
	p.y += gapMM
}

func (p *press) box(b Box) {
	f := face{smallPt, false}
	lines := p.lines(b.Caption, f, p.wide)
	if b.Caption == "" {
		lines = nil
	}
	height := max(min(b.HeightMM, p.low-p.top-float64(len(lines))*f.lineMM()), 4)
	p.ask(float64(len(lines))*f.lineMM() + height)
	p.write(lines, f, p.left, false)
	p.frame(p.left, p.y+0.4, p.wide, height-0.4, 0.25)
	p.y += height + 2*gapMM
}

func (p *press) rule(x, y, wide, width float64) {
	p.pdf.SetLineWidth(width)
	p.pdf.SetDrawColor(0, 0, 0)
	p.pdf.Line(x, y, x+wide, y)
}

func (p *press) frame(x, y, wide, high, width float64) {
	p.pdf.SetLineWidth(width)
	p.pdf.SetDrawColor(0, 0, 0)
	p.pdf.Rect(x, y, wide, high, "D")
}
