package main

import (
	"fmt"
	"strings"

	"ohmtrail/cmd/internal/lines"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
)

// flowDOT is the chart as Graphviz text, for whoever lays it out otherwise.
func flowDOT(f view.Flow) string {
	var b strings.Builder
	fmt.Fprintf(&b, "digraph {\n  graph [label=%s, labelloc=t, rankdir=LR, fontname=\"sans-serif\"];\n", dotText(f.Title, "\\n"))
	b.WriteString("  node [shape=box, fontname=\"sans-serif\", fontsize=11];\n  edge [fontname=\"sans-serif\", fontsize=10];\n")
	for i, c := range f.Cards {
		texts := append([]string{c.Title + ". " + strings.Join(c.Steps, " ")}, c.Foot)
		if c.Kind == plan.FlowRepair {
			for _, odds := range c.Places {
				texts = append(texts, odds.Share+" "+odds.Place)
			}
		}
		const letters = 44
		var all []string
		for _, text := range texts {
			all = append(all, lines.Wrap(text, letters, func(s string) float64 { return float64(len([]rune(s))) }, nil)...)
		}
		style := ""
		if c.Kind == plan.FlowRepair {
			style = ", peripheries=2"
		}
		fmt.Fprintf(&b, "  c%d [label=%s%s];\n", i+1, dotText(strings.Join(all, "\n"), "\\l"), style)
	}
	for i, c := range f.Cards {
		for _, r := range c.Rows {
			fmt.Fprintf(&b, "  c%d -> c%d [label=%s];\n", i+1, r.To+1, dotText(r.Shows+"\n"+r.Share, "\\n"))
		}
	}
	b.WriteString("}\n")
	return b.String()
}

// dotText is a text in quotes, its lines ended as asked.
func dotText(s, end string) string {
	s = strings.NewReplacer("\\", "\\\\", "\"", "\\\"").Replace(s)
	s = strings.ReplaceAll(s, "\n", end)
	if end == "\\l" {
		s += end
	}
	return `"` + s + `"`
}
