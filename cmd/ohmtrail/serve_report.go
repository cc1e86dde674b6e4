package main

import (
	"time"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/report"
	"ohmtrail/cmd/internal/web"
	"ohmtrail/solver/rank"
)

// writeUps are the forms in which a page offers the write-up of a job; one that names no date is dated today.
func writeUps() []web.WriteUp {
	render := func(as func(report.Report) ([]byte, error)) func(*circuits.Job, rank.Ranking) ([]byte, error) {
		return func(j *circuits.Job, ranking rank.Ranking) ([]byte, error) {
			return as(report.New(j, ranking, report.Options{Date: time.Now().Format(time.DateOnly)}))
		}
	}
	on := func(size paper.Size) func(report.Report) ([]byte, error) {
		return func(r report.Report) ([]byte, error) { return r.PDF(size) }
	}
	return append(sheetsOfCircuit(), []web.WriteUp{
		{Form: "pdf", Label: "PDF, A4", End: ".pdf", Type: "application/pdf", Render: render(on(paper.A4))},
		{Form: "letter", Label: "PDF, Letter", End: ".pdf", Type: "application/pdf", Render: render(on(paper.Letter))},
		{Form: "html", Label: "web page", End: ".html", Type: "text/html; charset=utf-8", Render: render(report.Report.HTML)},
		{Form: "md", Label: "text", End: ".md", Type: "text/markdown; charset=utf-8",
			Render: render(func(r report.Report) ([]byte, error) { return r.Markdown(), nil })},
	}...)
}
