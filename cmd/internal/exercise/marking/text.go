package marking

import (
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"ohmtrail/cmd/internal/view"
)

// Text is the marks for a terminal: the sum, what each part comes from, and the way step by step.
func (m Marks) Text(page view.Page) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", page.Strong(fmt.Sprintf("%.0f of %.0f points", m.Total, m.Most)))
	b.WriteString(page.Paragraph(fmt.Sprintf("It was %s; found was %s.", m.Truth, m.Found)))
	if m.Note != "" {
		b.WriteString(page.Paragraph("The trainer: " + m.Note))
	}
	for _, i := range m.Altered {
		b.WriteString(page.Paragraph(fmt.Sprintf("The reply of step %d in the file is not what the machine answers: the file was changed by hand.", i+1)))
	}
	b.WriteString("\n")
	for _, p := range m.Parts {
		if p.Most == 0 && p.Points == 0 && !p.Set {
			continue
		}
		of := "      "
		if p.Most > 0 {
			of = fmt.Sprintf(" of %2.0f", p.Most)
		}
		b.WriteString(page.Hanging(fmt.Sprintf("  %-21s %4.0f%s  ", p.Title, p.Points, of), p.Why))
	}
	fmt.Fprintf(&b, "\n%s\n", page.Strong("The way"))
	for i, s := range m.Steps {
		head := s.Line
		if s.Reply != "" {
			head += ": " + s.Reply
		}
		b.WriteString(page.Hanging(fmt.Sprintf("%3d  ", i+1), head))
		for _, w := range s.Says {
			b.WriteString(page.Hanging("     ", w))
		}
	}
	fmt.Fprintf(&b, "\n%s\n", page.Strong(fmt.Sprintf("The best plan on this machine, %s", view.Minutes(m.Plan.Minutes))))
	for i, r := range m.Plan.Readings {
		b.WriteString(page.Hanging(fmt.Sprintf("%3d  ", i+1), r))
	}
	if m.Plan.Left > 1 {
		b.WriteString(page.Hanging("     ", fmt.Sprintf("Then %d places are left, which no reading that pays tells apart: repair and check, the likeliest first.", m.Plan.Left)))
	}
	return strings.ReplaceAll(b.String(), "\u00a0", " ")
}

// MarksJSON is the marks for a program.
type MarksJSON struct {
	Student  string       `json:"student"`
	Exercise string       `json:"exercise"`
	Level    int          `json:"level"`
	Family   string       `json:"family"`
	Total    float64      `json:"total"`
	Most     float64      `json:"most"`
	Truth    string       `json:"truth"`
	Found    string       `json:"found"`
	Remedy   string       `json:"remedy"`
	Minutes  float64      `json:"minutes"`
	Plan     float64      `json:"plan_minutes"`
	Half     float64      `json:"half_split_minutes"`
	Readings int          `json:"readings"`
	Nothing  int          `json:"told_nothing"`
	Altered  []int        `json:"altered"`
	Note     string       `json:"note"`
	Parts    []PartJSON   `json:"parts"`
	Steps    []AdviceJSON `json:"steps"`
}

// PartJSON is one part of the marks.
type PartJSON struct {
	Part   string  `json:"part"`
	Points float64 `json:"points"`
	Most   float64 `json:"most"`
	Why    string  `json:"why"`
	Set    bool    `json:"set_by_trainer"`
}

// AdviceJSON is one step with what is said about it.
type AdviceJSON struct {
	Line     string   `json:"line"`
	Reason   string   `json:"reason"`
	Reply    string   `json:"reply"`
	Minutes  float64  `json:"minutes"`
	Unsafe   bool     `json:"unsafe"`
	Measured bool     `json:"measured"`
	Before   int      `json:"places_before"`
	After    int      `json:"places_after"`
	Told     float64  `json:"told_bits"`
	Expected float64  `json:"expected_bits"`
	Fell     []string `json:"cleared"`
	Nothing  bool     `json:"told_nothing"`
	Better   string   `json:"better"`
	Says     []string `json:"says"`
}

// JSON is the marks for a program.
func (m Marks) JSON() MarksJSON {
	out := MarksJSON{Student: m.Student, Exercise: m.Exercise, Level: m.Level, Family: m.Family, Total: m.Total, Most: m.Most, Truth: m.Truth, Found: m.Found,
		Remedy: m.Remedy, Minutes: m.Minutes, Plan: m.Plan.Minutes, Half: m.Half.Minutes, Readings: m.Readings, Nothing: m.Nothing, Altered: append([]int{}, m.Altered...), Note: m.Note,
		Parts: []PartJSON{}, Steps: []AdviceJSON{}}
	for _, p := range m.Parts {
		out.Parts = append(out.Parts, PartJSON{p.Name, p.Points, p.Most, p.Why, p.Set})
	}
	for _, a := range m.Steps {
		out.Steps = append(out.Steps, AdviceJSON{a.Line, a.Reason, a.Reply, a.Minutes, a.Unsafe, a.Measured, a.Before, a.After, a.Told, a.Expected,
			append([]string{}, a.Fell...), a.Nothing, a.Better, append([]string{}, a.Says...)})
	}
	return out
}

// CSV is the marks of a class as a table: a row for each play. A cell that a spreadsheet would take for a formula is
// written as text.
func CSV(all []Marks) ([]byte, error) {
	var b strings.Builder
	w := csv.NewWriter(&b)
	head := []string{"student", "exercise", "level", "family", "total", "of", "truth", "found", "remedy", "minutes", "plan_minutes", "half_split_minutes", "readings", "told_nothing"}
	for _, name := range partNames {
		head = append(head, name+"_points") // a part may be called as a column before it
	}
	w.Write(append(head, "altered_steps", "note"))
	number := func(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
	for _, m := range all {
		row := []string{plainCell(m.Student), plainCell(m.Exercise), strconv.Itoa(m.Level), m.Family, number(m.Total), number(m.Most), m.Truth, m.Found, plainCell(m.Remedy),
			number(m.Minutes), number(m.Plan.Minutes), number(m.Half.Minutes), strconv.Itoa(m.Readings), strconv.Itoa(m.Nothing)}
		for _, p := range m.Parts {
			row = append(row, number(p.Points))
		}
		w.Write(append(row, strconv.Itoa(len(m.Altered)), plainCell(m.Note)))
	}
	w.Flush()
	return []byte(b.String()), w.Error()
}

// plainCell keeps a spreadsheet from reckoning what a student typed.
func plainCell(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
