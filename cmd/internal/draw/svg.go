package draw

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
)

// SVG writes the picture as an SVG document without an XML declaration, so that it also stands inside HTML. It stands
// alone: no style sheet, no script, nothing to fetch, nothing but text of the circuit and of the marks. Groups carry class
// and data-at, so that a page can find a wire, a part or a test point: `<g class="point" data-at="C7:3/mast">`. The
// SVG canvas of gonum/plot has neither groups nor texts that keep their length; so here the shapes are written as they are.
func (s Picture) SVG() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %s %s" role="img" aria-label="%s" font-family="%s">`+"\n",
		coordinate(s.Width), coordinate(s.Height), coordinate(s.Width), coordinate(s.Height), escape(s.Title), escape(families))
	fmt.Fprintf(&b, "<title>%s</title>\n", escape(s.Title))
	fmt.Fprintf(&b, `<rect width="%s" height="%s" fill="%s"/>`+"\n", coordinate(s.Width), coordinate(s.Height), paper)
	r := newRuler()
	for _, sh := range s.Shapes {
		sh.writeSVG(&b, r)
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func (s Shape) writeSVG(b *bytes.Buffer, r *ruler) {
	switch s.Kind {
	case Group:
		fmt.Fprintf(b, `<g class="%s" data-at="%s">`, escape(s.Class), escape(s.Name))
		if s.About != "" {
			fmt.Fprintf(b, "<title>%s</title>", escape(s.About))
		}
	case End:
		b.WriteString("</g>")
	case Line, Area:
		tag := "polyline"
		if s.Kind == Area {
			tag = "polygon"
		}
		var points []string
		for _, p := range s.Points {
			points = append(points, coordinate(p.X)+","+coordinate(p.Y))
		}
		fmt.Fprintf(b, `<%s points="%s"%s/>`, tag, strings.Join(points, " "), s.pen())
	case Disc:
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s"%s/>`, coordinate(s.Points[0].X), coordinate(s.Points[0].Y), coordinate(s.Radius), s.pen())
	case Box:
		p, q := s.Points[0], s.Points[1]
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s" rx="%s"%s/>`,
			coordinate(p.X), coordinate(p.Y), coordinate(q.X-p.X), coordinate(q.Y-p.Y), coordinate(s.Radius), s.pen())
	case Text:
		weight, anchor := "", ""
		if s.Bold {
			weight = ` font-weight="bold"`
		}
		if s.Middle {
			anchor = ` text-anchor="middle"`
		}
		length := ""
		if w, known := r.measured(line{text: s.Text, size: s.Size, bold: s.Bold}); known { // a viewer with a wider font narrows it
			length = fmt.Sprintf(` textLength="%s" lengthAdjust="spacingAndGlyphs"`, coordinate(w))
		}
		fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s" fill="%s"%s%s%s xml:space="preserve">%s</text>`,
			coordinate(s.Points[0].X), coordinate(s.Points[0].Y), coordinate(s.Size), s.Fill, weight, anchor, length, escape(s.Text))
	}
	b.WriteByte('\n')
}

// pen is the attributes of fill and stroke.
func (s Shape) pen() string {
	out := ` fill="none"`
	if s.Fill != "" {
		out = fmt.Sprintf(` fill="%s"`, s.Fill)
		if s.Fill == unseen {
			out = ` fill="#fff" fill-opacity="0"`
		}
	}
	if s.Stroke == "" {
		return out
	}
	out += fmt.Sprintf(` stroke="%s" stroke-width="%s"`, s.Stroke, coordinate(s.Width))
	if len(s.Dash) > 0 {
		var dashes []string
		for _, d := range s.Dash {
			dashes = append(dashes, coordinate(d))
		}
		out += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(dashes, " "))
		if s.Offset != 0 {
			out += fmt.Sprintf(` stroke-dashoffset="%s"`, coordinate(s.Offset))
		}
	}
	return out
}

// unseen is a fill that cannot be seen but can be tapped.
const unseen = "unseen"

func coordinate(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func escape(s string) string {
	var b bytes.Buffer
	if err := xml.EscapeText(&b, []byte(printable(s))); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.String()
}
