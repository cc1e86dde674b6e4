package worksheet

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
)

// Key is the key of sheets, for the trainer.
func Key(sheets []Sheet) paper.Document {
	d := paper.Document{Title: title("Key", sheets), Foot: "KEY of " + foot(sheets), Numbers: pageNumbers}
	d.Blocks = KeyBlocks(sheets)
	return d
}

// KeyBlocks are the key as pages that may follow the sheets.
func KeyBlocks(sheets []Sheet) []paper.Block {
	out := []paper.Block{paper.Notice{Head: "Key: not for students", Text: "Every number is the solver's for this very sheet. " + MeterRule +
		" A prediction counts as right between the bounds beneath it: all good parts within their tolerances, widened by the meter's error, and never less than ±0.05 V. " +
		"The way of reasoning counts more than the last digit: mark the why. The sentences are reckoned; other words are as good."}}
	for _, s := range sheets {
		out = append(out, paper.Heading{Text: s.Job.Circuit.Title}, paper.Paragraph{Text: s.stands(), Small: true})
		n := 1
		for _, task := range []func(int) []paper.Block{s.predictKey, s.explainKey, s.nextKey} {
			if blocks := task(n); blocks != nil {
				out = append(out, blocks...)
				n++
			}
		}
		for _, lack := range s.Lacks {
			out = append(out, paper.Paragraph{Text: "Left out: " + lack + "."})
		}
	}
	return out
}

func (s Sheet) predictKey(n int) []paper.Block {
	if s.Predict == nil {
		return nil
	}
	columns := []paper.Column{{Head: "", Share: 0.3}, {Head: "Where", Share: 1.2}, {Head: "Healthy", Share: 1.2}}
	for _, c := range s.Predict.Columns[1:] {
		columns = append(columns, paper.Column{Head: "Fault " + c.Letter, Share: 1.2})
	}
	t := paper.Table{Columns: columns, Small: true}
	for i, p := range s.Points {
		cells := []paper.Cell{{Text: fmt.Sprint(i + 1)}, {Text: p.String()}}
		for k, c := range s.Predict.Columns {
			changed := k > 0 && !alikeCells(s.Predict.Columns[0].Cells[i], c.Cells[i])
			cells = append(cells, paper.Cell{Text: c.Cells[i].Shown + "\n" + c.Cells[i].Accepted(), Bold: changed})
		}
		t.Rows = append(t.Rows, paper.Row{Cells: cells})
	}
	out := []paper.Block{paper.Heading{Level: 2, Text: fmt.Sprintf("%d. Predict", n)}, t,
		paper.Paragraph{Text: "Bold: another value than healthy. Beneath each value: what is marked as right.", Small: true}}
	for _, c := range s.Predict.Columns {
		lead := "Healthy. "
		if c.Letter != "" {
			lead = fmt.Sprintf("Fault %s, %s. ", c.Letter, faultWords(s.Job.Circuit, c.Fault))
		}
		out = append(out, paper.Paragraph{Lead: lead, Text: strings.Join(c.Why, " ")})
	}
	return out
}

func (s Sheet) explainKey(n int) []paper.Block {
	e := s.Explain
	if e == nil {
		return nil
	}
	c := s.Job.Circuit
	out := []paper.Block{
		paper.Heading{Level: 2, Text: fmt.Sprintf("%d. Which fault explains these readings?", n)},
		paper.Paragraph{Lead: letter(e.Answer) + ". ", Text: fmt.Sprintf("%s. Of the %d faults offered it has %s. Of all faults that the circuit allows, its place (%s) has %s.",
			capital(faultWords(c, e.Truth)), len(e.Offered), view.Percent(e.Share), e.Place, view.Percent(e.PlaceOdds))},
	}
	if len(e.Mates) > 0 {
		out = append(out, paper.Paragraph{Text: "These readings do not part it from: " + strings.Join(some(e.Mates, 6), ", ") + ". None of these was offered; a student who says so is right."})
	}
	var items []string
	for i, f := range e.Offered {
		if i == e.Answer {
			continue
		}
		var parts []string
		for _, k := range e.Against[i] {
			parts = append(parts, fmt.Sprintf("reading %d shows %s and would show %s", k.Reading+1, k.Shows, k.Predicts))
		}
		items = append(items, fmt.Sprintf("%s, %s: %s.", letter(i), f, strings.Join(parts, "; ")))
	}
	return append(out, paper.List{Items: items})
}

// some is the first of a list, and how many more there are.
func some(list []string, most int) []string {
	if len(list) <= most {
		return list
	}
	return append(append([]string{}, list[:most]...), fmt.Sprintf("and %d more", len(list)-most))
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func (s Sheet) nextKey(n int) []paper.Block {
	x := s.Next
	if x == nil {
		return nil
	}
	t := paper.Table{Columns: []paper.Column{{Head: "", Share: 0.4}, {Head: "Reading", Share: 4}, {Head: "Bits", Share: 0.8, Right: true},
		{Head: "Minutes", Share: 0.9, Right: true}, {Head: "Bits a minute", Share: 1.2, Right: true}}, Small: true}
	for i, o := range x.Offered {
		best := i == x.Answer
		cell := func(text string) paper.Cell { return paper.Cell{Text: text, Bold: best} }
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{cell(letter(i)), cell(readingWords(s.Job.Circuit, o.Reading)), cell(fmt.Sprintf("%.2f", o.Bits)),
			cell(fmt.Sprintf("%g", math.Round(10*o.Minutes)/10)), cell(fmt.Sprintf("%.2f", o.PerMinute()))}})
	}
	var open []string
	for _, p := range x.Open {
		open = append(open, fmt.Sprintf("%s %s", p.Place, view.Percent(p.Probability)))
	}
	out := []paper.Block{
		paper.Heading{Level: 2, Text: fmt.Sprintf("%d. Which reading next?", n)},
		paper.Paragraph{Lead: letter(x.Answer) + ". ", Text: "A bit halves what is open. Places open before it: " + strings.Join(some(open, 6), ", ") + "."},
		t,
	}
	if len(x.Means) > 0 {
		out = append(out, paper.Paragraph{Text: "What its outcomes would mean:"}, paper.List{Items: x.Means})
	}
	return append(out, paper.Paragraph{Text: fmt.Sprintf("The readings come from: %s. To name it is not asked for.", faultWords(s.Job.Circuit, x.Truth)), Small: true})
}
