package paper

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
)

//go:embed page.html
var pageHTML string

// page escapes whatever stands in a document; only a drawing's SVG, whose text draw has escaped, goes in as it is.
var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"kind": kindOf, "flat": flat, "text": clean, "svg": func(d Drawing) template.HTML { return template.HTML(d.Picture.SVG()) },
	"first": func(l List) int { return max(l.First, 1) }, "level": func(h Heading) int { return max(h.Level, 1) },
	"cells": fullRow, "columns": func(f Fields) int { return max(f.Columns, 1) }, "times": func(n int) []struct{} { return make([]struct{}, max(n, 0)) },
	"language": language,
}).Parse(pageHTML))

// HTML writes a document as one page that stands alone: no script, nothing to fetch, and it prints well.
func HTML(d Document) ([]byte, error) {
	var b bytes.Buffer
	if err := page.Execute(&b, d); err != nil {
		return nil, fmt.Errorf("set the page: %w", err)
	}
	return b.Bytes(), nil
}

// kindOf is a block's type, by which the template tells blocks apart.
func kindOf(b Block) string { return fmt.Sprintf("%T", b) }

// cellOf is a cell with what the template must know of its column and row.
type cellOf struct {
	Cell
	Right   bool
	LeastMM float64
}

// fullRow is a row with as many cells as its table has columns.
func fullRow(t Table, r Row) []cellOf {
	out := make([]cellOf, len(t.Columns))
	for i, c := range t.Columns {
		out[i] = cellOf{Right: c.Right, LeastMM: r.LeastMM}
		if i < len(r.Cells) {
			out[i].Cell = r.Cells[i]
		}
	}
	return out
}
