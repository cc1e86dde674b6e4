package worksheet

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
)

// pageNumbers is how pages are numbered.
const pageNumbers = "Page {page} of {pages}"

// Document is sheets as students get them: no answer stands in it.
func Document(sheets []Sheet) paper.Document {
	d := paper.Document{Title: title("Worksheet", sheets), Foot: foot(sheets), Numbers: pageNumbers}
	for i, s := range sheets {
		if i > 0 {
			d.Blocks = append(d.Blocks, paper.PageBreak{}, paper.Heading{Text: s.Job.Circuit.Title})
		}
		d.Blocks = append(d.Blocks, s.blocks()...)
	}
	return d
}

func title(what string, sheets []Sheet) string {
	if len(sheets) == 1 {
		return what + ": " + sheets[0].Job.Circuit.Title
	}
	return fmt.Sprintf("%s: %d circuits", what, len(sheets))
}

// foot says which sheets these are, so that sheet and key find each other again.
func foot(sheets []Sheet) string {
	var names []string
	for _, s := range sheets {
		names = append(names, s.Name)
	}
	return fmt.Sprintf("%s, set %d", strings.Join(names, ", "), sheets[0].Seed)
}

// widestUpright is the width in units of a drawing that is still read on a page that is not turned: 180 mm at the least
// scale at which the paper sets it upright.
const widestUpright = 1380

func (s Sheet) blocks() []paper.Block {
	picture := draw.Draw(s.Job.Circuit, s.marks())
	drawing := paper.Drawing{Picture: picture, MostMM: 135, Alt: s.Job.Circuit.Title + " with numbered test points, drawn for this sheet"}
	out := []paper.Block{
		paper.Fields{Columns: 3, Items: []paper.Field{{Label: "Name"}, {Label: "Class"}, {Label: "Date"}}},
		paper.Paragraph{Text: s.stands() + " Everything is plugged in unless a task says otherwise, and a reading that names no black lead is against B-. No meter yet: reckon first."},
	}
	values := []paper.Block{paper.Heading{Level: 2, Text: "Values to reckon with"}, paper.List{Items: Given(s.Job)}}
	predict := s.predictBlocks(1)
	switch {
	case picture.Width <= widestUpright:
		out = append(append(append(out, drawing), values...), predict...)
	case len(predict) == 0:
		out = append(append(out, values...), drawing)
	default: // the drawing has a page of its own: what comes before it should fill one
		out = append(append(out, values...), predict[0], drawing)
		out = append(out, predict[1:]...)
	}
	n := 1
	if predict != nil {
		n++
	}
	for _, task := range []func(int) []paper.Block{s.explainBlocks, s.nextBlocks} {
		if blocks := task(n); blocks != nil {
			out = append(out, blocks...)
			n++
		}
	}
	return out
}

// stands says how the machine stands.
func (s Sheet) stands() string {
	var parts []string
	for i := range s.Job.Circuit.Devices {
		d := &s.Job.Circuit.Devices[i]
		if set, ok := s.Job.SetOf(circuits.Reading{}, d); ok && d.Kind.HasStimulus() {
			parts = append(parts, view.Stimulus(s.Job.Circuit, d.Name, set))
		}
	}
	if len(parts) == 0 {
		return "Key on, engine off."
	}
	out := "Key on, engine off; " + strings.Join(parts, ", ") + ", whatever the fault"
	if slices.ContainsFunc(s.Job.Circuit.Devices, func(d circuits.Device) bool { return d.Kind == circuits.Switch }) {
		out += " (a relay's contact too)"
	}
	return out + "."
}

// marks are the numbered test points, with room to write.
func (s Sheet) marks() draw.Marks {
	m := draw.Marks{}
	for i, p := range s.Points {
		m.Tests = append(m.Tests, draw.Test{Point: p, Measured: fmt.Sprintf("%d: ______ V", i+1)})
	}
	return m
}

// writingRow is the height of a row to write in, in millimetres.
const writingRow = 8.5

func (s Sheet) predictBlocks(n int) []paper.Block {
	if s.Predict == nil {
		return nil
	}
	columns := []paper.Column{{Head: "", Share: 0.4}, {Head: "Where", Share: 1.5}, {Head: "Healthy", Share: 1}}
	var named []string
	for _, c := range s.Predict.Columns[1:] {
		columns = append(columns, paper.Column{Head: "Fault " + c.Letter, Share: 1})
		named = append(named, fmt.Sprintf("Fault %s: %s.", c.Letter, faultWords(s.Job.Circuit, c.Fault)))
	}
	t := paper.Table{Columns: columns}
	for i, p := range s.Points {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: fmt.Sprint(i + 1), Bold: true}, {Text: p.String()}}, LeastMM: writingRow})
	}
	out := []paper.Block{paper.Together{Blocks: []paper.Block{
		paper.Heading{Text: fmt.Sprintf("%d. Predict", n)},
		paper.Paragraph{Text: "Write the voltage that you expect at each point, healthy and under each fault, one fault at a time. Then say why: where does current flow, and what divides the voltage?"},
		paper.List{Items: named},
		t,
	}}}
	for _, c := range s.Predict.Columns {
		head := "Why, healthy"
		if c.Letter != "" {
			head = "Why, fault " + c.Letter
		}
		out = append(out, paper.Together{Blocks: []paper.Block{paper.Heading{Level: 2, Text: head}, paper.Ruled{Lines: 3}}})
	}
	return out
}

// letters names what is offered.
func letter(i int) string { return string(rune('A' + i)) }

func (s Sheet) explainBlocks(n int) []paper.Block {
	e := s.Explain
	if e == nil {
		return nil
	}
	var told []string
	if e.Complaint != "" {
		told = append(told, "Complaint: "+e.Complaint)
	}
	if len(e.Codes) > 0 {
		told = append(told, "Codes: "+strings.Join(e.Codes, ", ")+".")
	}
	blocks := []paper.Block{paper.Heading{Text: fmt.Sprintf("%d. Which fault explains these readings?", n)}}
	if len(told) > 0 {
		blocks = append(blocks, paper.Paragraph{Text: strings.Join(told, " ")})
	}
	blocks = append(blocks, readingsTable(s.Job, e.Readings))
	var items []string
	for i, f := range e.Offered {
		items = append(items, fmt.Sprintf("%s: %s", letter(i), faultWords(s.Job.Circuit, f)))
	}
	return []paper.Block{paper.Together{Blocks: append(blocks, paper.Ticks{Items: items},
		paper.Paragraph{Text: "Why this one, and which reading speaks against each of the others?"}, paper.Ruled{Lines: 5})}}
}

// readingsTable is readings with what they showed.
func readingsTable(j *circuits.Job, readings []circuits.Reading) paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "", Share: 0.3}, {Head: "Reading", Share: 4}, {Head: "Shows", Share: 1, Right: true}}}
	for i, r := range readings {
		t.Rows = append(t.Rows, paper.Cells(fmt.Sprint(i+1), readingWords(j.Circuit, unread(r)), shown(r)))
	}
	return t
}

func (s Sheet) nextBlocks(n int) []paper.Block {
	x := s.Next
	if x == nil {
		return nil
	}
	head := "This is known of another machine:"
	items := []string{}
	for i, o := range x.Offered {
		items = append(items, fmt.Sprintf("%s: %s (%s)", letter(i), readingWords(s.Job.Circuit, o.Reading), view.Minutes(o.Minutes)))
	}
	return []paper.Block{paper.Together{Blocks: []paper.Block{
		paper.Heading{Text: fmt.Sprintf("%d. Which reading next?", n)},
		paper.Paragraph{Text: head},
		readingsTable(s.Job, x.Taken),
		paper.Paragraph{Text: "Which of these tells the most for the minutes that it takes (the way to its places included)?"},
		paper.Ticks{Items: items},
		paper.Paragraph{Text: "What would each of its outcomes tell you? Which of the others tells nothing, and why?"},
		paper.Ruled{Lines: 5},
	}}}
}
