// Package chart draws recordings as strip charts: each value over time with its levels and jumps, the bands of what a healthy
// circuit and the leading faults would read, and what was moved when. Nothing in it is told by colour alone: bands differ by
// hatching and stand with their names, so a black-and-white print says the same.
//
// It computes no volts; levels, bands and marks arrive finished. The same chart gives the same bytes.
package chart

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"

	"ohmtrail/models"
	"ohmtrail/solver/recording"
)

// Chart is what is drawn.
type Chart struct {
	Title  string
	Note   string // a line under the title
	Clock  string // where time 0 is, for times of the day; "" for the file's own seconds
	Strips []Strip
	Marks  []recording.Mark
}

// Strip is one recorded value over time.
type Strip struct {
	Label  string // what was read, and its unit
	Trace  []recording.Band
	Levels []Level
	Bands  []Band // the first is drawn first
	Jumps  []float64
	Log    bool // a logarithmic scale, for ohms over decades
}

// Level is a stretch at one level.
type Level struct{ From, To, Value float64 }

// Band is what would be read under one assumption.
type Band struct {
	Name      string
	Low, High float64
}

// Sizes of a chart, in points of 1/72 inch.
const (
	width       = 780
	stripHeight = 240
	laneHeight  = 18
	headHeight  = 44
	footHeight  = 24
	namesWidth  = 190
	dotsPerInch = 144
)

var (
	black = color.Gray{}
	dark  = color.Gray{Y: 70}
	grey  = color.Gray{Y: 130}
	pale  = color.Gray{Y: 228}
)

// SVG draws a chart as an SVG document.
func SVG(c Chart) ([]byte, error) {
	canvas := vgsvg.New(width, c.height())
	body, err := c.write(canvas, canvas)
	return bytes.ReplaceAll(body, []byte("font-family:Liberation Sans;"), []byte("font-family:'Liberation Sans',Arial,Helvetica,sans-serif;")), err
}

// PNG draws a chart as a picture of two dots to a point.
func PNG(c Chart) ([]byte, error) {
	canvas := vgimg.NewWith(vgimg.UseWH(width, c.height()), vgimg.UseDPI(dotsPerInch))
	return c.write(canvas, vgimg.PngCanvas{Canvas: canvas})
}

// height of the whole chart.
func (c Chart) height() vg.Length {
	h := vg.Length(headHeight + footHeight + stripHeight*len(c.Strips))
	if n := len(c.lanes()); n > 0 {
		h += vg.Length(laneHeight*n + 10)
	}
	return h
}

// lanes are the places that were moved, in the order of their first marks.
func (c Chart) lanes() []string {
	var out []string
	seen := map[string]bool{}
	for _, m := range c.Marks {
		if !seen[m.Place] {
			seen[m.Place] = true
			out = append(out, m.Place)
		}
	}
	return out
}

// span is the time that the chart shows.
func (c Chart) span() (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, s := range c.Strips {
		for _, b := range s.Trace {
			from, to = min(from, b.From), max(to, b.To)
		}
	}
	if !(to > from) {
		if math.IsInf(from, 0) {
			from = 0
		}
		to = from + 1
	}
	return from, to
}

// style is text in the chart's own typeface.
func style(size float64) draw.TextStyle {
	s := plot.New().Title.TextStyle
	s.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(size)}
	s.Color = black
	s.XAlign, s.YAlign = draw.XLeft, draw.YCenter
	return s
}

// plotOf is an empty plot of a strip in the chart's own look.
func (c Chart) plotOf(s Strip) *plot.Plot {
	p := plot.New()
	p.X.Min, p.X.Max = c.span()
	p.Y.Min, p.Y.Max = s.limits()
	text := style(9)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Label.TextStyle.Font, a.Tick.Label.Font = text.Font, text.Font
		a.Label.TextStyle.Font.Size, a.Tick.Label.Font.Size = vg.Points(10), vg.Points(9)
		a.LineStyle.Width, a.Tick.LineStyle.Width = vg.Points(0.6), vg.Points(0.6)
		a.Padding = vg.Points(4)
	}
	p.X.Tick.Marker, p.Y.Tick.Marker = even{}, even{}
	p.Y.Label.Text = s.Label
	if s.Log {
		p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, decades{}
	}
	p.Add(marked(c.Marks), bands(s.Bands), trace{s.Trace, s.floor()}, levels{s.Levels, s.floor()}, jumps(s.Jumps))
	return p
}

// write draws the chart on a canvas and gives the bytes of the document that it is.
func (c Chart) write(on vg.CanvasSizer, to io.WriterTo) ([]byte, error) {
	whole := draw.NewCanvas(on, width, c.height())
	whole.SetColor(color.White)
	whole.Fill(whole.Rectangle.Path())
	c.head(whole)
	c.body(whole)
	var b bytes.Buffer
	if _, err := to.WriteTo(&b); err != nil {
		return nil, fmt.Errorf("the chart cannot be written: %w", err)
	}
	return b.Bytes(), nil
}

// decades are the ticks of a logarithmic scale: a name at each power of ten, two to nine between.
type decades struct{}

// Ticks are those from min to max, both above 0.
func (decades) Ticks(least, most float64) []plot.Tick {
	var out []plot.Tick
	for e := int(math.Floor(math.Log10(least))); e <= int(math.Ceil(math.Log10(most))); e++ {
		for k := 1; k <= 9; k++ {
			tick := plot.Tick{Value: float64(k) * math.Pow10(e)}
			if k == 1 {
				tick.Label = strings.TrimSpace(models.SI(tick.Value, ""))
				tick.Label = strings.ReplaceAll(strings.Replace(tick.Label, ".00", "", 1), ".0", "")
			}
			if tick.Value >= least && tick.Value <= most {
				out = append(out, tick)
			}
		}
	}
	return out
}

// even are evenly spaced ticks whose names all have as many decimals as tell them apart.
type even struct{}

// Ticks are those from min to max.
func (even) Ticks(least, most float64) []plot.Tick {
	ticks := plot.DefaultTicks{}.Ticks(least, most)
	var named []float64
	for _, t := range ticks {
		if t.Label != "" {
			named = append(named, t.Value)
		}
	}
	if len(named) < 2 {
		return ticks
	}
	apart := named[1] - named[0]
	decimals := 0
	for ; decimals < 9; decimals++ {
		if x := apart * math.Pow10(decimals); x > 0.5 && math.Abs(x-math.Round(x)) < 1e-3 {
			break
		}
	}
	for i := range ticks {
		if ticks[i].Label != "" {
			ticks[i].Label = strconv.FormatFloat(ticks[i].Value+0, 'f', decimals, 64)
			if zero, err := strconv.ParseFloat(ticks[i].Label, 64); err == nil && zero == 0 {
				ticks[i].Label = strings.TrimPrefix(ticks[i].Label, "-")
			}
		}
	}
	return ticks
}
