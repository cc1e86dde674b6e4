// Package remarks says what a colleague would ask about on reading a circuit that is valid: what looks forgotten, miswired or
// mistyped.
package remarks

import (
	"fmt"

	"ohmtrail/circuits"
)

// On warns of what a colleague would ask about on reading the diagram: usable, but odd. Every remark is one
// sentence that says why it is odd. They run on a valid circuit only.
func On(c *circuits.Circuit, at Lines) circuits.Problems {
	r := newRemarker(c, at)
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
	return r.out
}

// Lines tells where a circuit's file has its keys, by paths such as `run[2].path`.
type Lines interface {
	At(path string) int   // the line of a key, or of the nearest table around it that the file has
	Has(path string) bool // the file names it
}

// remarker collects remarks on one circuit. Its indices are built once, so that a large harness is walked once a rule.
type remarker struct {
	c       *circuits.Circuit
	lines   Lines
	copper  *circuits.Copper                 // joined by wires, splices and mated contacts
	fused   *circuits.Copper                 // the same, through fuses too
	facts   []netFacts                       // of the nets of fused
	runs    map[string][]int                 // the runs that name a place
	pins    map[circuits.Point]*circuits.Pin // by harness-side point
	devices map[circuits.Point]partTerminal  // by harness-side point of a terminal
	joined  map[int]bool                     // nets of fused that join what must not meet
	out     circuits.Problems
}

// partTerminal is a terminal of a device, found by its point.
type partTerminal struct {
	*circuits.Device
	role string
}

func newRemarker(c *circuits.Circuit, at Lines) *remarker {
	r := &remarker{c: c, lines: at, joined: map[int]bool{}, runs: map[string][]int{}, pins: map[circuits.Point]*circuits.Pin{}, devices: map[circuits.Point]partTerminal{}}
	for i := range c.Modules {
		for j := range c.Modules[i].Pins {
			pin := &c.Modules[i].Pins[j]
			r.pins[pin.Point()] = pin
		}
	}
	for i := range c.Devices {
		d := &c.Devices[i]
		for _, t := range d.Terminals {
			r.devices[circuits.Point{Place: d.Name, Cavity: t.Cavity}] = partTerminal{d, t.Role}
		}
	}
	r.copper = c.Copper()
	r.fused = circuits.Join(append(c.Harness(), c.Fuses()...))
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
	r.out = append(r.out, circuits.Problem{File: r.c.File, Line: line, What: what, Hint: hint, Warning: true})
}

// lineOf is the line of a key of the file, or of the nearest table around it.
func (r *remarker) lineOf(format string, args ...any) int {
	return r.lines.At(fmt.Sprintf(format, args...))
}

// declared tells whether the file has a table of its own for a name, such as [connector.C7].
func (r *remarker) declared(section, name string) bool {
	return r.lines.Has(section + "." + name)
}

// wired tells whether any wire ends at that terminal.
func (r *remarker) wired(p circuits.Point) bool {
	_, ok := r.copper.NetOf(p)
	return ok
}

// sameNet tells whether copper joins two points.
func (r *remarker) sameNet(a, b circuits.Point) bool {
	first, _ := r.copper.NetOf(a)
	second, _ := r.copper.NetOf(b)
	return first == second
}
