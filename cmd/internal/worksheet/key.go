package worksheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
)

// Key is the key of sheets, for the trainer.
func Key(sheets []Sheet) paper.Document {
	d := paper.Document{Title: title("key.title", "key.title_many", sheets), Foot: say("key.foot", "foot", foot(sheets)), Numbers: say("numbers")}
	d.Blocks = KeyBlocks(sheets)
	return d
}

// KeyBlocks are the key as pages that may follow the sheets.
func KeyBlocks(sheets []Sheet) []paper.Block {
	out := []paper.Block{paper.Notice{Head: say("key.head"), Text: say("key.rules", "meter", MeterRule())}}
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
			out = append(out, paper.Paragraph{Text: say("key.left_out", "lack", lack)})
		}
	}
	return out
}

func (s Sheet) predictKey(n int) []paper.Block {
	if s.Predict == nil {
		return nil
	}
	columns := []paper.Column{{Head: "", Share: 0.3}, {Head: say("predict.where"), Share: 1.2}, {Head: say("predict.healthy"), Share: 1.2}}
	for _, c := range s.Predict.Columns[1:] {
		columns = append(columns, paper.Column{Head: say("predict.fault", "letter", c.Letter), Share: 1.2})
	}
	t := paper.Table{Columns: columns, Small: true}
	for i, p := range s.Points {
		cells := []paper.Cell{{Text: strconv.Itoa(i + 1)}, {Text: p.String()}}
		for k, c := range s.Predict.Columns {
			changed := k > 0 && !alikeCells(s.Predict.Columns[0].Cells[i], c.Cells[i])
			cells = append(cells, paper.Cell{Text: c.Cells[i].Shown + "\n" + c.Cells[i].Accepted(), Bold: changed})
		}
		t.Rows = append(t.Rows, paper.Row{Cells: cells})
	}
	out := []paper.Block{paper.Heading{Level: 2, Text: say("predict.head", "n", strconv.Itoa(n))}, t,
		paper.Paragraph{Text: say("predict.bold"), Small: true}}
	for _, c := range s.Predict.Columns {
		lead := say("predict.lead_healthy")
		if c.Letter != "" {
			lead = say("predict.lead", "letter", c.Letter, "fault", faultWords(s.Job.Circuit, c.Fault))
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
		paper.Heading{Level: 2, Text: say("explain.head", "n", strconv.Itoa(n))},
		paper.Paragraph{Lead: letter(e.Answer) + ". ", Text: say("explain.answer", "fault", capital(faultWords(c, e.Truth)),
			"n", strconv.Itoa(len(e.Offered)), "share", view.Percent(e.Share), "place", e.Place, "odds", view.Percent(e.PlaceOdds))},
	}
	if len(e.Mates) > 0 {
		out = append(out, paper.Paragraph{Text: say("explain.mates", "faults", strings.Join(some(e.Mates, 6), ", "))})
	}
	var items []string
	for i, f := range e.Offered {
		if i == e.Answer {
			continue
		}
		var parts []string
		for _, k := range e.Against[i] {
			parts = append(parts, say("explain.against", "n", strconv.Itoa(k.Reading+1), "shows", k.Shows, "predicts", k.Predicts))
		}
		items = append(items, say("explain.wrong", "letter", letter(i), "fault", f.String(), "against", strings.Join(parts, "; ")))
	}
	return append(out, paper.List{Items: items})
}

// some is the first of a list, and how many more there are.
func some(list []string, most int) []string {
	if len(list) <= most {
		return list
	}
	return append(append([]string{}, list[:most]...), say("more", "n", strconv.Itoa(len(list)-most)))
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func (s Sheet) nextKey(n int) []paper.Block {
	x := s.Next
	if x == nil {
		return nil
	}
	t := paper.Table{Columns: []paper.Column{{Head: "", Share: 0.4}, {Head: say("next.reading"), Share: 4}, {Head: say("next.bits"), Share: 0.8, Right: true},
		{Head: say("next.minutes"), Share: 0.9, Right: true}, {Head: say("next.rate"), Share: 1.2, Right: true}}, Small: true}
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
		paper.Heading{Level: 2, Text: say("next.head", "n", strconv.Itoa(n))},
		paper.Paragraph{Lead: letter(x.Answer) + ". ", Text: say("next.answer", "places", strings.Join(some(open, 6), ", "))},
		t,
	}
	if len(x.Means) > 0 {
		out = append(out, paper.Paragraph{Text: say("next.means")}, paper.List{Items: x.Means})
	}
	return append(out, paper.Paragraph{Text: say("next.truth", "fault", faultWords(s.Job.Circuit, x.Truth)), Small: true})
}
