package main

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/web"
	"ohmtrail/cmd/internal/worksheet"
	"ohmtrail/solver/rank"
)

// pageSeed draws the faults of the worksheets that a page offers: always the same, so that sheet and key belong together.
const pageSeed = 1

// sheetsOfCircuit are the worksheet of a job's circuit and its key, as a page offers them. What the job says of its machine
// stays out: a sheet is about the circuit.
func sheetsOfCircuit() []web.WriteUp {
	of := func(document func([]worksheet.Sheet) paper.Document) func(*circuits.Job, rank.Ranking) ([]byte, error) {
		return func(j *circuits.Job, _ rank.Ranking) ([]byte, error) {
			name := strings.TrimSuffix(strings.TrimPrefix(j.Circuit.File, "library:"), ".circuit.toml")
			subject := worksheet.Subject{Name: name, Job: &circuits.Job{Circuit: j.Circuit, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}}
			s, err := worksheet.Make(subject, worksheet.Options{Kinds: worksheet.Kinds(), Seed: pageSeed})
			if err != nil {
				return nil, err
			}
			return paper.PDF(document([]worksheet.Sheet{s}), paper.A4)
		}
	}
	return []web.WriteUp{
		{Form: "sheet", Label: "Worksheet, PDF", End: "-sheet.pdf", Type: "application/pdf", Sheet: true, Render: of(worksheet.Document)},
		{Form: "key", Label: "Its key, PDF", End: "-key.pdf", Type: "application/pdf", Sheet: true, Render: of(worksheet.Key)},
	}
}
