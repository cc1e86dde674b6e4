package paper

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"ohmtrail/cmd/internal/draw"
)

// Picture sets a drawing alone on a page of its own size, at which 12 units of text are 9 points.
func Picture(s draw.Picture) ([]byte, error) {
	const mmPerUnit = 0.75 * mmPerPt
	p := newPress(Document{Title: s.Title}, Size{WidthMM: s.Width * mmPerUnit, HeightMM: s.Height * mmPerUnit})
	p.newPage(false)
	p.picture(s, 0, 0, mmPerUnit)
	var out bytes.Buffer
	if err := p.pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("set the PDF: %w", err)
	}
	return out.Bytes(), nil
}

// Pictures sets drawings on pages of A4 across, each as large as its page holds, but 12 units of text never over 11 points.
func Pictures(title string, pictures []draw.Picture) ([]byte, error) {
	p := newPress(Document{Title: title}, A4)
	for _, s := range pictures {
		p.newPage(true)
		k := min(p.wide/s.Width, (p.low-p.top)/s.Height, 11.0/12*mmPerPt)
		p.picture(s, p.left, p.top, k)
	}
	var out bytes.Buffer
	if err := p.pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("set the PDF: %w", err)
	}
	return out.Bytes(), nil
}

// picture draws a picture with its top left corner at x, y and k millimetres a unit.
func (p *press) picture(s draw.Picture, x, y, k float64) {
	p.pdf.ClipRect(x, y, s.Width*k, s.Height*k, false)
	p.pdf.SetLineJoinStyle("miter")
	s.On(canvas{p}, vg.Point{X: points(x), Y: -points(y)}, points(k))
	p.pdf.SetDashPattern(nil, 0)
	p.pdf.ClipEnd()
	p.pdf.SetTextColor(0, 0, 0)
	p.pdf.SetDrawColor(0, 0, 0)
}

// canvas is the page under the press as gonum/plot draws on one; its y is negative, for that of vg leads upwards. The
// library's own PDF canvas is a document of its own in an encoding of 224 letters, without Ω.
type canvas struct{ *press }

func points(mm float64) vg.Length { return vg.Length(mm / mmPerPt) }

func mm(l vg.Length) float64 { return l.Points() * mmPerPt }

func at(p vg.Point) (x, y float64) { return mm(p.X), -mm(p.Y) }

func (c canvas) SetLineWidth(w vg.Length) { c.pdf.SetLineWidth(mm(w)) }

func (c canvas) SetLineDash(pattern []vg.Length, offset vg.Length) {
	var dash []float64
	for _, d := range pattern {
		dash = append(dash, mm(d))
	}
	c.pdf.SetDashPattern(dash, mm(offset))
}

func (c canvas) SetColor(ink color.Color) {
	v := color.RGBAModel.Convert(ink).(color.RGBA)
	c.pdf.SetFillColor(int(v.R), int(v.G), int(v.B))
	c.pdf.SetDrawColor(int(v.R), int(v.G), int(v.B))
	c.pdf.SetTextColor(int(v.R), int(v.G), int(v.B))
}

func (c canvas) Stroke(p vg.Path) { c.path(p, "D") }
func (c canvas) Fill(p vg.Path)   { c.path(p, "F") }

func (c canvas) path(p vg.Path, style string) {
	for _, step := range p {
		x, y := at(step.Pos)
		switch step.Type {
		case vg.MoveComp:
			c.pdf.MoveTo(x, y)
		case vg.LineComp:
			c.pdf.LineTo(x, y)
		case vg.CurveComp:
			x0, y0 := at(step.Control[0])
			x1, y1 := at(step.Control[len(step.Control)-1])
			c.pdf.CurveBezierCubicTo(x0, y0, x1, y1, x, y)
		case vg.CloseComp:
			c.pdf.ClosePath()
		}
	}
	c.pdf.DrawPath(style)
}

func (c canvas) FillString(f font.Face, p vg.Point, text string) {
	if text = c.letters.settable(flat(text)); text == "" {
		return
	}
	c.use(face{f.Font.Size.Points(), f.Font.Weight == xfont.WeightBold})
	x, y := at(p)
	c.pdf.Text(x, y, plainSpaces(text))
}

func plainSpaces(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

func (c canvas) Push()                               { c.pdf.TransformBegin() }
func (c canvas) Pop()                                { c.pdf.TransformEnd() }
func (c canvas) Rotate(rad float64)                  { c.pdf.TransformRotate(rad*180/math.Pi, 0, 0) }
func (c canvas) Translate(p vg.Point)                { c.pdf.TransformTranslate(at(p)) }
func (c canvas) Scale(x, y float64)                  { c.pdf.TransformScale(x*100, y*100, 0, 0) }
func (c canvas) DrawImage(vg.Rectangle, image.Image) { panic("a drawing holds no photographs") }
