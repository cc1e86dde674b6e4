package view

import (
	"strings"

	"ohmtrail/solver/plan"
)

// Text is the chart as indented text.
func (f Flow) Text(p Page) string {
	var b strings.Builder
	b.WriteString(p.strong(f.Title) + "\n")
	for _, words := range f.Head {
		b.WriteString(p.paragraph("  ", words))
	}
	for _, words := range f.Care {
		b.WriteString(p.paragraph("  ! ", words))
	}
	for _, c := range f.Cards {
		b.WriteString("\n" + p.paragraph(pad(c.Title, 3, true)+"  ", strings.Join(c.Steps, " ")))
		b.WriteString(p.paragraph("     ", c.Foot))
		shows, shares := 0, 0
		for _, row := range c.Rows {
			shows, shares = max(shows, width(row.Shows)), max(shares, width(row.Share))
		}
		for _, row := range c.Rows {
			b.WriteString("       " + pad(row.Shows, shows, false) + "  " + pad(row.Share, shares, true) + "  go to " + itoa(row.To+1) + "\n")
		}
		if c.Kind == plan.FlowRepair {
			for _, odds := range c.Places {
				b.WriteString(p.paragraph("       "+pad(odds.Share, 6, true)+"  ", odds.Place))
			}
			b.WriteString(p.paragraph("       by ", strings.Join(c.Proof, "; ")))
		}
	}
	return b.String()
}

// Markdown is the chart as Markdown: a heading for each card, a table of its outcomes.
func (f Flow) Markdown() string {
	var b strings.Builder
	b.WriteString("# " + inMarkdown(f.Title) + "\n\n")
	for _, words := range append(append([]string(nil), f.Head...), f.Care...) {
		b.WriteString(inMarkdown(words) + "\n\n")
	}
	for _, c := range f.Cards {
		b.WriteString("## " + c.Title + "\n\n")
		for i, step := range c.Steps {
			b.WriteString(itoa(i+1) + ". " + inMarkdown(step) + "\n")
		}
		b.WriteString("\n" + inMarkdown(c.Foot) + "\n")
		if len(c.Rows) > 0 {
			b.WriteString("\n| it shows | share | go to |\n| --- | ---: | --- |\n")
			for _, row := range c.Rows {
				b.WriteString("| " + inMarkdown(row.Shows) + " | " + row.Share + " | [" + itoa(row.To+1) + "](#" + itoa(row.To+1) + ") |\n")
			}
		}
		if c.Kind == plan.FlowRepair {
			b.WriteString("\n| place | share |\n| --- | ---: |\n")
			for _, odds := range c.Places {
				b.WriteString("| " + inMarkdown(odds.Place) + " | " + odds.Share + " |\n")
			}
			b.WriteString("\nShown by " + inMarkdown(strings.Join(c.Proof, "; ")) + "\n")
		}
		b.WriteString("\n")
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// inMarkdown keeps what a file or a user wrote from being read as marks.
func inMarkdown(s string) string {
	return strings.NewReplacer("\\", "\\\\", "|", "\\|", "*", "\\*", "_", "\\_", "`", "\\`", "<", "&lt;", "[", "\\[", "]", "\\]", "\n", " ").Replace(s)
}
