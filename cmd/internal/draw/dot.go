package draw

import (
	"fmt"
	"html"
	"strings"

	"ohmtrail/circuits"
)

// DOT writes the circuit with its marks as Graphviz text, for those who want to lay it out or restyle it themselves.
// It holds what the SVG holds: each part is a node with its cavities in rows, each wire is a node of its own between
// two cavities, named as the circuit file names them. The text is the same for the same circuit and marks.
func DOT(c *circuits.Circuit, m Marks) string {
	g := cut(build(c))
	d := &dotWriter{grid: g, notes: g.annotate(m, newRuler())}
	d.line("digraph circuit {")
	d.line("\trankdir=LR; splines=polyline; nodesep=0.15; ranksep=0.35; labelloc=t; labeljust=l;")
	d.line("\tfontname=\"Helvetica\"; node [shape=plain, fontname=\"Helvetica\", fontsize=11]; edge [arrowhead=none];")
	d.line("\tlabel=<%s>;", d.heading())
	for i := range d.parts {
		d.part(i)
	}
	for i := range d.strands {
		d.wire(i)
	}
	d.line("}")
	return d.text.String()
}

type dotWriter struct {
	*grid
	*notes
	text strings.Builder
}

func (d *dotWriter) line(format string, args ...any) {
	fmt.Fprintf(&d.text, format+"\n", args...)
}

// quote makes a DOT string. Names hold no quotes or backslashes, but nothing here depends on that.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(printable(s)) + `"`
}

// markup makes text safe inside an HTML-like label. An empty label is an error to Graphviz, so it becomes a space.
func markup(s string) string {
	if s = html.EscapeString(printable(s)); s == "" {
		return " "
	}
	return s
}

func (d *dotWriter) heading() string {
	title := d.circuit.Title
	if title == "" {
		title = "Wiring diagram"
	}
	rows := []string{"<B>" + markup(title) + "</B>"}
	if d.marks.Title != "" {
		rows = append(rows, markup(d.marks.Title))
	}
	for _, c := range cautions(d.circuit, d.marks) {
		rows = append(rows, "<B>CAUTION: "+markup(c)+"</B>")
	}
	head, said := d.footNotes()
	for _, s := range said {
		rows = append(rows, head+" "+markup(s))
	}
	return strings.Join(rows, `<BR ALIGN="LEFT"/>`) + `<BR ALIGN="LEFT"/>`
}

// part writes a node whose ports are its rows: w0 and e0 are the west and east face of row 0. What has no cavities is a
// dot, at which all its wires end.
func (d *dotWriter) part(i int) {
	p := &d.parts[i]
	var b strings.Builder
	row := func(cells string) { b.WriteString("<TR>" + cells + "</TR>") }
	wide := func(text string) { row(`<TD COLSPAN="3">` + text + "</TD>") }
	head := "<B>" + markup(p.name) + "</B>"
	for _, l := range wrapped(p.label, labelLettersWide, line{}) {
		head += "<BR/>" + markup(l.text)
	}
	if sign := map[partKind]string{splicePart: "\u25cf", studPart: "\u25cb", postPart: "\u25cf"}[p.kind]; sign != "" {
		row(`<TD COLSPAN="3" PORT="dot">` + sign + "</TD>")
	}
	wide(head)
	if p.kind == studPart {
		wide("ground")
	}
	for _, t := range d.tags[i] {
		wide(d.tagCell(t))
	}
	if p.crossed {
		row(fmt.Sprintf(`<TD>%s</TD><TD></TD><TD>%s</TD>`, markup(p.sides[0]), markup(p.sides[1])))
	}
	for j, r := range p.rows {
		s := d.slotOf[i][j]
		words := r.words
		if n := max(d.ringed[s], d.cored[s]); n != none {
			words = strings.TrimSpace(fmt.Sprintf("%s (%d)", words, n+1))
		}
		switch cavity := "<B>" + markup(r.point.Cavity) + "</B>"; {
		case isDot(p.kind):
			if words != "" {
				wide(markup(words))
			}
		case p.crossed: // two halves that face each other
			const half = `<TD PORT="%s%d" BORDER="1" BGCOLOR="` + panel + `">%s</TD>`
			row(fmt.Sprintf(half+`<TD>%s</TD>`+half, "w", j, cavity, markup(strings.TrimSpace("\u2283 "+words)), "e", j, cavity))
		default:
			left, right := cavity, " "
			if r.wires[west] == none {
				left, right = right, left
			} else if r.wires[east] != none {
				right = cavity
			}
			row(fmt.Sprintf(`<TD PORT="w%d">%s</TD><TD>%s</TD><TD PORT="e%d">%s</TD>`, j, left, markup(words), j, right))
		}
		for _, t := range d.inside[s] {
			wide(d.tagCell(t))
		}
	}
	frame := `BORDER="1" STYLE="ROUNDED" BGCOLOR="` + panel + `"`
	switch {
	case d.outlined[i] != none:
		frame = `BORDER="3" STYLE="DASHED" BGCOLOR="` + panel + `"`
	case p.crossed, isDot(p.kind):
		frame = `BORDER="0"`
	}
	d.line("\t%s [label=<<TABLE %s CELLBORDER=\"0\" CELLSPACING=\"0\" CELLPADDING=\"3\">%s</TABLE>>];", quote(p.name), frame, b.String())
}

// isDot tells whether all wires of such a part end at one place.
func isDot(k partKind) bool { return k == splicePart || k == studPart || k == postPart }

// tagCell is the text of a suspect's tag, or of a test point.
func (d *dotWriter) tagCell(s slip) string {
	var rows []string
	for _, l := range s.lines {
		rows = append(rows, markup(l.text))
	}
	if s.suspect != none {
		return fmt.Sprintf("<B>(%d) %s</B>", s.suspect+1, strings.Join(rows, "<BR/>"))
	}
	return "\u25b2 " + strings.Join(rows, "<BR/>")
}

// wire writes a wire as a marker between its two ends, as one is clipped on a wire: its colours with their letters, size
// and length, the run's name, and what hangs under it.
func (d *dotWriter) wire(i int) {
	s := d.strands[i]
	var before, after, middle []string
	for _, l := range d.legsOf[i] {
		u := d.under[l]
		for _, t := range u.ends[0] {
			before = append(before, d.tagCell(t))
		}
		for _, t := range u.ends[1] {
			after = append(after, d.tagCell(t))
		}
		for _, t := range u.middle {
			middle = append(middle, d.tagCell(t))
		}
	}
	if name := d.runName(i); name != "" {
		middle = append(middle, markup(name))
	}
	border := 1
	if d.broken[i] != none {
		border = 3
	}
	id := s.wire.Location.String()
	var b strings.Builder
	fmt.Fprintf(&b, `<TABLE BORDER="%d" STYLE="ROUNDED" CELLBORDER="0" CELLSPACING="2" CELLPADDING="1" BGCOLOR="%s"><TR>%s</TR>`, border, paper, d.chips(s.wire))
	for _, list := range [][]string{before, middle, after} {
		for _, cell := range list {
			fmt.Fprintf(&b, `<TR><TD COLSPAN="3">%s</TD></TR>`, cell)
		}
	}
	d.line("\t%s [label=<%s</TABLE>>];", quote(id), b.String())

	near, far := d.port(s.from), d.port(s.to)
	solid, dashed := d.edgeStyle(i, false), d.edgeStyle(i, d.broken[i] != none)
	if d.parts[s.from.part].column > d.parts[s.to.part].column {
		near, far, solid, dashed = far, near, dashed, solid
	}
	if strings.HasSuffix(near, toDot) { // it ends at the dot, not at the edge of what is written round it
		solid += ", tailclip=false"
	}
	if strings.HasSuffix(far, toDot) {
		dashed += ", headclip=false"
	}
	d.line("\t%s -> %s:w [%s];", near, quote(id), solid)
	d.line("\t%s:e -> %s [%s];", quote(id), far, dashed)
}

const toDot = ":dot:c"

func (d *dotWriter) port(e end) string {
	name := quote(d.parts[e.part].name)
	if isDot(d.parts[e.part].kind) {
		return name + toDot
	}
	side := "w"
	if e.face == east {
		side = "e"
	}
	return fmt.Sprintf("%s:%s%d:%s", name, side, e.row, side)
}

// edgeStyle is that of the ends of a wire; a suspect's are thicker, and dashed beyond the suspect place.
func (d *dotWriter) edgeStyle(i int, dashed bool) string {
	width := 1.2
	if d.broken[i] != none {
		width = 3
	}
	style := fmt.Sprintf("color=%s, penwidth=%g", quote(ink), width)
	if dashed {
		style += ", style=dashed"
	}
	return style
}

// chips are the colours of a wire, the first with the letters of both, and the rest of its label.
func (d *dotWriter) chips(w *circuits.Wire) string {
	codes, ok := colourCodes(w.Color)
	if !ok {
		return `<TD COLSPAN="3">` + markup(wireLabel(w)) + "</TD>"
	}
	letters := ink
	if c, _ := colourOf(codes[0]); 299*int(c.R)+587*int(c.G)+114*int(c.B) < 128_000 { // weights of brightness after ITU-R BT.601
		letters = paper
	}
	second, wide := "", ` COLSPAN="2"`
	if len(codes) == 2 {
		second, wide = fmt.Sprintf(`<TD BORDER="1" BGCOLOR="%s">  </TD>`, codes[1]), ""
	}
	return fmt.Sprintf(`<TD BORDER="1"%s BGCOLOR="%s"><FONT COLOR="%s">%s</FONT></TD>%s<TD>%s</TD>`,
		wide, codes[0], letters, markup(w.Color), second, markup(strings.TrimSpace(strings.TrimPrefix(wireLabel(w), w.Color))))
}
