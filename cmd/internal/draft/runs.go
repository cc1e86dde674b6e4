package draft

import (
	"fmt"
	"slices"

	"ohmtrail/cmd/internal/draft/circuittext"
)

// places are the in-line connectors, splices and studs.
func (d *drafting) places() []circuittext.Place {
	var connectors, splices, studs []circuittext.Place
	for _, name := range d.order {
		if d.names[name] == "splice" {
			splices = append(splices, circuittext.Place{Section: "splice", Name: name, Fields: []field{key("label", circuittext.Quote("in the line from "+d.splices[name]))}})
			continue
		}
		connectors = append(connectors, circuittext.Place{Section: "connector", Name: name, Fields: []field{
			{Key: "sides", Value: `["module", "part"]`, Comment: "its two halves, as the paths cross it"}}})
	}
	for _, p := range d.parts {
		if p.kind.word == "can" {
			for _, name := range p.joints() {
				splices = append(splices, circuittext.Place{Section: "splice", Name: name})
			}
		}
	}
	for _, name := range d.allStuds() {
		studs = append(studs, circuittext.Place{Section: "ground", Name: name})
	}
	return append(append(connectors, splices...), studs...)
}

// allStuds are the studs of the parts, and the one that the module's ground pin goes to.
func (d *drafting) allStuds() []string {
	out := append([]string(nil), d.studs...)
	if d.ground != "" && !slices.Contains(out, d.stud()) {
		out = append(out, d.stud())
	}
	return out
}

// runs are the wires of one part.
func (d *drafting) runs(p *part) []circuittext.Run {
	if p.kind.word == "can" {
		return d.busRuns(p)
	}
	var out []circuittext.Run
	for i, l := range p.lines {
		path := append([]string(nil), p.routes[i].path...)
		run := p.run(p.name+" "+l.word, d.role(p, i), path, i, p.lengths[i])
		if p.starts[i].at == atBattery && p.fuse.name != "" {
			out = append(out, p.run(p.fuse.name+" feed", "power", []string{"B+", p.fuse.name + ":1"}, i, []float64{1}))
			run.Path[0] = p.fuse.name + ":2"
		}
		out = append(out, run)
	}
	return out
}

// run gives every wire of a path the line's colour and the part's wire size.
func (p *part) run(name, role string, path []string, line int, lengths []float64) circuittext.Run {
	r := circuittext.Run{Name: name, Role: role, Path: path, LengthsM: lengths}
	for range len(path) - 1 {
		r.Colors = append(r.Colors, p.colors[line])
		r.SizesMM2 = append(r.SizesMM2, p.sizeMM2)
	}
	return r
}

// feed is a module's own power and ground; pins that are not listed are "".
type feed struct {
	module, power, ground string
	fuse                  fuse
}

// feeds are those of the module and of the modules at the far ends of buses; the latter get the next free fuses.
func (d *drafting) feeds() []feed {
	out := []feed{{d.module, d.power, d.ground, d.fuse}}
	n := 1
	for _, p := range d.parts {
		if len(p.far.pins) != 4 {
			continue
		}
		for d.names[fmt.Sprintf("F%d", n)] != "" || fmt.Sprintf("F%d", n) == d.fuse.name {
			n++
		}
		out = append(out, feed{p.far.name, p.far.pins[2], p.far.pins[3], fuse{fmt.Sprintf("F%d", n), 10}})
		n++
	}
	return out
}

// moduleRuns are the modules' own feeds and grounds.
func (d *drafting) moduleRuns() []circuittext.Run {
	var out []circuittext.Run
	run := func(name, role, color string, path ...string) {
		out = append(out, circuittext.Run{Name: name, Role: role, Path: path, Colors: []string{color}, SizesMM2: []float64{1}, LengthsM: []float64{1}})
	}
	for _, f := range d.feeds() {
		if f.power != "" {
			from := "B+"
			if f.fuse.name != "" {
				run(f.fuse.name+" feed", "power", "RD", "B+", f.fuse.name+":1")
				from = f.fuse.name + ":2"
			}
			run(f.module+" feed", "power", "RD", from, f.module+":"+f.power)
		}
		if f.ground != "" {
			run(f.module+" ground", "ground", "BK", f.module+":"+f.ground, d.stud())
		}
	}
	return out
}

// A CAN pair is two lines from splice to splice: at the near splices the module's stub and the first terminator meet, at
// the far ones the second terminator and the far module's stub. Without a far module the lines end at the second
// terminator.

// joints are the splices of a CAN pair, named after the terminators.
func (p *part) joints() []string {
	out := []string{p.name + "-1H", p.name + "-1L"}
	if p.far.name != "" {
		out = append(out, p.name+"-2H", p.name+"-2L")
	}
	return out
}

// nearEnd and farEnd are where the backbone of line i (0 high, 1 low) starts and ends.
func (p *part) nearEnd(i int) string { return p.joints()[i] }

func (p *part) farEnd(i int) string {
	if p.far.name != "" {
		return p.joints()[2+i]
	}
	return p.name + "2:" + p.cavities[i]
}

// busRuns are the backbone, the stubs and the terminators of a CAN pair.
func (d *drafting) busRuns(p *part) []circuittext.Run {
	var out []circuittext.Run
	for i, word := range []string{"high", "low"} {
		name := "CAN " + word
		stub := func(what string, path ...string) {
			out = append(out, p.run(fmt.Sprintf("%s, %s", name, what), "bus", path, i, []float64{0.3}))
		}
		stub(d.module+" stub", p.nearEnd(i), d.module+":"+p.starts[i].name)
		stub("first terminator", p.nearEnd(i), p.name+"1:"+p.cavities[i])
		out = append(out, p.run(name+", backbone", "bus", append([]string(nil), p.routes[i].path...), i, p.lengths[i]))
		if p.far.name != "" {
			stub("second terminator", p.farEnd(i), p.name+"2:"+p.cavities[i])
			stub(p.far.name+" stub", p.farEnd(i), p.far.name+":"+p.far.pins[i])
		}
	}
	return out
}
