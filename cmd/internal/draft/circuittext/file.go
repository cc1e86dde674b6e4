// Package circuittext writes circuit files as a person would write them: sections in the order of the contract, pins
// aligned, lists only where wires differ, comments behind the line they belong to.
//
// A File holds values; Text makes the bytes. Nothing is checked here: whoever fills a File parses the text afterwards.
package circuittext

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Field is one key of a table. Value is TOML text, as Quote or Number write it. Comment stands behind it; may be "".
type Field struct{ Key, Value, Comment string }

// Pin is one pin of a module.
type Pin struct {
	Cavity  string
	Fields  []Field // kind first; their comments are not written
	Comment string
}

// Module is a [module.NAME] table.
type Module struct {
	Name   string
	Above  []string // comment lines
	Fields []Field
	Pins   []Pin
}

// Place is a [device.NAME], [connector.NAME], [splice.NAME] or [ground.NAME] table.
type Place struct {
	Section, Name string
	Above         []string // comment lines
	Fields        []Field
}

// Run is a [[run]]. Colors, SizesMM2 or AWG, and LengthsM have one entry a wire, or are nil where nothing is to be written.
type Run struct {
	Above    []string // comment lines
	Name     string
	Role     string // "" is not written
	Path     []string
	Colors   []string
	SizesMM2 []float64
	AWG      []float64
	LengthsM []float64
	Comment  string // behind the path
}

// File is a circuit file to be written.
type File struct {
	Head    []string // comment lines on top
	Title   string
	Notes   string // lines of the notes text; "" is not written
	Battery []Field
	Modules []Module
	Places  []Place // in the order in which they are to be written
	Runs    []Run
	Tail    []string // comment lines at the end
}

// Text is the circuit file as bytes.
func (s File) Text() []byte {
	var b strings.Builder
	comments(&b, s.Head)
	b.WriteString("format = 1\n")
	fmt.Fprintf(&b, "title  = %s\n", Quote(s.Title))
	if s.Notes != "" {
		fmt.Fprintf(&b, "notes  = %s\n", Quote(s.Notes))
	}
	if len(s.Battery) > 0 {
		b.WriteString("\n[battery]\n")
		fields(&b, s.Battery)
	}
	for _, m := range s.Modules {
		b.WriteString("\n")
		comments(&b, m.Above)
		fmt.Fprintf(&b, "[module.%s]\n", Key(m.Name))
		fields(&b, m.Fields)
		pins(&b, m.Pins)
	}
	for i, p := range s.Places {
		// splices and studs without a word of their own stand together
		tight := i > 0 && p.Section == s.Places[i-1].Section && len(p.Above) == 0 && (p.Section == "splice" || p.Section == "ground")
		if !tight {
			b.WriteString("\n")
		}
		comments(&b, p.Above)
		fmt.Fprintf(&b, "[%s.%s]\n", p.Section, Key(p.Name))
		fields(&b, p.Fields)
	}
	for _, r := range s.Runs {
		b.WriteString("\n")
		r.text(&b)
	}
	if len(s.Tail) > 0 {
		b.WriteString("\n")
		comments(&b, s.Tail)
	}
	return []byte(b.String())
}

func (r Run) text(b *strings.Builder) {
	comments(b, r.Above)
	b.WriteString("[[run]]\n")
	if r.Name != "" {
		fmt.Fprintf(b, "name = %s\n", Quote(r.Name))
	}
	if r.Role != "" {
		fmt.Fprintf(b, "role = %s\n", Quote(r.Role))
	}
	path := make([]string, len(r.Path))
	for i, p := range r.Path {
		path[i] = Quote(p)
	}
	line(b, "path = "+list(path), r.Comment)
	if r.Colors != nil {
		colors := make([]string, len(r.Colors))
		for i, c := range r.Colors {
			colors[i] = Quote(c)
		}
		b.WriteString("color = " + oneOrList(colors) + "\n")
	}
	for _, n := range []struct {
		key    string
		values []float64
	}{{"size_mm2", r.SizesMM2}, {"awg", r.AWG}, {"length_m", r.LengthsM}} {
		if n.values == nil {
			continue
		}
		texts := make([]string, len(n.values))
		for i, v := range n.values {
			texts[i] = Number(v)
		}
		b.WriteString(n.key + " = " + oneOrList(texts) + "\n")
	}
}

// pins writes the pins with their values below each other.
func pins(b *strings.Builder, pins []Pin) {
	width := 0
	for _, p := range pins {
		width = max(width, utf8.RuneCountInString(Key(p.Cavity)))
	}
	for _, p := range pins {
		parts := make([]string, len(p.Fields))
		for i, f := range p.Fields {
			parts[i] = f.Key + " = " + f.Value
		}
		pad := strings.Repeat(" ", width-utf8.RuneCountInString(Key(p.Cavity)))
		line(b, fmt.Sprintf("pins.%s%s = { %s }", Key(p.Cavity), pad, strings.Join(parts, ", ")), p.Comment)
	}
}

func fields(b *strings.Builder, fields []Field) {
	for _, f := range fields {
		line(b, f.Key+" = "+f.Value, f.Comment)
	}
}

// line writes one line, with its comment from column 32 on where there is room.
func line(b *strings.Builder, text, comment string) {
	b.WriteString(text)
	if comment = Comment(comment); comment != "" {
		b.WriteString(strings.Repeat(" ", max(3, 31-utf8.RuneCountInString(text))) + "# " + comment)
	}
	b.WriteString("\n")
}

func comments(b *strings.Builder, lines []string) {
	for _, l := range lines {
		indent := l[:len(l)-len(strings.TrimLeft(l, " "))]
		b.WriteString(strings.TrimRight("# "+indent+Comment(l), " ") + "\n")
	}
}
