package draw

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
)

const (
	margin = 18.0

	linkWidth        = 4.4 // a wire
	linkSuspectWidth = 8.0
	outline          = 1.4
	outlineSuspect   = 3.6
)

// dashes of what lies beyond a suspect place, and of a suspect part's outline.
var (
	beyond = []float64{13, 8}
	doubt  = []float64{9, 5}
)

// painter puts shapes on a picture, shifted down by what stands over the drawing.
type painter struct {
	*placed
	shapes []Shape
	shift  float64
}

// Draw lays out a circuit with its marks.
func Draw(c *circuits.Circuit, m Marks) Picture {
	g := cut(build(c))
	g.arrange()
	r := newRuler()
	p := &painter{placed: place(g, g.annotate(m, r), r)}
	title := printable(c.Title)
	if title == "" {
		title = "Wiring diagram"
	}
	picture := Picture{Title: title}
	top, width := p.heading(title)
	p.shift = top
	for i := range p.parts {
		if k := p.parts[i].kind; k == splicePart || k == studPart {
			p.bar(i)
		} else {
			p.box(i)
		}
	}
	for i := range p.parts {
		if p.parts[i].kind == splicePart {
			p.spliceName(i)
		}
	}
	for pass := range 2 { // wires that change rows first, so that level ones lie over them
		for i := range p.strands {
			if level := straight(p.path(i)); level == (pass == 1) {
				p.strand(i)
			}
		}
	}
	p.shorts()
	for i := range p.parts {
		p.joints(i)
	}
	for l := range p.legs {
		p.legText(l)
	}
	p.shift = 0
	bottom, footWidth := p.foot(top+p.height, max(width, p.width))
	picture.Shapes = p.shapes
	picture.Width, picture.Height = max(width, p.width, footWidth), bottom+margin
	return picture
}

func (p *painter) put(s Shape) {
	if p.shift != 0 {
		moved := make([]XY, len(s.Points))
		for i, q := range s.Points {
			moved[i] = XY{q.X, q.Y + p.shift}
		}
		s.Points = moved
	}
	p.shapes = append(p.shapes, s)
}

func (p *painter) group(class, name, about string) {
	p.put(Shape{Kind: Group, Class: class, Name: name, About: about})
}

func (p *painter) end() { p.put(Shape{Kind: End}) }

// text writes lines under each other and returns the height below them; y is the top of the first.
func (p *painter) text(x, y float64, middle bool, ls []line) float64 {
	for _, l := range ls {
		if l.text != "" {
			p.put(Shape{Kind: Text, Points: []XY{{x, y + l.size*0.95}}, Text: l.text, Size: l.size, Bold: l.bold, Middle: middle, Fill: l.ink})
		}
		y += l.leading()
	}
	return y
}

func (p *painter) lineAlong(points []XY, stroke string, width float64, dash []float64, offset float64) {
	p.put(Shape{Kind: Line, Points: points, Stroke: stroke, Width: width, Dash: dash, Offset: offset})
}

// strand draws a wire in the colours of its insulation.
func (p *painter) strand(i int) {
	s := p.strands[i]
	about := "wire " + s.wire.Location.String() + ", " + wireLabel(s.wire)
	if name := p.circuit.Runs[s.wire.Run].Name; name != "" {
		about += ", " + name
	}
	p.group("wire", s.wire.Location.String(), about)
	path := p.path(i)
	p.lineAlong(path, paper, linkWidth+6, nil, 0) // lifts it off what it crosses
	if p.broken[i] == none {
		p.insulation(path, s.wire.Color, linkWidth, false)
	} else {
		before, after := split(path, p.breakPoint(i))
		p.insulation(before, s.wire.Color, linkSuspectWidth, false)
		if len(after) > 0 {
			p.insulation(after, s.wire.Color, linkSuspectWidth, true)
		}
	}
	p.end()
}

// insulation draws a stretch of wire: a dark edge, the first colour, and the second in bands.
func (p *painter) insulation(path []XY, color string, width float64, dashed bool) {
	codes, ok := colourCodes(color)
	var dash []float64
	if dashed {
		dash = beyond
	}
	p.lineAlong(path, ink, width, dash, 0)
	if !ok {
		return // no colour given, or one that has no code: a plain dark line
	}
	core := width - 1.8
	p.lineAlong(path, codes[0], core, dash, 0)
	if len(codes) == 2 && codes[1] != codes[0] {
		if width > linkWidth { // a suspect has its second colour as a stripe along it: bands could be taken for the dashes
			p.lineAlong(path, codes[1], core*0.4, dash, 0)
		} else {
			p.lineAlong(path, codes[1], core, []float64{7, 9}, -6)
		}
	}
}

// shorts joins the two wires of a suspected touch, where both can be seen in one channel.
func (p *painter) shorts() {
	for _, s := range p.marks.Suspects {
		a, b := p.strandAt(s.Location), p.strandAt(s.Other)
		if a == none || b == none {
			continue
		}
		la, lb := p.legsOf[a][0], p.legsOf[b][0]
		c := p.lanes[p.legs[la].channel+1]
		if p.legs[la].channel != p.legs[lb].channel || c.zone == 0 {
			continue // their numbers say that they belong together
		}
		x := c.left + c.zone - 28
		p.group("suspect", s.Location.String()+" "+s.Other.String(), s.Words)
		way := []XY{{x, p.breakPoint(a).Y}, {x, p.breakPoint(b).Y}}
		p.lineAlong(way, paper, 6, nil, 0)
		p.lineAlong(way, ink, 2.8, []float64{4, 4}, 0)
		for _, q := range way {
			p.put(Shape{Kind: Disc, Points: []XY{q}, Radius: 5.5, Fill: ink, Stroke: paper, Width: 1.5})
		}
		p.end()
	}
}

func (p *painter) strandAt(at circuits.Location) int {
	for i, s := range p.strands {
		if s.wire.Location == at {
			return i
		}
	}
	return none
}

// legText draws what belongs to a leg: label, run name, suspect tags, test points.
func (p *painter) legText(l int) {
	leg := p.legs[l]
	x, y := p.middleX(l), p.y[p.home(leg)]
	if p.hasLabel(l) {
		label := p.wireLine(l)
		p.text(p.labelX(l, p.ruler.width(label)), y-p.labelRise(l), true, []line{label})
	}
	below := y + 7
	for _, tag := range p.under[l].middle {
		p.tag(tag, x-tag.width/2, below+4)
		p.badge(XY{x, y}, tag.suspect)
		below += tag.height + 2
	}
	if len(p.under[l].middle) > 0 {
		below += 5
	}
	if name := p.runLabel(l); name.text != "" {
		p.text(x, below-2, true, []line{name})
	}
	p.testPoint(l, leg.from, p.under[l].ends[0])
	p.testPoint(l, leg.to, p.under[l].ends[1])
}

// testPoint draws the values measured where a leg meets a part.
func (p *painter) testPoint(l int, a anchor, slips []slip) {
	x, toward := p.faceX(a), 1.0
	if a.face == west {
		toward = -1
	}
	if c := p.lanes[p.legs[l].channel+1]; a.face == east {
		x = max(x, c.left)
	} else {
		x = min(x, c.left+c.zone+c.tracks+c.right)
	}
	if p.slots[a.slot].part != none && p.ringed[a.slot] != none && p.kindOf(a.slot) != connectorPart {
		x += toward * ringRoom
	}
	y := p.y[a.slot] + 6
	for i, s := range slips {
		p.group("test", s.point.String(), aboutTest(s))
		tip := XY{x + toward*9, y - 3}
		if i > 0 {
			tip.Y = y + 1
		}
		p.put(Shape{Kind: Area, Points: []XY{tip, {tip.X - 4.5, tip.Y + 9}, {tip.X + 4.5, tip.Y + 9}}, Fill: ink, Stroke: paper, Width: 1})
		at := x + probeRoom
		if a.face == west {
			at = x - s.width + 2
		}
		p.text(at, y+1, false, s.lines)
		p.end()
		y += s.height + 2
	}
}

func aboutTest(s slip) string {
	var words []string
	for _, l := range s.lines {
		words = append(words, l.text)
	}
	return fmt.Sprintf("test point %s: %s", s.point, strings.Join(words, ", "))
}

// tag draws a suspect's words in a frame, with its number and its probability as a bar that reads without colour.
func (p *painter) tag(t slip, x, y float64) {
	s := p.marks.Suspects[t.suspect]
	p.group("suspect", strings.TrimSpace(s.Location.String()+" "+s.Other.String()), s.Words)
	bottom := y + t.height - 2
	p.put(Shape{Kind: Box, Points: []XY{{x, y}, {x + t.width, bottom}}, Radius: 3, Fill: paper, Stroke: ink, Width: 1.6})
	p.badge(XY{x + 12, y + (t.height-7)/2}, t.suspect)
	p.text(x+22, y+slipPad-1, false, t.lines)
	share := min(max(s.Probability, 0), 1)
	p.put(Shape{Kind: Box, Points: []XY{{x, bottom - 5}, {x + t.width, bottom}}, Fill: paper, Stroke: ink, Width: 1})
	p.put(Shape{Kind: Box, Points: []XY{{x, bottom - 5}, {x + t.width*share, bottom}}, Fill: ink})
	p.end()
}

// badge is a suspect's number, on the place and on its tag.
func (p *painter) badge(at XY, suspect int) {
	p.put(Shape{Kind: Disc, Points: []XY{at}, Radius: 8, Fill: ink, Stroke: paper, Width: 1.5})
	p.put(Shape{Kind: Text, Points: []XY{{at.X, at.Y + 4}}, Text: fmt.Sprint(suspect + 1), Size: smallSize, Bold: true, Middle: true, Fill: paper})
}
