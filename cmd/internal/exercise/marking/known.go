package marking

import (
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/solver/rank"
)

// Known are the places that the first n steps of a play leave, likeliest first: what a trainer's board shows of a play
// that has not ended. It is kept for the marking.
func (j *Judge) Known(p *exercise.Play, n int) []rank.PlaceOdds {
	return j.at(p, n).places
}

// Unmarked is the row of a play that has no marks (yet), so that a class's table has everybody in it: no points, and why.
func Unmarked(p *exercise.Play, note string) Marks {
	h := p.Exercise.Hidden
	m := Marks{Student: p.Student, Exercise: p.Exercise.Name, Level: h.Level, Family: h.Family, Truth: h.Fault.String(), Minutes: p.Minutes(), Plan: h.Plan, Half: h.HalfSplit, Note: note}
	for _, name := range partNames {
		m.Parts = append(m.Parts, Part{Name: name})
	}
	for _, s := range p.Steps {
		if s.Action.Kind == exercise.Measure && s.Reply.Refused == "" {
			m.Readings++
		}
	}
	return m
}
