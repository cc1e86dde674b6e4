package paper

import (
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"ohmtrail/cmd/internal/draw"
)

const (
	mostMMPerUnit = 0.2  // a small drawing is not blown up: 12 units of text are then 6.8 points
	readableMM    = 0.13 // millimetres a unit below which 12 units of text are less than 4.4 points
)

// scale is millimetres a unit of a drawing in a space.
func scale(s draw.Sheet, wide, high float64) float64 {
	if s.Width <= 0 || s.Height <= 0 {
		return mostMMPerUnit
	}
	return min(wide/s.Width, high/s.Height, mostMMPerUnit)
}

// room is the width and height of the text on a page, upright or turned.
func (s Size) room(turned bool) (wide, high float64) {
	w, h := s.WidthMM, s.HeightMM
	if turned {
		w, h = h, w
	}
	return w - 2*marginMM, h - marginMM - footMM - footGapMM
}

// Turns tells whether a drawing is better off on a turned page of its own, as PDF sets it.
func Turns(b Drawing, size Size) bool {
	wide, high := size.room(false)
	upright := scale(b.Sheet, wide, high)
	wide, high = size.room(true)
	return !b.Upright && upright < readableMM && scale(b.Sheet, wide, high) > 1.2*upright
}

// uprightScale is the scale of a drawing on an upright page: as large as an empty page takes it, or smaller, down to
// what can be read, where that lets it fit what is left of this page.
func (p *press) uprightScale(b Drawing) float64 {
	most := p.low - p.top
	if b.MostMM > 0 {
		most = min(most, b.MostMM)
	}
	k := scale(b.Sheet, p.wide, most)
	if here := scale(b.Sheet, p.wide, p.room()); here < k && here >= readableMM {
		return here
	}
	return k
}

// drawingHeight is the least height that a drawing asks for.
func (p *press) drawingHeight(b Drawing) float64 {
	if Turns(b, p.size) {
		return 0
	}
	most := p.low - p.top
	if b.MostMM > 0 {
		most = min(most, b.MostMM)
	}
	return b.Sheet.Height*min(scale(b.Sheet, p.wide, most), readableMM) + gapMM
}

func (p *press) drawing(b Drawing) {
	if Turns(b, p.size) {
		p.newPage(true)
		wide, high := p.size.room(true)
		k := scale(b.Sheet, wide, high)
		p.sheet(b.Sheet, p.left+(wide-b.Sheet.Width*k)/2, p.y, k)
		p.y += b.Sheet.Height*k + gapMM
		return
	}
	k := p.uprightScale(b)
	p.ask(b.Sheet.Height * k)
	p.sheet(b.Sheet, p.left+(p.wide-b.Sheet.Width*k)/2, p.y, k)
	p.y += b.Sheet.Height*k + gapMM
}

// sheet draws a sheet with its top left corner at x, y and k millimetres a unit.
func (p *press) sheet(s draw.Sheet, x, y, k float64) {
	to := func(q draw.XY) fpdf.PointType { return fpdf.PointType{X: x + q.X*k, Y: y + q.Y*k} }
	p.pdf.ClipRect(x, y, s.Width*k, s.Height*k, false)
	p.pdf.SetLineJoinStyle("miter")
	for _, shape := range s.Shapes {
		p.shape(shape, to, k)
	}
	p.pdf.SetDashPattern(nil, 0)
	p.pdf.ClipEnd()
	p.pdf.SetTextColor(0, 0, 0)
	p.pdf.SetDrawColor(0, 0, 0)
}

func (p *press) shape(s draw.Shape, to func(draw.XY) fpdf.PointType, k float64) {
	if s.Kind == draw.Text {
		p.shapeText(s, to(s.Points[0]), k)
		return
	}
	style := p.pens(s, k)
	if style == "" {
		return
	}
	switch s.Kind {
	case draw.Line:
		if style == "F" || style == "FD" { // a line has no inside
			style = "D"
		}
		if len(s.Points) < 2 || s.Stroke == "" {
			return
		}
		for i, q := range s.Points {
			if at := to(q); i == 0 {
				p.pdf.MoveTo(at.X, at.Y)
			} else {
				p.pdf.LineTo(at.X, at.Y)
			}
		}
		p.pdf.DrawPath("D")
	case draw.Area:
		points := make([]fpdf.PointType, len(s.Points))
		for i, q := range s.Points {
			points[i] = to(q)
		}
		p.pdf.Polygon(points, style)
	case draw.Disc:
		at := to(s.Points[0])
		p.pdf.Circle(at.X, at.Y, s.Radius*k, style)
	case draw.Box:
		a, b := to(s.Points[0]), to(s.Points[1])
		if r := min(s.Radius*k, (b.X-a.X)/2, (b.Y-a.Y)/2); r > 0 {
			p.pdf.RoundedRect(a.X, a.Y, b.X-a.X, b.Y-a.Y, r, "1234", style)
		} else {
			p.pdf.Rect(a.X, a.Y, b.X-a.X, b.Y-a.Y, style)
		}
	}
}

// pens sets colours, width and dashes; the style is what is to be painted, "" for nothing.
func (p *press) pens(s draw.Shape, k float64) string {
	style := ""
	if r, g, b, ok := colour(s.Fill); ok {
		p.pdf.SetFillColor(r, g, b)
		style = "F"
	}
	r, g, b, ok := colour(s.Stroke)
	if !ok || s.Width <= 0 {
		return style
	}
	p.pdf.SetDrawColor(r, g, b)
	p.pdf.SetLineWidth(s.Width * k)
	dash := make([]float64, len(s.Dash))
	for i, d := range s.Dash {
		dash[i] = d * k
	}
	p.pdf.SetDashPattern(dash, s.Offset*k)
	return style + "D"
}

func (p *press) shapeText(s draw.Shape, at fpdf.PointType, k float64) {
	text := p.letters.settable(flat(s.Text))
	if text == "" {
		return
	}
	p.use(face{s.Size * k / mmPerPt, s.Bold})
	if s.Middle {
		at.X -= p.pdf.GetStringWidth(text) / 2
	}
	r, g, b, _ := colour(s.Fill)
	p.pdf.SetTextColor(r, g, b)
	p.pdf.Text(at.X, at.Y, plainSpaces(text))
}

// colour reads "#rrggbb"; ok is false for anything else, such as the fill of what can only be tapped.
func colour(hex string) (r, g, b int, ok bool) {
	if len(hex) != 7 || hex[0] != '#' {
		return 0, 0, 0, false
	}
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		return 0, 0, 0, false
	}
	return int(v >> 16), int(v >> 8 & 0xff), int(v & 0xff), true
}

func plainSpaces(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }
