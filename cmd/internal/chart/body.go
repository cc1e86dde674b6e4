package chart

import (
	"math"
	"sort"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"ohmtrail/cmd/internal/lines"
)

// head writes the title.
func (c Chart) head(on draw.Canvas) {
	title, note := style(13), style(9)
	at := vg.Point{X: on.Min.X + 10, Y: on.Max.Y - 14}
	on.FillText(title, at, fitted(c.Title, title, width-20))
	at.Y -= 17
	on.FillText(note, at, fitted(c.Note, note, width-20))
}

// fitted cuts a text to a width.
func fitted(text string, s draw.TextStyle, most vg.Length) string {
	if s.Width(text) <= most {
		return text
	}
	runes := []rune(text)
	for len(runes) > 0 && s.Width(string(runes)+"…") > most {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// body draws the strips under each other with one time scale, and the lanes of what was moved at the foot.
func (c Chart) body(on draw.Canvas) {
	var plots []*plot.Plot
	for _, s := range c.Strips {
		plots = append(plots, c.plotOf(s))
	}
	lanes := c.lanes()
	foot := vg.Length(footHeight)
	if len(lanes) > 0 {
		foot += vg.Length(laneHeight*len(lanes) + 10)
	}
	area := on
	area.Min.X += 6
	area.Max.X -= namesWidth
	area.Max.Y -= headHeight
	area.Min.Y += foot
	if len(plots) == 0 {
		return
	}
	tiles := make([][]*plot.Plot, len(plots))
	for i := range plots {
		tiles[i] = []*plot.Plot{plots[i]}
	}
	canvases := plot.Align(tiles, draw.Tiles{Rows: len(plots), Cols: 1, PadY: 6}, area)
	for i, p := range plots {
		p.Draw(canvases[i][0])
		data := p.DataCanvas(canvases[i][0])
		c.Strips[i].names(p, data)
		if i == len(plots)-1 {
			c.feet(on, p, data, lanes)
		}
	}
}

// names writes the names of the bands beside a strip, each as near to its band as the others leave room, with a line to it.
func (s Strip) names(p *plot.Plot, data draw.Canvas) {
	_, ty := p.Transforms(&data)
	text := style(8.5)
	type name struct {
		at, to vg.Length
		text   string
	}
	var all []name
	for i, b := range s.Bands {
		if math.IsNaN(b.Low) || math.IsNaN(b.High) {
			all = append(all, name{data.Min.Y, data.Min.Y, signs[i%len(signs)].word + b.Name})
			continue
		}
		y := ty(min(max((b.Low+b.High)/2, p.Y.Min), p.Y.Max))
		all = append(all, name{y, y, signs[i%len(signs)].word + b.Name})
	}
	sort.SliceStable(all, func(a, b int) bool { return all[a].at < all[b].at })
	const apart = 24
	for i := range all {
		all[i].to = max(all[i].at, data.Min.Y+apart/2)
		if i > 0 {
			all[i].to = max(all[i].to, all[i-1].to+apart)
		}
	}
	top := data.Max.Y - 4
	for i := len(all) - 1; i >= 0; i-- {
		all[i].to = min(all[i].to, top)
		top = all[i].to - apart
	}
	for _, n := range all {
		data.StrokeLine2(draw.LineStyle{Color: dark, Width: vg.Points(0.5)}, data.Max.X+1, n.at, data.Max.X+12, n.to)
		set := broken(n.text, text, namesWidth-22)
		for k, l := range set {
			data.FillText(text, vg.Point{X: data.Max.X + 15, Y: n.to + vg.Length(len(set)-1)*5 - vg.Length(k)*10}, l)
		}
	}
}

// broken sets a text in at most two lines.
func broken(text string, s draw.TextStyle, most vg.Length) []string {
	out := lines.Wrap(text, float64(most), func(t string) float64 { return float64(s.Width(t)) }, nil)
	if len(out) > 1 {
		out = []string{out[0], fitted(strings.Join(out[1:], " "), s, most)}
	}
	out[0] = fitted(out[0], s, most)
	return out
}

// feet writes the lanes of what was moved and the name of the time axis.
func (c Chart) feet(on draw.Canvas, p *plot.Plot, data draw.Canvas, lanes []string) {
	tx, _ := p.Transforms(&data)
	text := style(9)
	label := "seconds"
	if c.Clock != "" {
		label += " from " + c.Clock
	}
	middle := text
	middle.XAlign = draw.XCenter
	on.FillText(middle, vg.Point{X: (data.Min.X + data.Max.X) / 2, Y: data.Min.Y - 36}, label)
	if len(lanes) == 0 {
		return
	}
	right := text
	right.XAlign = draw.XRight
	top := on.Min.Y + 8 + vg.Length(laneHeight*len(lanes))
	for i, place := range lanes {
		y := top - vg.Length(laneHeight*i) - laneHeight/2
		on.FillText(right, vg.Point{X: data.Min.X - 8, Y: y}, fitted(place, right, data.Min.X-10))
		on.StrokeLine2(draw.LineStyle{Color: grey, Width: vg.Points(0.4)}, data.Min.X, y, data.Max.X, y)
		for _, m := range c.Marks {
			if m.Place != place || m.To < p.X.Min || m.From > p.X.Max {
				continue
			}
			from, to := tx(max(m.From, p.X.Min)), tx(min(m.To, p.X.Max))
			box := []vg.Point{{X: from, Y: y - 5}, {X: max(to, from+1.5), Y: y - 5}, {X: max(to, from+1.5), Y: y + 5}, {X: from, Y: y + 5}}
			on.FillPolygon(dark, box)
		}
	}
	note := style(8.5)
	on.FillText(note, vg.Point{X: data.Max.X + 15, Y: top - laneHeight/2}, "moved by hand")
}

// limits of a strip's values, with some room around.
func (s Strip) limits() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, b := range s.Trace {
		low, high = min(low, b.Low), max(high, b.High)
	}
	for _, b := range s.Bands {
		if !math.IsNaN(b.Low) && !math.IsInf(b.High, 0) {
			low, high = min(low, b.Low), max(high, b.High)
		}
	}
	if math.IsInf(low, 0) || math.IsInf(high, 0) {
		return 0, 1
	}
	if s.Log {
		return max(low, s.floor()) / 2, max(high, 2*s.floor()) * 2
	}
	room := 0.06 * (high - low)
	if room == 0 {
		room = max(0.05*math.Abs(high), 0.05)
	}
	return low - room, high + 1.5*room
}

// floor is the least value that a logarithmic scale shows.
func (s Strip) floor() float64 {
	if s.Log {
		return 0.1
	}
	return math.Inf(-1)
}
