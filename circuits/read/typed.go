package read

import (
	"ohmtrail/circuits"
)

// Reading reads one planned reading that is written with the keys of a [[reading]] of a job file (`at`, `to`,
// `quantity`, `key`, `unplugged`, `jumper`, `load`, `set`, `wiggle`, `symptom`, `note`), on a circuit that is parsed
// already. The reading counts only where no problem is an error.
func Reading(c *circuits.Circuit, text []byte) (circuits.Reading, circuits.Problems) {
	d, root := decode("reading", text)
	if len(d.problems) > 0 {
		return circuits.Reading{}, d.problems
	}
	p := jobParser{j: &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}, Intermittent: true}, c: c, d: d, greatest: greatestVolts(c)}
	r, _ := p.reading(root, true)
	return r, d.problems.Sorted()
}

// TooDeep is the line on which a text opens more brackets than any file of ours needs, 0 where it does not: what reads
// TOML recurses, so a file of nothing but brackets must not reach it.
func TooDeep(text []byte) int { return tooDeep(text) }
