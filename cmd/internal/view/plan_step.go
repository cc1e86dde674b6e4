package view

import (
	"strings"

	"ohmtrail/solver/plan"
)

// Paragraph is a text set on the page.
func (p Page) Paragraph(s string) string { return p.paragraph("", s) }

// Under is a text set on the page with every line indented.
func (p Page) Under(indent, s string) string { return p.paragraph(indent, s) }

// Heading is words that lead the eye.
func (p Page) Heading(s string) string { return p.strong(s) }

// Head is the head of an answer about a job: machine, complaint, codes, readings.
func (v Planned) Head(p Page) string { return jobText(p, v.Ranking.Job) }

// Offer tells the one reading to take now, with the words of care that it asks for. number is its place in the job.
func (v Planned) Offer(p Page, s plan.Suggestion, number int) string {
	var b strings.Builder
	title := "Reading " + itoa(number)
	if v.Plan.Done {
		title += ", to be surer still"
	}
	b.WriteString(p.strong(title) + "\n")
	for _, c := range ReadingCautions(v.Ranking.Job.Circuit, s.Reading) {
		b.WriteString(p.paragraph("  ! ", c))
	}
	b.WriteString(v.Suggestion(p, "  ", s))
	return b.String()
}

// List is the readings of the job, then those worth taking; the one that is asked for now is marked.
func (v Planned) List(p Page, offered []plan.Suggestion, now int) string {
	c := v.Ranking.Job.Circuit
	var b strings.Builder
	b.WriteString(p.strong("Taken") + "\n")
	if len(v.Ranking.Taken) == 0 {
		b.WriteString("  none\n")
	}
	for _, index := range v.Ranking.Taken {
		r := v.Ranking.Job.Readings[index]
		b.WriteString(p.paragraph("  "+pad(itoa(index+1), 3, true)+"  ", readingWords(c, r)+": "+held(Read(r))))
	}
	if len(offered) == 0 {
		return b.String()
	}
	b.WriteString(p.strong("Worth taking") + "\n")
	for i, s := range offered {
		mark := "  "
		if i == now {
			mark = "> "
		}
		b.WriteString(p.paragraph(mark+pad(itoa(i+1), 3, true)+"  ", readingWords(c, s.Reading)+" ("+worth(s)+")"))
	}
	return b.String()
}
