package view

import (
	"strings"

	"ohmtrail/circuits"
)

// triedWords say what was done about the symptom so far and what came of it; "" where nothing was.
func triedWords(j *circuits.Job) string {
	var out []string
	for _, t := range j.Tried {
		words := t.At.String() + " was put right"
		if t.Done != "" {
			words = t.At.String() + " was put right (" + t.Done + ")"
		}
		switch t.Result {
		case circuits.ResultRemains:
			words += " and the fault remains"
		case circuits.ResultGone:
			words += " and the fault is gone since"
		case circuits.ResultChanged:
			words += " and the fault is another one since, as of two of which one is left"
		}
		out = append(out, words)
	}
	return strings.Join(out, "; ")
}
