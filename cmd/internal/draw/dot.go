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
	d.line("\trankdir=LR; nodesep=0.15; ranksep=0.35; labelloc=t; labeljust=l;")
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
	for _, u := range d.unplaced {
		rows = append(rows, "Not in this circuit: "+markup(u))
	}
	return strings.Join(rows, `<BR ALIGN="LEFT"/>`) + `<BR ALIGN="LEFT"/>`
}

// part writes a node whose ports are its rows: w0 and e0 are the west and east face of row 0.
func (d *dotWriter) part(i int) {
	p := &d.parts[i]
	border, style := 1, ""
	if d.outlined[i] != none {
		border, style = 3, ` STYLE="dashed"`
	}
	head := "<B>" + markup(p.name) + "</B>"
	for _, l := range wrap(p.label, labelLettersWide) {
		head += "<BR/>" + markup(l)
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<TABLE BORDER="%d" CELLBORDER="0" CELLSPACING="0" CELLPADDING="3" BGCOLOR="%s"%s>`, border, panel, style)
	fmt.Fprintf(&b, `<TR><TD COLSPAN="3">%s</TD></TR>`, head)
	for _, t := range d.tags[i] {
		fmt.Fprintf(&b, `<TR><TD COLSPAN="3">%s</TD></TR>`, d.tagCell(t))
	}
	if p.crossed {
		fmt.Fprintf(&b, `<TR><TD>%s</TD><TD>&#8212;</TD><TD>%s</TD></TR>`, markup(p.sides[0]), markup(p.sides[1]))
	}
	for j, r := range p.rows {
		left, middle, right := r.point.Cavity, r.words, r.point.Cavity
		switch {
		case p.kind == splicePart:
			left, middle, right = "", "\u25cf", ""
		case p.kind == studPart:
			left, middle, right = "", "\u25cb ground", ""
		case p.kind == postPart:
			left, middle, right = "", p.name[1:], ""
		case p.crossed:
			middle = "\u2014"
		case r.wires[west] == none:
			left = ""
		case r.wires[east] == none:
			right = ""
		}
		s := d.slotOf[i][j]
		if n := max(d.ringed[s], d.cored[s]); n != none {
			middle = strings.TrimSpace(middle + fmt.Sprintf(" (%d)", n+1))
		}
		fmt.Fprintf(&b, `<TR><TD PORT="w%d">%s</TD><TD>%s</TD><TD PORT="e%d">%s</TD></TR>`, j, markup(left), markup(middle), j, markup(right))
		for _, t := range d.inside[s] {
			fmt.Fprintf(&b, `<TR><TD COLSPAN="3">%s</TD></TR>`, d.tagCell(t))
		}
	}
	b.WriteString("</TABLE>")
	d.line("\t%s [label=<%s>];", quote(p.name), b.String())
}

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

// wire writes a wire as a node between its two edges: label, the insulation, the run's name, and what hangs under it.
func (d *dotWriter) wire(i int) {
	s := d.strands[i]
	legs := d.legsOf[i]
	var before, after, middle []string
	for _, l := range legs {
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
	var b strings.Builder
	b.WriteString(`<TABLE BORDER="0" CELLBORDER="0" CELLSPACING="0" CELLPADDING="1">`)
	fmt.Fprintf(&b, `<TR><TD>%s</TD></TR><TR><TD PORT="line">%s</TD></TR>`, markup(wireLabel(s.wire)), d.insulationCells(i))
	for _, list := range [][]string{before, middle, after} {
		for _, cell := range list {
			fmt.Fprintf(&b, `<TR><TD>%s</TD></TR>`, cell)
		}
	}
	b.WriteString("</TABLE>")
	id := s.wire.Location.String()
	d.line("\t%s [label=<%s>];", quote(id), b.String())

	near, far := d.port(s.from), d.port(s.to)
	solid, dashed := d.edgeStyle(i, false), d.edgeStyle(i, d.broken[i] != none)
	if d.parts[s.from.part].column <= d.parts[s.to.part].column {
		d.line("\t%s -> %s:line:w [%s];", near, quote(id), solid)
		d.line("\t%s:line:e -> %s [%s];", quote(id), far, dashed)
	} else {
		d.line("\t%s -> %s:line:w [%s];", far, quote(id), dashed)
		d.line("\t%s:line:e -> %s [%s];", quote(id), near, solid)
	}
}

func (d *dotWriter) port(e end) string {
	side := "w"
	if e.face == east {
		side = "e"
	}
	return fmt.Sprintf("%s:%s%d:%s", quote(d.parts[e.part].name), side, e.row, side)
}

// edgeStyle colours the ends of a wire; a suspect's are thicker, and dashed beyond the suspect place.
func (d *dotWriter) edgeStyle(i int, dashed bool) string {
	colour := ink
	if codes, ok := colourCodes(d.strands[i].wire.Color); ok {
		colour = strings.Join([]string{codes[0], codes[len(codes)-1], codes[0]}, ":")
	}
	width := 1.5
	if d.broken[i] != none {
		width = 3
	}
	style := fmt.Sprintf("color=%s, penwidth=%g", quote(colour), width)
	if dashed {
		style += ", style=dashed"
	}
	return style
}

// insulationCells draws a stretch of the wire as a row of coloured cells, white between them beyond a suspect place.
func (d *dotWriter) insulationCells(i int) string {
	codes, ok := colourCodes(d.strands[i].wire.Color)
	if !ok {
		codes = []string{ink}
	}
	const cells = 12
	high := 4
	if d.broken[i] != none {
		high = 8
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<TABLE BORDER="1" CELLBORDER="0" CELLSPACING="0" CELLPADDING="0"><TR>`)
	for k := range cells {
		colour := codes[k%len(codes)]
		if d.broken[i] != none && k >= cells/2 {
			colour = paper
			if k%2 == 0 {
				colour = codes[(k/2)%len(codes)]
			}
		}
		fmt.Fprintf(&b, `<TD BGCOLOR="%s" WIDTH="8" HEIGHT="%d"></TD>`, colour, high)
	}
	b.WriteString("</TR></TABLE>")
	return b.String()
}
