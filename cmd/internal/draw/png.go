package draw

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"strconv"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"ohmtrail/circuits"
)

const (
	pixelsPerUnit = 2.0  // of a PNG, so that it prints and zooms well
	mostPixels    = 40e6 // a larger drawing gets fewer pixels a unit
	mostAtOnce    = 2e5  // square units of a stroke's extent that are painted at once
)

// PNG draws the circuit with its marks as a picture of two pixels a unit, fewer for a drawing beyond 40 million pixels.
func PNG(ctx context.Context, c *circuits.Circuit, m Marks) ([]byte, error) {
	return Draw(c, m).PNG(ctx, pixelsPerUnit)
}

// PNG draws the sheet with so many pixels a unit, in the embedded Go fonts. The size is the sheet's, rounded up.
func (s Sheet) PNG(ctx context.Context, scale float64) ([]byte, error) {
	if scale <= 0 {
		return nil, fmt.Errorf("a picture of %g pixels a unit cannot be drawn", scale)
	}
	scale = min(scale, math.Sqrt(mostPixels/(s.Width*s.Height)))
	p := &pixels{
		image: image.NewRGBA(image.Rect(0, 0, int(math.Ceil(s.Width*scale)), int(math.Ceil(s.Height*scale)))),
		scale: scale, ruler: newRuler(), faces: map[faceKey]font.Face{},
	}
	for i := range p.image.Pix {
		p.image.Pix[i] = 0xff
	}
	for i, shape := range s.Shapes {
		if i%256 == 0 {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
		}
		if err := p.draw(shape); err != nil {
			return nil, err
		}
	}
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := encoder.Encode(&b, p.image); err != nil {
		return nil, fmt.Errorf("encode the picture: %w", err)
	}
	return b.Bytes(), nil
}

// pixels is a picture being painted.
type pixels struct {
	image *image.RGBA
	scale float64
	ruler *ruler
	faces map[faceKey]font.Face
}

type faceKey struct {
	size float64
	bold bool
}

func (p *pixels) draw(s Shape) error {
	switch s.Kind {
	case Text:
		return p.text(s)
	case Line:
		p.pen(s, s.Points, false)
	case Area:
		p.fill(s.Fill, s.Points)
		p.pen(s, s.Points, true)
	case Disc:
		outline := circle(s.Points[0], s.Radius)
		p.fill(s.Fill, outline)
		p.pen(s, outline, true)
	case Box:
		outline := rounded(s.Points[0], s.Points[1], s.Radius)
		p.fill(s.Fill, outline)
		p.pen(s, outline, true)
	}
	return nil
}

// pen strokes an outline in the shape's stroke and dashes.
func (p *pixels) pen(s Shape, path []XY, closed bool) {
	if s.Stroke == "" || s.Width <= 0 || len(path) < 2 {
		return
	}
	var polygons [][]XY
	if len(s.Dash) > 0 {
		if closed {
			path = append(append([]XY(nil), path...), path[0])
		}
		for _, dash := range along(path, s.Dash, s.Offset) {
			for _, q := range stroke(dash, s.Width, false) {
				polygons = append(polygons, q[:])
			}
		}
	} else {
		for _, q := range stroke(path, s.Width, closed) {
			polygons = append(polygons, q[:])
		}
	}
	if low, high := extent(polygons); len(polygons) < 8 || (high.X-low.X)*(high.Y-low.Y) > mostAtOnce {
		for _, q := range polygons { // a long wire with corners has a huge extent and little area
			p.fill(s.Stroke, q)
		}
		return
	}
	p.fill(s.Stroke, polygons...)
}

// extent is the smallest box round polygons.
func extent(polygons [][]XY) (low, high XY) {
	low, high = XY{math.Inf(1), math.Inf(1)}, XY{math.Inf(-1), math.Inf(-1)}
	for _, polygon := range polygons {
		for _, q := range polygon {
			low.X, low.Y = min(low.X, q.X), min(low.Y, q.Y)
			high.X, high.Y = max(high.X, q.X), max(high.Y, q.Y)
		}
	}
	return low, high
}

// fill paints polygons of one colour at once, so that where two overlap no seam is seen.
func (p *pixels) fill(hex string, polygons ...[]XY) {
	if hex == "" || hex == unseen {
		return
	}
	low, high := extent(polygons)
	if low.X > high.X {
		return
	}
	area := image.Rect(int(math.Floor(low.X*p.scale)), int(math.Floor(low.Y*p.scale)), int(math.Ceil(high.X*p.scale)), int(math.Ceil(high.Y*p.scale)))
	if area.Intersect(p.image.Bounds()).Empty() {
		return
	}
	v := vector.NewRasterizer(area.Dx(), area.Dy())
	at := func(q XY) (x, y float32) {
		return float32(q.X*p.scale - float64(area.Min.X)), float32(q.Y*p.scale - float64(area.Min.Y))
	}
	for _, polygon := range polygons {
		if len(polygon) < 3 {
			continue
		}
		v.MoveTo(at(polygon[0]))
		for _, q := range polygon[1:] {
			v.LineTo(at(q))
		}
		v.ClosePath()
	}
	v.Draw(p.image, area, image.NewUniform(colourOf(hex)), image.Point{})
}

func (p *pixels) text(s Shape) error {
	key := faceKey{s.Size, s.Bold}
	face, ok := p.faces[key]
	if !ok {
		f := p.ruler.regular
		if s.Bold {
			f = p.ruler.bold
		}
		var err error
		if face, err = newFace(f, s.Size*p.scale); err != nil {
			return err
		}
		p.faces[key] = face
	}
	x := s.Points[0].X * p.scale
	d := font.Drawer{Dst: p.image, Src: image.NewUniform(colourOf(s.Fill)), Face: face}
	if s.Middle {
		x -= float64(d.MeasureString(s.Text)) / 64 / 2
	}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(s.Points[0].Y * p.scale * 64)}
	d.DrawString(s.Text)
	return nil
}

func newFace(f *sfnt.Font, pixels float64) (font.Face, error) {
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: pixels, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("a font of %.1f pixels: %w", pixels, err)
	}
	return face, nil
}

// colourOf reads "#rrggbb"; anything else is black.
func colourOf(hex string) color.RGBA {
	if len(hex) == 7 {
		if v, err := strconv.ParseUint(hex[1:], 16, 32); err == nil {
			return color.RGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 0xff}
		}
	}
	return color.RGBA{A: 0xff}
}
