package worksheet

import (
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
)

// Document is sheets as students get them: no answer stands in it.
func Document(sheets []Sheet) paper.Document {
	d := paper.Document{Title: title("sheet.title", "sheet.title_many", sheets), Foot: foot(sheets), Numbers: say("numbers")}
	for i, s := range sheets {
		if i > 0 {
			d.Blocks = append(d.Blocks, paper.PageBreak{}, paper.Heading{Text: s.Job.Circuit.Title})
		}
		d.Blocks = append(d.Blocks, s.blocks()...)
	}
	return d
}

// title names the one circuit, or says how many there are; one and many are keys.
func title(one, many string, sheets []Sheet) string {
	if len(sheets) == 1 {
		return say(one, "circuit", sheets[0].Job.Circuit.Title)
	}
	return say(many, "n", strconv.Itoa(len(sheets)))
}

// foot says which sheets these are, so that sheet and key find each other again.
func foot(sheets []Sheet) string {
	var names []string
	for _, s := range sheets {
		names = append(names, s.Name)
	}
	return say("sheet.foot", "names", strings.Join(names, ", "), "seed", strconv.FormatUint(sheets[0].Seed, 10))
}

// widestUpright is the width in units of a drawing that is still read on a page that is not turned: 180 mm at the least
// scale at which the paper sets it upright.
const widestUpright = 1380

func (s Sheet) blocks() []paper.Block {
	picture := draw.Draw(s.Job.Circuit, s.marks())
	drawing := paper.Drawing{Picture: picture, MostMM: 135, Alt: say("sheet.drawing", "circuit", s.Job.Circuit.Title)}
	out := []paper.Block{
		paper.Fields{Columns: 3, Items: []paper.Field{{Label: say("sheet.name")}, {Label: say("sheet.class")}, {Label: say("sheet.date")}}},
		paper.Paragraph{Text: say("sheet.begin", "stands", s.stands())},
	}
	values := []paper.Block{paper.Heading{Level: 2, Text: say("sheet.values")}, paper.List{Items: Given(s.Job)}}
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
		return say("sheet.stands")
	}
	contact := ""
	if slices.ContainsFunc(s.Job.Circuit.Devices, func(d circuits.Device) bool { return d.Kind == circuits.Switch }) {
		contact = say("sheet.contact")
	}
	return say("sheet.stands_with", "settings", strings.Join(parts, ", "), "contact", contact)
}

// marks are the numbered test points, with room to write.
func (s Sheet) marks() draw.Marks {
	m := draw.Marks{}
	for i, p := range s.Points {
		m.Tests = append(m.Tests, draw.Test{Point: p, Measured: say("sheet.blank", "n", strconv.Itoa(i+1))})
	}
	return m
}

// writingRow is the height of a row to write in, in millimetres.
const writingRow = 8.5

func (s Sheet) predictBlocks(n int) []paper.Block {
	if s.Predict == nil {
		return nil
	}
	columns := []paper.Column{{Head: "", Share: 0.4}, {Head: say("predict.where"), Share: 1.5}, {Head: say("predict.healthy"), Share: 1}}
	var named []string
	for _, c := range s.Predict.Columns[1:] {
		columns = append(columns, paper.Column{Head: say("predict.fault", "letter", c.Letter), Share: 1})
		named = append(named, say("predict.named", "letter", c.Letter, "fault", faultWords(s.Job.Circuit, c.Fault)))
	}
	t := paper.Table{Columns: columns}
	for i, p := range s.Points {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{{Text: strconv.Itoa(i + 1), Bold: true}, {Text: p.String()}}, LeastMM: writingRow})
	}
	out := []paper.Block{paper.Together{Blocks: []paper.Block{
		paper.Heading{Text: say("predict.head", "n", strconv.Itoa(n))},
		paper.Paragraph{Text: say("predict.task")},
		paper.List{Items: named},
		t,
	}}}
	for _, c := range s.Predict.Columns {
		head := say("predict.why_healthy")
		if c.Letter != "" {
			head = say("predict.why", "letter", c.Letter)
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
		told = append(told, say("explain.complaint", "complaint", e.Complaint))
	}
	if len(e.Codes) > 0 {
		told = append(told, say("explain.codes", "codes", strings.Join(e.Codes, ", ")))
	}
	blocks := []paper.Block{paper.Heading{Text: say("explain.head", "n", strconv.Itoa(n))}}
	if len(told) > 0 {
		blocks = append(blocks, paper.Paragraph{Text: strings.Join(told, " ")})
	}
	blocks = append(blocks, readingsTable(s.Job, e.Readings))
	var items []string
	for i, f := range e.Offered {
		items = append(items, say("explain.offered", "letter", letter(i), "words", faultWords(s.Job.Circuit, f)))
	}
	return []paper.Block{paper.Together{Blocks: append(blocks, paper.Ticks{Items: items},
		paper.Paragraph{Text: say("explain.why")}, paper.Ruled{Lines: 5})}}
}

// readingsTable is readings with what they showed.
func readingsTable(j *circuits.Job, readings []circuits.Reading) paper.Table {
	t := paper.Table{Columns: []paper.Column{{Head: "", Share: 0.3}, {Head: say("explain.reading"), Share: 4}, {Head: say("explain.shows"), Share: 1, Right: true}}}
	for i, r := range readings {
		t.Rows = append(t.Rows, paper.Cells(strconv.Itoa(i+1), readingWords(j.Circuit, unread(r)), shown(r)))
	}
	return t
}

func (s Sheet) nextBlocks(n int) []paper.Block {
	x := s.Next
	if x == nil {
		return nil
	}
	var items []string
	for i, o := range x.Offered {
		items = append(items, say("next.offered", "letter", letter(i), "reading", readingWords(s.Job.Circuit, o.Reading), "minutes", view.Minutes(o.Minutes)))
	}
	return []paper.Block{paper.Together{Blocks: []paper.Block{
		paper.Heading{Text: say("next.head", "n", strconv.Itoa(n))},
		paper.Paragraph{Text: say("next.known")},
		readingsTable(s.Job, x.Taken),
		paper.Paragraph{Text: say("next.task")},
		paper.Ticks{Items: items},
		paper.Paragraph{Text: say("next.why")},
		paper.Ruled{Lines: 5},
	}}}
}
