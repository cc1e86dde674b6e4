// Package report writes a job up as the trade files it: concern, cause, correction, verification. One value, New's
// Report, is rendered as HTML, PDF and Markdown, and as a short text to paste.
//
//	ranking := rank.Rank(job)
//	r := report.New(job, ranking, report.Options{Date: "2026-11-25"})
//	page, err := r.HTML()            // one page that stands alone
//	file, err := r.PDF(paper.A4)     // or paper.Letter
//	text := r.Markdown()
//	story := r.Short()               // at most ShortLetters letters
//	check := report.Verify(job, ranking)   // the check after the repair alone; .JSON() and .Text(page)
//
// What is not recorded in the job ([writeup], [repair], [[verification]]) is asked for in plain words; what is not proven
// or not verified is said in the first lines. Every number is one that the other answers give too. All words of a report
// stand in words.toml. There is no clock here and nothing is read or written: same job, same bytes.
package report

import (
	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// Options are what a report is given beside the job and its ranking.
type Options struct {
	Date  string // YYYY-MM-DD, for a job that names none; "" for none
	Rules []Rule // for repairs; nil for DefaultRules
}

// Standing is what the readings of a job come to.
type Standing uint8

// What the readings come to.
const (
	NothingMeasured Standing = iota
	NothingFound             // a healthy machine explains the readings best
	NothingListed            // nothing on the drawing explains them
	Unproven
	Proven
	Forbidden // a pyrotechnic circuit
)

// Report is a finished report. Standing and After say what it claims.
type Report struct {
	Standing Standing
	After    After

	title, foot, date string
	blocks            []paper.Block // before the drawing's place
	drawing           paper.Drawing
	rest              []paper.Block // after it
	short             string
}

// New writes a job up. The ranking is that of the job.
func New(j *circuits.Job, ranking rank.Ranking, o Options) Report {
	if o.Rules == nil {
		o.Rules = DefaultRules()
	}
	f := find(j, ranking)
	v := verify(j, f)
	w := writer{j: j, r: ranking, f: f, v: v, o: o, x: evidence.NewExpecter(j)}
	r := Report{Standing: f.standing, After: v.After, title: title(j), date: firstOf(j.WriteUp.Date, o.Date)}
	r.foot = say("title.foot", "file", j.File, "circuit", j.CircuitName)
	r.blocks = concat(w.first(), w.facts(), w.concern(), w.cause())
	r.drawing = paper.Drawing{Picture: draw.Draw(j.Circuit, w.marks()), Alt: say("title.drawing", "circuit", clipped(firstOf(j.Circuit.Title, j.CircuitName), 120))}
	r.rest = concat(w.readings(), w.reasoning(), w.sure(), w.correction(), w.verification(), w.cautions())
	if n := lacks(r); n > 0 {
		r.rest = append(r.rest, paper.Paragraph{Text: say("title.lacking"), Small: true})
	}
	r.short = w.short()
	return r
}

// writer writes the parts of one report.
type writer struct {
	j *circuits.Job
	r rank.Ranking
	f finding
	v Verification
	o Options
	x *evidence.Expecter // of the readings of j
}

func title(j *circuits.Job) string {
	if j.Machine == "" {
		return say("title.bare")
	}
	return say("title.report", "machine", clipped(j.Machine, 120))
}

func concat(parts ...[]paper.Block) []paper.Block {
	var out []paper.Block
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

func firstOf(list ...string) string {
	for _, s := range list {
		if s != "" {
			return s
		}
	}
	return ""
}

// mostLetters is how much of one field of a job is printed: a report is a few pages, and the job file has the rest.
const mostLetters = 1500

// clipped cuts a text that is too long for its place, with a sign that it was.
func clipped(s string, most int) string {
	letters := []rune(s)
	if len(letters) <= most {
		return s
	}
	return string(letters[:most-2]) + " …"
}

// marks are what the drawing shows: the suspects, and at the test points what was measured, by the table's numbers.
func (w writer) marks() draw.Marks {
	m := view.Marks(w.r)
	m.Title, m.Cautions = "", nil // both stand in the report
	if !w.f.speaks() {
		m.Suspects = nil // odds of experience are no finding
	}
	for i := range m.Tests {
		m.Tests[i].Healthy, m.Tests[i].Leading = "", ""
	}
	return m
}
