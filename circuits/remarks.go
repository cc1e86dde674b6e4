package circuits

import "fmt"

// remarks warns of what a colleague would ask about on reading the diagram: usable, but odd. Every remark is one
// sentence that says why it is odd. They run on a valid circuit only.
func (p *circuitParser) remarks() {
	r := newRemarker(p.c, p.d.positions)
	r.unusedPlaces()
	r.likelyTypos()
	r.doubleCrimps()
	r.joinedLines()
	r.rolesAgainstPins()
	r.partsWithoutPath()
	r.modulePower()
	r.floatingInputs()
	r.strayLines()
	r.oddBattery()
	r.oddPins()
	r.oddDevices()
	r.oddWires()
	p.d.problems = append(p.d.problems, r.out...)
}

// remarker collects remarks on one circuit. Its indices are built once, so that a large harness is walked once a rule.
type remarker struct {
	c         *Circuit
	positions positions
	copper    *nets                  // joined by wires, splices and mated contacts
	fused     *nets                  // the same, through fuses too
	facts     []netFacts             // of the nets of fused
	runs      map[string][]int       // the runs that name a place
	pins      map[Point]*Pin         // by harness-side point
	devices   map[Point]partTerminal // by harness-side point of a terminal
	joined    map[int]bool           // nets of fused that join what must not meet
	out       Problems
}

// partTerminal is a terminal of a device, found by its point.
type partTerminal struct {
	*Device
	role string
}

func newRemarker(c *Circuit, at positions) *remarker {
	r := &remarker{c: c, positions: at, joined: map[int]bool{}, runs: map[string][]int{}, pins: map[Point]*Pin{}, devices: map[Point]partTerminal{}}
	for i := range c.Modules {
		for j := range c.Modules[i].Pins {
			pin := &c.Modules[i].Pins[j]
			r.pins[pin.Point()] = pin
		}
	}
	for i := range c.Devices {
		d := &c.Devices[i]
		for _, t := range d.Terminals {
			r.devices[Point{Place: d.Name, Cavity: t.Cavity}] = partTerminal{d, t.Role}
		}
	}
	r.copper = newNets(c, false)
	r.fused = newNets(c, true)
	r.facts = r.factsOf(r.fused)
	for i, run := range c.Runs {
		for j, p := range run.Path {
			if at := r.runs[p.Place]; j == 0 || len(at) == 0 || at[len(at)-1] != i {
				r.runs[p.Place] = append(at, i)
			}
		}
	}
	return r
}

func (r *remarker) remark(line int, what, hint string) {
	r.out = append(r.out, Problem{File: r.c.File, Line: line, What: what, Hint: hint, Warning: true})
}

// lineOf is the line of a key of the file, or of the nearest table around it.
func (r *remarker) lineOf(format string, args ...any) int {
	return r.positions.at(fmt.Sprintf(format, args...))
}

// declared tells whether the file has a table of its own for a name, such as [connector.C7].
func (r *remarker) declared(section, name string) bool {
	_, ok := r.positions.lines[section+"."+name]
	return ok
}

// wired tells whether any wire ends at that terminal.
func (r *remarker) wired(p Point) bool {
	_, ok := r.copper.of[p]
	return ok
}
