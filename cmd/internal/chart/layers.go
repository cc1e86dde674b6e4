package chart

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"ohmtrail/solver/recording"
)

// The layers of a strip, from the paper up; each is a plot.Plotter.

// marked shades the times at which something was moved.
type marked []recording.Mark

// Plot shades each mark over the whole height.
func (m marked) Plot(c draw.Canvas, p *plot.Plot) {
	tx, _ := p.Transforms(&c)
	for _, x := range m {
		if x.To < p.X.Min || x.From > p.X.Max {
			continue
		}
		from, to := tx(max(x.From, p.X.Min)), tx(min(x.To, p.X.Max))
		c.FillPolygon(pale, []vg.Point{{X: from, Y: c.Min.Y}, {X: max(to, from+1), Y: c.Min.Y}, {X: max(to, from+1), Y: c.Max.Y}, {X: from, Y: c.Max.Y}})
	}
}

// sign is how a band is hatched, and the word that says so beside its name.
type sign struct {
	rise  float64 // of the hatching: 1 up to the right, -1 down, 0 level
	apart vg.Length
	word  string
}

var signs = []sign{{1, 5, "/// "}, {-1, 5, "\\\\\\ "}, {0, 3, "=== "}, {1, 9, "/ / "}}

// bands hatches what would be read under each assumption.
type bands []Band

// thinnest is the least height of a band on paper, so that one value can be seen.
const thinnest = 5

// Plot hatches each band over the whole width.
func (b bands) Plot(c draw.Canvas, p *plot.Plot) {
	_, ty := p.Transforms(&c)
	for i, x := range b {
		if math.IsNaN(x.Low) || math.IsNaN(x.High) {
			continue
		}
		low, high := ty(min(max(x.Low, p.Y.Min), p.Y.Max)), ty(min(max(x.High, p.Y.Min), p.Y.Max))
		if high-low < thinnest {
			low, high = (low+high-thinnest)/2, (low+high+thinnest)/2
		}
		low, high = max(low, c.Min.Y), min(high, c.Max.Y)
		line := draw.LineStyle{Color: grey, Width: vg.Points(0.5)}
		c.StrokeLine2(line, c.Min.X, low, c.Max.X, low)
		c.StrokeLine2(line, c.Min.X, high, c.Max.X, high)
		s := signs[i%len(signs)]
		if s.rise == 0 {
			for y := low + s.apart; y < high; y += s.apart {
				c.StrokeLine2(line, c.Min.X, y, c.Max.X, y)
			}
			continue
		}
		tall := high - low
		for x := c.Min.X - tall; x < c.Max.X; x += s.apart {
			left, right := max(x, c.Min.X), min(x+tall, c.Max.X)
			if right <= left {
				continue
			}
			if s.rise > 0 {
				c.StrokeLine2(line, left, low+left-x, right, low+right-x)
			} else {
				c.StrokeLine2(line, left, high-(left-x), right, high-(right-x))
			}
		}
	}
}

// trace is the recording: a line where each band is one sample, else its span from least to greatest.
type trace struct {
	bands []recording.Band
	floor float64
}

// Plot draws the line, broken at gaps.
func (t trace) Plot(c draw.Canvas, p *plot.Plot) {
	tx, ty := p.Transforms(&c)
	y := func(v float64) vg.Length { return ty(min(max(v, t.floor, p.Y.Min), p.Y.Max)) }
	var line []vg.Point
	style := draw.LineStyle{Color: dark, Width: vg.Points(0.7)}
	flush := func() {
		if len(line) == 1 {
			line = append(line, vg.Point{X: line[0].X + 0.8, Y: line[0].Y})
		}
		if len(line) > 0 {
			c.StrokeLines(style, line)
		}
		line = nil
	}
	for _, b := range t.bands {
		if b.Break {
			flush()
		}
		if line = append(line, vg.Point{X: tx(b.From), Y: y(b.First)}); b.Samples == 1 {
			continue
		}
		x := tx((b.From + b.To) / 2)
		line = append(line, vg.Point{X: x, Y: y(b.Low)}, vg.Point{X: x, Y: y(b.High)}, vg.Point{X: tx(b.To), Y: y(b.Last)})
	}
	flush()
}

// levels are the stretches at one level.
type levels struct {
	all   []Level
	floor float64
}

// Plot draws each as a thick dashed line, with gaps wide enough for the recording to be seen.
func (l levels) Plot(c draw.Canvas, p *plot.Plot) {
	tx, ty := p.Transforms(&c)
	for _, x := range l.all {
		y := ty(min(max(x.Value, l.floor, p.Y.Min), p.Y.Max))
		from, to := tx(x.From), tx(x.To)
		c.StrokeLine2(draw.LineStyle{Color: black, Width: vg.Points(1.7), Dashes: []vg.Length{7, 7}}, from, y, max(to, from+2), y)
	}
}

// jumps are the times at which the value jumped.
type jumps []float64

// mostPointers is how many jumps get a pointer; more get a tick.
const mostPointers = 60

// Plot points at each from above.
func (j jumps) Plot(c draw.Canvas, p *plot.Plot) {
	tx, _ := p.Transforms(&c)
	for _, t := range j {
		x, y := tx(t), c.Max.Y
		if len(j) > mostPointers {
			c.StrokeLine2(draw.LineStyle{Color: black, Width: vg.Points(0.5)}, x, y-6, x, y)
			continue
		}
		c.FillPolygon(black, []vg.Point{{X: x, Y: y - 8}, {X: x - 2.4, Y: y}, {X: x + 2.4, Y: y}})
	}
}
