package draw

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strconv"

	"git.sr.ht/~sbinet/gg"
	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

const (
	pixelsPerUnit = 2.0  // of a PNG, so that it prints and zooms well
	mostPixels    = 40e6 // a larger drawing gets fewer pixels a unit
)

// pixels is how many a PNG of the picture has a unit.
func (s Picture) pixels() float64 {
	return min(pixelsPerUnit, math.Sqrt(mostPixels/(s.Width*s.Height)))
}

// ReadableAsPNG tells whether the letters of a PNG of the picture are high enough to be read, six pixels and more.
func (s Picture) ReadableAsPNG() bool { return s.pixels()*textSize >= 6 }

// PNG draws the picture with two pixels a unit, fewer beyond 40 million pixels. The size is the picture's, rounded up.
func (s Picture) PNG() ([]byte, error) {
	scale := s.pixels()
	pixels := image.NewRGBA(image.Rect(0, 0, int(math.Ceil(s.Width*scale)), int(math.Ceil(s.Height*scale))))
	on := gg.NewContextForRGBA(pixels) // given over, for vgimg would make two more pictures of this size
	on.SetLineCapButt()
	on.InvertY()
	c := vgimg.NewWith(vgimg.UseImageWithContext(pixels, on), vgimg.UseDPI(72)) // a point is a pixel
	s.On(c, vg.Point{Y: vg.Length(pixels.Rect.Dy())}, vg.Length(scale))
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := encoder.Encode(&b, pixels); err != nil {
		return nil, fmt.Errorf("encode the picture: %w", err)
	}
	return b.Bytes(), nil
}

// On draws the picture on a canvas, its top left corner at a place and its unit of a length there. The canvas's y leads
// upwards. What can only be tapped, and the groups, do not show.
func (s Picture) On(c vg.Canvas, corner vg.Point, unit vg.Length) {
	p := pen{Canvas: c, corner: corner, unit: unit, ruler: newRuler()}
	for _, shape := range s.Shapes {
		switch shape.Kind {
		case Text:
			p.text(shape)
		case Line:
			p.stroke(shape, p.polygon(shape.Points))
		case Area:
			p.draw(shape, p.polygon(shape.Points))
		case Disc:
			at, r := shape.Points[0], shape.Radius
			p.draw(shape, p.rounded(XY{at.X - r, at.Y - r}, XY{at.X + r, at.Y + r}, r))
		case Box:
			p.draw(shape, p.rounded(shape.Points[0], shape.Points[1], shape.Radius))
		}
	}
}

// pen puts shapes on a canvas.
type pen struct {
	vg.Canvas
	corner vg.Point
	unit   vg.Length
	ruler  *ruler
}

func (p pen) to(x, y float64) vg.Point {
	return vg.Point{X: p.corner.X + vg.Length(x)*p.unit, Y: p.corner.Y - vg.Length(y)*p.unit}
}

func (p pen) polygon(points []XY) vg.Path {
	var path vg.Path
	for i, q := range points {
		if i == 0 {
			path.Move(p.to(q.X, q.Y))
		} else {
			path.Line(p.to(q.X, q.Y))
		}
	}
	return path
}

// rounded is the outline of a box; one whose corners meet is a circle.
func (p pen) rounded(a, b XY, radius float64) vg.Path {
	r := max(0, min(radius, (b.X-a.X)/2, (b.Y-a.Y)/2))
	k := r * (1 - 4*(math.Sqrt2-1)/3) // of the control points of a quarter of a circle, from the corner
	var path vg.Path
	path.Move(p.to(a.X+r, a.Y))
	path.Line(p.to(b.X-r, a.Y))
	path.CubeTo(p.to(b.X-k, a.Y), p.to(b.X, a.Y+k), p.to(b.X, a.Y+r))
	path.Line(p.to(b.X, b.Y-r))
	path.CubeTo(p.to(b.X, b.Y-k), p.to(b.X-k, b.Y), p.to(b.X-r, b.Y))
	path.Line(p.to(a.X+r, b.Y))
	path.CubeTo(p.to(a.X+k, b.Y), p.to(a.X, b.Y-k), p.to(a.X, b.Y-r))
	path.Line(p.to(a.X, a.Y+r))
	path.CubeTo(p.to(a.X, a.Y+k), p.to(a.X+k, a.Y), p.to(a.X+r, a.Y))
	return path
}

// draw fills an outline and strokes round it.
func (p pen) draw(s Shape, path vg.Path) {
	path.Close()
	if ink, ok := colourOf(s.Fill); ok {
		p.SetColor(ink)
		p.Fill(path)
	}
	p.stroke(s, path)
}

func (p pen) stroke(s Shape, path vg.Path) {
	ink, ok := colourOf(s.Stroke)
	if !ok || s.Width <= 0 || len(path) < 2 {
		return
	}
	var dash []vg.Length
	period := 0.0
	for _, d := range s.Dash {
		dash = append(dash, vg.Length(d)*p.unit)
		period += d
	}
	offset := s.Offset
	if offset < 0 { // not every canvas begins before the pattern
		offset = period + math.Mod(offset, period)
	}
	p.SetColor(ink)
	p.SetLineWidth(vg.Length(s.Width) * p.unit)
	p.SetLineDash(dash, vg.Length(offset)*p.unit)
	p.Stroke(path)
}

// text writes in the embedded Go fonts.
func (p pen) text(s Shape) {
	ink, ok := colourOf(s.Fill)
	if !ok || s.Text == "" {
		return
	}
	x := s.Points[0].X
	if s.Middle {
		w, _ := p.ruler.measured(line{text: s.Text, size: s.Size, bold: s.Bold})
		x -= w / 2
	}
	p.SetColor(ink)
	p.FillString(p.face(s.Size, s.Bold), p.to(x, s.Points[0].Y), s.Text)
}

func (p pen) face(size float64, bold bool) font.Face {
	face := font.Face{Font: font.Font{Typeface: "Go", Size: vg.Length(size) * p.unit}, Face: p.ruler.regular}
	if bold {
		face.Font.Weight, face.Face = xfont.WeightBold, p.ruler.bold
	}
	return face
}

// colourOf reads "#rrggbb"; ok is false for anything else, such as the fill of what can only be tapped.
func colourOf(hex string) (c color.RGBA, ok bool) {
	if len(hex) != 7 || hex[0] != '#' {
		return color.RGBA{}, false
	}
	v, err := strconv.ParseUint(hex[1:], 16, 32)
	return color.RGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}, err == nil
}
