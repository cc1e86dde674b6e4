package read

import (
	"fmt"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
)

// faultNote reads a [[note]]: a fault, what it does in a sentence, and a claim that can be tested.
func (p *circuitParser) faultNote(c cursor) {
	keys := append([]string{"fault", "says", "sets", "within"}, readingKeys...)
	if !c.table(keys...) {
		return
	}
	n := circuits.FaultNote{Line: c.at(), Says: c.textOr("says", ""), Sets: c.textOr("sets", ""), Within: c.numberOr("within", 0.05, circuits.Positive)}
	f, ok := c.key("fault")
	if !ok && c.lacks("fault") {
		c.fail("the note names no fault", `write fault = "open C7:3"`)
	}
	if n.Says == "" && c.lacks("says") {
		c.fail("the note says nothing", `write says = "…", what a reader should know of this fault`)
	}
	if !ok {
		return
	}
	text, ok := f.text()
	if !ok {
		return
	}
	fault, err := circuits.ParseFault(text)
	if err == nil {
		fault, err = p.c.ResolveFault(fault)
	}
	if err != nil {
		f.problem(false, c.name(), err.Error(), "") // the error names the fault
		return
	}
	n.Fault = fault
	if s, ok := c.key("sets"); ok && !slices.Contains(p.c.Codes(), n.Sets) {
		s.fail(fmt.Sprintf("no pin sets the code %s", n.Sets), wording.DidYouMean(n.Sets, p.c.Codes()))
	}
	_, claimsReading := c.key("at")
	value := c.first(circuits.Quantities()...)
	if !claimsReading && value.path != c.path && c.lacks("at") {
		value.fail("the note has a value and does not say where", `add at = "MHS:2"`)
		return
	}
	if !claimsReading && n.Sets == "" && c.lacks("at") && c.lacks("sets") {
		c.fail("the note claims nothing that could be tested", "add sets, or at with a value")
		return
	}
	if claimsReading {
		stripped := map[string]any{}
		for k, v := range c.value.(map[string]any) {
			if slices.Contains(readingKeys, k) {
				stripped[k] = v
			}
		}
		job := jobParser{j: &circuits.Job{Circuit: p.c, Meter: circuits.DefaultMeter()}, c: p.c, d: p.d}
		r, ok := job.reading(cursor{d: c.d, path: c.path, value: stripped}, true)
		if ok && !r.Taken && c.lacks("volts") && c.lacks("scan_volts") && c.lacks("ohms") && c.lacks("amps") {
			c.fail("the note's reading has no value", "add volts, scan_volts, ohms or amps")
		}
		n.Expect = r
	}
	p.c.FaultNotes = append(p.c.FaultNotes, n)
}
