package remarks

import (
	"fmt"

	"ohmtrail/circuits"
)

// partsWithoutPath warns of parts through which no current can flow, or whose output nobody reads.
func (r *remarker) partsWithoutPath() {
	for i := range r.c.Devices {
		d := &r.c.Devices[i]
		if !r.allWired(d) || r.bypassed(d) {
			continue
		}
		switch d.Kind {
		case circuits.Ratiometric, circuits.Potentiometer, circuits.Switching:
			if !r.isRheostat(d) {
				r.returnOf(d, false)
				r.supplyOf(d)
			}
			r.outputOf(d)
		case circuits.Zirconia:
			r.returnOf(d, true)
			r.outputOf(d)
		case circuits.CurrentLoop:
			r.supplyOf(d)
			r.returnOf(d, true)
		case circuits.Thermistor, circuits.RTD:
			r.twoWire(d)
		case circuits.Load:
			r.loadPath(d)
		}
	}
}

// wordsOf are the part's kind and name as a sentence says them.
func wordsOf(d *circuits.Device) string {
	kind := string(d.Kind)
	switch d.Kind {
	case circuits.Ratiometric, circuits.Switching, circuits.Zirconia:
		kind += " sensor"
	case circuits.RTD:
		kind = "platinum sensor"
	case circuits.CurrentLoop:
		kind = "current loop"
	}
	return "the " + kind + " " + d.Name
}

// allWired tells whether every terminal has a wire; a missing one has its own remark.
func (r *remarker) allWired(d *circuits.Device) bool {
	for _, t := range d.Terminals {
		if !r.wired(circuits.Point{Place: d.Name, Cavity: t.Cavity}) {
			return false
		}
	}
	return true
}

// bypassed warns of two terminals of one part on the same copper.
func (r *remarker) bypassed(d *circuits.Device) bool {
	for i, a := range d.Terminals {
		for _, b := range d.Terminals[i+1:] {
			from, to := circuits.Point{Place: d.Name, Cavity: a.Cavity}, circuits.Point{Place: d.Name, Cavity: b.Cavity}
			if r.sameNet(from, to) {
				if fused, _ := r.fused.NetOf(from); r.joined[fused] {
					return true // said already, with its cause
				}
				line, where := r.joint(r.copper, from, to)
				r.remark(line, fmt.Sprintf("%s and %s of %s are joined by copper %s, so the part is bridged and can do nothing",
					from, to, wordsOf(d), where), "check the two paths for a wrong cavity or splice")
				return true
			}
		}
	}
	return false
}

// returnOf warns of a return terminal from which no current can flow back. toInput allows an input pin to take it: the
// shunt of a current loop, or a differential input.
func (r *remarker) returnOf(d *circuits.Device, toInput bool) {
	ret := d.Terminal("return")
	net := r.copper.Net(ret)
	back := func(p circuits.Point) bool {
		pin := r.pins[p]
		return r.isSink(p) || toInput && pin != nil && pin.Kind == circuits.PinInput
	}
	if _, ok := r.search(ret, d, back); ok {
		return
	}
	if ref, ok := r.pinOfKind(net, circuits.PinReference); ok {
		r.remark(d.Line, fmt.Sprintf("the return %s of %s goes to the reference pin %s, so the part has the same voltage on both sides and no way back for its current",
			ret, wordsOf(d), ref), "end that path at a return or ground pin")
		return
	}
	r.remark(d.Line, fmt.Sprintf("%s has no return path: from %s the wires reach no return pin, ground, stud or B-, so no current can flow back",
		wordsOf(d), ret), "add the missing run, or check the names in that path")
}

// isRheostat tells whether a potentiometer is used with two wires: a pulled-up input reads its wiper, one end leads
// back, and the other end may lead nowhere.
func (r *remarker) isRheostat(d *circuits.Device) bool {
	if d.Kind != circuits.Potentiometer {
		return false
	}
	if _, ok := r.search(d.Terminal("wiper"), d, r.pullsUp); !ok {
		return false
	}
	for _, role := range []string{"supply", "return"} {
		if _, ok := r.search(d.Terminal(role), d, r.isSink); ok {
			return true
		}
	}
	return false
}

// pullsUp tells whether a point is an input pin with a pull-up.
func (r *remarker) pullsUp(p circuits.Point) bool {
	pin := r.pins[p]
	return pin != nil && pin.Kind == circuits.PinInput && pin.PullUpOhms > 0
}

// supplyOf warns of a supply terminal that nothing feeds. The pull-up of an input may feed a two-wire part that draws
// a current: a proximity switch is read so.
func (r *remarker) supplyOf(d *circuits.Device) {
	supply := d.Terminal("supply")
	feeds := func(p circuits.Point) bool { return r.isFeed(p) || d.Kind == circuits.CurrentLoop && r.pullsUp(p) }
	if _, ok := r.search(supply, d, feeds); ok {
		return
	}
	r.remark(d.Line, fmt.Sprintf("%s has no supply: from %s the wires reach no reference, power or high-side pin and not B+",
		wordsOf(d), supply), "add the missing run, or check the names in that path")
}

// outputOf warns of an output that ends in the harness. Another part on the same copper (a gauge, a filter) is taken
// as a reader.
func (r *remarker) outputOf(d *circuits.Device) {
	if len(r.c.Modules) == 0 {
		return
	}
	output := d.Terminal("output")
	if d.Kind == circuits.Potentiometer {
		output = d.Terminal("wiper")
	} else if d.Kind == circuits.Zirconia {
		output = d.Terminal("signal")
	}
	for _, p := range r.copper.Net(output) {
		if r.isReader(p) || r.devices[p].Device != nil && p != output {
			return
		}
	}
	r.remark(d.Line, fmt.Sprintf("nobody reads %s: from %s the wires reach no module input", wordsOf(d), output),
		"end the signal's path at an input pin")
}

// isReader tells whether a point is a module pin that can take a signal.
func (r *remarker) isReader(p circuits.Point) bool {
	pin := r.pins[p]
	if pin == nil {
		return false
	}
	switch pin.Kind {
	case circuits.PinInput, circuits.PinLowSide, circuits.PinHighSide, circuits.PinCANHigh, circuits.PinCANLow, circuits.PinLIN:
		return true
	}
	return false
}

// twoWire warns of a two-wire sensor that no current can flow back from. It stands between a pull-up and a return, or
// between a feed and a pulled-down input.
func (r *remarker) twoWire(d *circuits.Device) {
	pullsDown := func(p circuits.Point) bool {
		pin := r.pins[p]
		return pin != nil && pin.Kind == circuits.PinInput && pin.PullDownOhms > 0
	}
	back := func(p circuits.Point) bool { return r.isSink(p) || pullsDown(p) }
	var reference circuits.Point
	for _, t := range d.Terminals {
		p := circuits.Point{Place: d.Name, Cavity: t.Cavity}
		if _, ok := r.search(p, d, back); ok {
			return
		}
		if ref, ok := r.pinOfKind(r.copper.Net(p), circuits.PinReference); ok {
			reference = ref
		}
	}
	if !reference.IsZero() {
		r.remark(d.Line, fmt.Sprintf("%s has no return path: one end goes to the reference pin %s and the other to no return, ground or pulled-down input, so no current can flow back",
			wordsOf(d), reference), "end the return's path at a return pin, or give the input a pull_down_ohms")
		return
	}
	r.remark(d.Line, fmt.Sprintf("%s has no return path: neither end reaches a return pin, ground, stud, B- or pulled-down input, so no current can flow back",
		wordsOf(d)), "add the missing run, or check the names in its paths")
}

// loadPath warns of a lamp, heater or coil that lacks its feed or its way to ground.
func (r *remarker) loadPath(d *circuits.Device) {
	var feeds, sinks [2]bool
	for i, t := range d.Terminals {
		end := circuits.Point{Place: d.Name, Cavity: t.Cavity}
		_, feeds[i] = r.search(end, d, func(p circuits.Point) bool { return r.isFeed(p) || r.isReader(p) })
		_, sinks[i] = r.search(end, d, func(p circuits.Point) bool { return r.isSink(p) || r.isReader(p) })
	}
	switch {
	case feeds[0] && sinks[1] || feeds[1] && sinks[0]:
	case !sinks[0] && !sinks[1]:
		r.remark(d.Line, fmt.Sprintf("the load %s has no way to ground: neither end reaches a stud, B-, a ground or a low-side pin, so it can carry no current", d.Name),
			"add the missing run, or check the names in its paths")
	default:
		r.remark(d.Line, fmt.Sprintf("the load %s has no feed: neither end reaches B+, a power or a high-side pin while the other reaches ground, so it can carry no current", d.Name),
			"add the missing run, or check the names in its paths")
	}
}

// strayLines warns of a signal run that no module reads, once a net. The outputs of sensors have their own remark.
func (r *remarker) strayLines() {
	if len(r.c.Modules) == 0 {
		return
	}
	done := map[int]bool{}
	for _, run := range r.c.Runs {
		if run.Role != "signal" || len(r.contradictions(run)) > 0 {
			continue
		}
		start := r.c.Wires[run.Wires[0]].From
		net, _ := r.copper.NetOf(start)
		if done[net] {
			continue
		}
		done[net] = true
		_, read := r.search(start, nil, func(p circuits.Point) bool {
			d := r.devices[p]
			return r.isReader(p) || d.Device != nil && (d.Kind == circuits.Load || d.role == "output" || d.role == "wiper" || d.role == "signal")
		})
		if !read {
			r.remark(run.Line, fmt.Sprintf("the signal run %q reaches no module input, so nothing reads it", run.Title()),
				"end it at an input pin, or give the run another role")
		}
	}
}
