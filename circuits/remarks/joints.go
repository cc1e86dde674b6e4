package remarks

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
)

// doubleCrimps warns of two wires in one cavity of a module, a device, or one half of an in-line connector.
func (r *remarker) doubleCrimps() {
	ends := map[circuits.Point][]int{}
	for i, w := range r.c.Wires {
		for _, end := range []circuits.Point{w.From, w.To} {
			if end.Cavity == "" {
				continue
			}
			ends[end] = append(ends[end], i)
			if n := len(ends[end]); n == 2 {
				first := r.c.Wires[ends[end][0]]
				r.remark(w.Line, fmt.Sprintf("the wires %s and %s are crimped into one cavity, %s, which takes one wire as a rule", first.Location, w.Location, end),
					"check the cavity; where the wires meet before it, name the splice")
			}
		}
	}
}

// lineClass is what a point makes of the copper it stands on.
type lineClass struct {
	word string
	is   func(r *remarker, p circuits.Point) bool
}

func pinClass(word string, kind circuits.PinKind) lineClass {
	return lineClass{word, func(r *remarker, p circuits.Point) bool { pin := r.pins[p]; return pin != nil && pin.Kind == kind }}
}

var (
	classReference = pinClass("reference", circuits.PinReference)
	classReturn    = pinClass("return", circuits.PinReturn)
	classGround    = lineClass{"ground", (*remarker).isGround}
	classPower     = lineClass{"power", func(r *remarker, p circuits.Point) bool {
		pin := r.pins[p]
		return p == circuits.BPositive || pin != nil && pin.Kind == circuits.PinPower
	}}
)

// mustNotMeet are the pairs of lines that no harness joins by copper, with what happens where they are.
var mustNotMeet = []struct {
	a, b    lineClass
	because string
}{
	{classReference, classReturn, "which shorts the reference and every sensor on it"},
	{classReference, classGround, "which shorts the reference and every sensor on it"},
	{classReference, classPower, "which puts battery voltage on every sensor of that reference"},
	{classPower, classGround, "which is a dead short across the battery"},
	{classPower, classReturn, "which puts battery voltage on the module's return"},
	{pinClass("CAN high", circuits.PinCANHigh), pinClass("CAN low", circuits.PinCANLow), "which silences the bus"},
}

// joinedLines warns of copper that joins lines which must not meet; a fuse counts as copper.
func (r *remarker) joinedLines() {
	for id, net := range r.fused.Nets() {
		for _, pair := range mustNotMeet {
			a, okA := firstOf(net, func(p circuits.Point) bool { return pair.a.is(r, p) })
			b, okB := firstOf(net, func(p circuits.Point) bool { return pair.b.is(r, p) })
			if !okA || !okB {
				continue
			}
			r.joined[id] = true
			line, where := r.joint(r.fused, a, b)
			r.remark(line, fmt.Sprintf("the wiring joins %s (%s) and %s (%s) %s, %s", pair.a.word, a, pair.b.word, b, where, pair.because),
				"check which splice or cavity each path should have")
		}
	}
}

// joint finds where two points of a net meet: the first splice, cavity or stud on the way between them at which one
// run ends and another one goes on, and the line of the later of the two; the run itself where it is only one.
func (r *remarker) joint(n *circuits.Copper, from, to circuits.Point) (line int, where string) {
	at, last := from, -1
	var names []string
	for _, e := range n.Way(from, to) {
		if e.At.IsWire() {
			run := r.c.Wire(e.At).Run
			if last >= 0 && run != last {
				names = append(names, at.Terminal().String())
			}
			line = max(line, r.c.Runs[run].Line)
			last = run
		}
		at = e.To
	}
	switch {
	case last < 0:
		return line, "through a fuse"
	case len(names) == 0:
		return line, fmt.Sprintf("in the run %q", r.c.Runs[last].Title())
	}
	return line, "at " + strings.Join(names, " and ")
}

// opposed are the roles of a run that contradict the kind of module pin it ends at.
var opposed = map[string][]circuits.PinKind{
	"reference": {circuits.PinReturn, circuits.PinGround},
	"return":    {circuits.PinReference, circuits.PinPower},
	"power":     {circuits.PinReturn, circuits.PinGround},
	"ground":    {circuits.PinReference, circuits.PinPower},
	"signal":    {circuits.PinReference, circuits.PinReturn, circuits.PinPower, circuits.PinGround},
	"bus":       {circuits.PinReference, circuits.PinReturn, circuits.PinPower, circuits.PinGround},
}

// rolesAgainstPins warns of a run that is called one thing and wired to another.
func (r *remarker) rolesAgainstPins() {
	for _, run := range r.c.Runs {
		for _, pin := range r.contradictions(run) {
			r.remark(run.Line, fmt.Sprintf("the run %q has the role %s but ends at the %s pin %s", run.Title(), run.Role, pin.Kind, pin.Point()),
				"correct the role, the cavity, or the pin's kind")
		}
	}
}

// contradictions are the pins at a run's ends that its role cannot be right for.
func (r *remarker) contradictions(run circuits.Run) []*circuits.Pin {
	var out []*circuits.Pin
	for _, end := range []circuits.Point{run.Path[0], run.Path[len(run.Path)-1]} {
		pin := r.pins[end]
		if pin == nil {
			continue
		}
		for _, kind := range opposed[run.Role] {
			if pin.Kind == kind {
				out = append(out, pin)
			}
		}
	}
	return out
}
