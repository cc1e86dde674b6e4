package draw

import (
	"math"

	"ohmtrail/cmd/internal/lines"
)

// Card is a box of a chart, in finished words.
type Card struct {
	Title string   // at its top left
	Note  string   // beside the title, in small letters
	Text  []string // paragraphs
	Rows  []CardRow
	Foot  []string // paragraphs in small letters
	End   bool     // nothing follows: drawn in a double frame
}

// CardRow is a line of a card: words, and at its right what they share and where they lead.
type CardRow struct{ Words, Share, Leads string }

// Sheet is cards with their sizes, before they have places.
type Sheet struct {
	Title string
	Head  []string // paragraphs over the chart
	cards []cardLines
}

// CardSize is the size of a card: over its rows, and each row.
type CardSize struct {
	Width, Height, Top float64
	Rows               []float64
}

// Lead is a line from a card's row to another card.
type Lead struct {
	From, Row, To int
	Points        []XY
}

const (
	cardWidth = 264.0
	cardEdge  = 9.0
)

// cardLines is a card broken into lines.
type cardLines struct {
	card         Card
	title, note  line
	text, foot   []line
	rows         [][]line
	share, leads []line
	size         CardSize
}

// LayOut breaks cards into lines.
func LayOut(title string, head []string, cards []Card) Sheet {
	r := newRuler()
	s := Sheet{Title: title, Head: head}
	for _, c := range cards {
		s.cards = append(s.cards, cutCard(r, c))
	}
	return s
}

func cutCard(r *ruler, c Card) cardLines {
	k := cardLines{card: c, title: line{text: printable(c.Title), size: nameSize, bold: true, ink: ink}, note: line{text: printable(c.Note), size: smallSize, ink: faint}}
	inner := cardWidth - 2*cardEdge
	for _, p := range c.Text {
		k.text = append(k.text, r.wrap(p, inner, line{size: textSize, bold: c.End, ink: ink})...)
	}
	for _, p := range c.Foot {
		k.foot = append(k.foot, r.wrap(p, inner, line{size: smallSize, ink: faint})...)
	}
	for _, row := range c.Rows {
		k.share = append(k.share, line{text: printable(row.Share), size: textSize, ink: ink})
		k.leads = append(k.leads, line{text: printable(row.Leads), size: textSize, bold: true, ink: ink})
	}
	height := cardEdge + k.title.leading() + heightOf(k.text) + 4
	k.size = CardSize{Width: cardWidth, Top: height}
	for i, row := range c.Rows {
		room := inner - r.width(k.share[i]) - 8
		if row.Leads != "" {
			room -= r.width(k.leads[i]) + 8
		}
		words := r.wrap(row.Words, room, line{size: textSize, ink: ink})
		k.rows = append(k.rows, words)
		k.size.Rows = append(k.size.Rows, heightOf(words)+7)
		height += heightOf(words) + 7
	}
	k.size.Height = height + heightOf(k.foot) + cardEdge
	return k
}

// wrap sets a text in lines of at most that width, each like a line; a longer word stays whole.
func (r *ruler) wrap(text string, width float64, like line) []line {
	var out []line
	measure := func(s string) float64 { return r.width(line{text: s, size: like.size, bold: like.bold}) }
	for _, like.text = range lines.Wrap(printable(text), width, measure, nil) {
		out = append(out, like)
	}
	return out
}

// Sizes are the sizes of the cards.
func (s Sheet) Sizes() []CardSize {
	var out []CardSize
	for _, k := range s.cards {
		out = append(out, k.size)
	}
	return out
}

const sheetEdge = 16.0

// Paint draws the cards of a sheet around their centres, with the lines between them, on a picture of that size and what the head takes.
func (s Sheet) Paint(width, height float64, centres []XY, leads []Lead) Picture {
	p := &sheetPainter{ruler: newRuler()}
	width = max(width, 2*cardWidth) + 2*sheetEdge
	y := sheetEdge
	head := p.ruler.wrap(s.Title, width-2*sheetEdge, line{size: titleSize, bold: true, ink: ink})
	for _, words := range s.Head {
		head = append(head, p.ruler.wrap(words, width-2*sheetEdge, line{size: textSize, ink: ink})...)
	}
	for _, l := range head {
		y += l.leading()
		p.text(l, sheetEdge, y-0.3*l.size)
	}
	y += 10
	p.off = XY{sheetEdge, y}
	for _, l := range leads {
		p.lead(l)
	}
	for i, k := range s.cards {
		p.card(k, centres[i])
	}
	return Picture{Width: width, Height: y + height + sheetEdge, Title: printable(s.Title), Shapes: p.shapes}
}

type sheetPainter struct {
	ruler  *ruler
	off    XY
	shapes []Shape
}

func (p *sheetPainter) put(s Shape) { p.shapes = append(p.shapes, s) }

func (p *sheetPainter) text(l line, x, y float64) {
	p.put(Shape{Kind: Text, Points: []XY{{x, y}}, Text: l.text, Size: l.size, Bold: l.bold, Fill: l.ink})
}

// lead draws a line with an arrow at its end.
func (p *sheetPainter) lead(l Lead) {
	var points []XY
	for _, q := range l.Points {
		points = append(points, XY{q.X + p.off.X, q.Y + p.off.Y})
	}
	if len(points) < 2 {
		return
	}
	p.put(Shape{Kind: Line, Points: points, Stroke: faint, Width: 1.2})
	tip := points[len(points)-1]
	back := points[max(len(points)-4, 0)]
	length := math.Hypot(tip.X-back.X, tip.Y-back.Y)
	if length == 0 {
		return
	}
	const long, half = 8, 3.2
	ux, uy := (tip.X-back.X)/length, (tip.Y-back.Y)/length
	at := XY{tip.X - long*ux, tip.Y - long*uy}
	p.put(Shape{Kind: Area, Points: []XY{tip, {at.X - half*uy, at.Y + half*ux}, {at.X + half*uy, at.Y - half*ux}}, Fill: faint})
}

func (p *sheetPainter) card(k cardLines, centre XY) {
	x, y := centre.X-k.size.Width/2+p.off.X, centre.Y-k.size.Height/2+p.off.Y
	right, bottom := x+k.size.Width, y+k.size.Height
	p.put(Shape{Kind: Group, Class: "card", Name: k.card.Title})
	frame := Shape{Kind: Box, Points: []XY{{x, y}, {right, bottom}}, Stroke: ink, Fill: paper, Width: 1.2, Radius: 3}
	p.put(frame)
	if k.card.End {
		p.put(Shape{Kind: Box, Points: []XY{{x + 3, y + 3}, {right - 3, bottom - 3}}, Stroke: ink, Fill: panel, Width: 1, Radius: 2})
	}
	at := y + cardEdge + k.title.size
	p.text(k.title, x+cardEdge, at)
	p.text(k.note, right-cardEdge-p.ruler.width(k.note), at)
	at = y + cardEdge + k.title.leading()
	for _, l := range k.text {
		at += l.leading()
		p.text(l, x+cardEdge, at-0.25*l.size)
	}
	at = y + k.size.Top
	for i, words := range k.rows {
		p.put(Shape{Kind: Line, Points: []XY{{x + cardEdge/2, at}, {right - cardEdge/2, at}}, Stroke: faint, Width: 0.6})
		low := at + 3
		for _, l := range words {
			low += l.leading()
			p.text(l, x+cardEdge, low-0.25*l.size)
		}
		edge := right - cardEdge
		if wide := p.ruler.width(k.leads[i]); k.leads[i].text != "" {
			p.text(k.leads[i], edge-wide, low-0.25*textSize)
			edge -= wide + 8
		}
		p.text(k.share[i], edge-p.ruler.width(k.share[i]), low-0.25*textSize)
		at += k.size.Rows[i]
	}
	if len(k.rows) > 0 && len(k.foot) > 0 {
		p.put(Shape{Kind: Line, Points: []XY{{x + cardEdge/2, at}, {right - cardEdge/2, at}}, Stroke: faint, Width: 0.6})
	}
	at += 2
	for _, l := range k.foot {
		at += l.leading()
		p.text(l, x+cardEdge, at-0.25*l.size)
	}
	p.put(Shape{Kind: End})
}
