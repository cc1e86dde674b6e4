package network

import (
	"math"

	"ohmtrail/circuits"
)

// leaning says how a parameter's rise by one spread changes the current of one branch at unchanged voltages:
// slope·(v_va − v_vb) + amps, from node la to node lb.
type leaning struct {
	parameter      int32
	branch         int32 // that it acts in; -1 for an output stage
	la, lb, va, vb int32
	slope, amps    float64
}

// leaner reckons leanings, for one goroutine at a time: it writes each parameter's part anew with the parameter a little lower and a little higher,
// by the very law that laid it out, and takes the difference. So no kind of part has derivatives of its own.
type leaner struct {
	n          *netlist
	parameters []Parameter
	stimuli    func(*circuits.Device) float64
	to         *netlist // to write in, before the states of the pieces
	out        values   // with them
	own        *circuits.Circuit

	low, now values // of one part, as it is and with the parameter lower
}

// nearby is the step of the differences, in spreads: its error is a ten-millionth where a spread is one e-fold.
const nearby = 1e-4

// newLeaner prepares the leanings of a netlist that is not written to meanwhile.
func newLeaner(n *netlist, parameters []Parameter, stimuli func(*circuits.Device) float64) *leaner {
	return &leaner{n: n, parameters: parameters, stimuli: stimuli, own: Machine(n.c, nil, nil), out: n.values.clone(),
		to: n.rewrite(n.values.clone(), append([]piece(nil), n.pieces...), append([]moduleSlots(nil), n.modules...), mark{})}
}

// list lists the leanings in some states of the pieces; v are the values there, with what a fault has changed. With the
// sources silenced (an ohms reading) nothing but the slopes counts. which lists the parameters wanted, nil for all.
func (l *leaner) list(v values, states []byte, which []int32, silenced bool) []leaning {
	var out []leaning
	if which == nil {
		for i := range l.parameters {
			out = l.lean(i, v, states, silenced, out)
		}
	}
	for _, i := range which {
		out = l.lean(int(i), v, states, silenced, out)
	}
	return out
}

// lean adds the leanings of one parameter.
func (l *leaner) lean(i int, v values, states []byte, silenced bool, out []leaning) []leaning {
	p := &l.parameters[i]
	if p.Kind == Converter || p.Kind == Threshold {
		return out
	}
	from, to := l.reach(p)
	nominal := l.nominal(p)
	below, above, step := l.around(p, nominal)
	part := func(value float64, keep *values) {
		l.write(p, value, from, to, states)
		if keep != nil {
			keep.branches = append(keep.branches[:0], l.out.branches[from.branch:to.branch]...)
			keep.gains = append(keep.gains[:0], l.out.gains[from.gain:to.gain]...)
		}
	}
	part(nominal, &l.now)
	part(below, &l.low)
	part(above, nil)
	for k := from.branch; k < to.branch; k++ {
		now, low, high := &l.now.branches[k-from.branch], &l.low.branches[k-from.branch], &l.out.branches[k]
		if !same(now.siemens, v.branches[k].siemens) || v.branches[k].siemens == 0 && v.branches[k].amps == 0 || jumps(low.siemens, high.siemens) {
			continue // a fault, the ammeter or a plug that is apart has taken it away, or it stands at a stop
		}
		x := leaning{parameter: int32(i), branch: int32(k), la: now.a, lb: now.b, va: now.a, vb: now.b, slope: (high.siemens - low.siemens) / step}
		if !silenced {
			x.amps = (high.amps - low.amps - (high.siemens*high.emf - low.siemens*low.emf)) / step
		}
		if x.slope != 0 || x.amps != 0 {
			out = append(out, x)
		}
	}
	for k := from.gain; k < to.gain; k++ {
		low, high := &l.low.gains[k-from.gain], &l.out.gains[k]
		if v.gains[k].siemens == 0 {
			continue
		}
		g := &v.gains[k]
		if slope := (high.siemens - low.siemens) / step; slope != 0 {
			out = append(out, leaning{parameter: int32(i), branch: -1, la: g.out, lb: g.ret, va: g.out, vb: g.ret, slope: slope})
		}
		if slope := (high.siemens*high.share - low.siemens*low.share) / step; slope != 0 {
			out = append(out, leaning{parameter: int32(i), branch: -1, la: g.out, lb: g.ret, va: g.sup, vb: g.ret, slope: -slope})
		}
	}
	p.set(l.own, nominal)
	return out
}

// same tells whether two conductances are one but for rounding.
func same(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(a) }

// jumps tells whether a conductance changes too abruptly for a line: a potentiometer at its stop.
func jumps(a, b float64) bool { return min(a, b) > 0 && max(a, b) > 4*min(a, b) }

// nominal is the parameter's value in the netlist.
func (l *leaner) nominal(p *Parameter) float64 {
	if p.Kind == Stimulus {
		return l.stimuli(&l.n.c.Devices[p.part.i])
	}
	return p.in(l.n.c)
}

// in is the parameter's value in a circuit.
func (p *Parameter) in(c *circuits.Circuit) float64 {
	switch at := p.part; at.kind {
	case batteryPart:
		return circuits.BatteryNumbers[p.number].Get(&c.Battery)
	case wirePart:
		return c.Wires[at.i].Ohms
	case contactPart:
		return c.Contacts[at.i].Ohms
	case studPart:
		return c.Studs[at.i].Ohms
	case modulePart:
		return c.Modules[at.i].SupplyOhms
	case pinPart:
		pin := &c.Modules[at.i].Pins[at.pin]
		return pin.Kind.Type().Numbers[p.number].Get(pin)
	}
	d := &c.Devices[p.part.i]
	return d.Kind.Type().Numbers[p.number].Get(d)
}

// around are the values a little below and above, and how many spreads lie between.
func (l *leaner) around(p *Parameter, nominal float64) (below, above, step float64) {
	if p.Kind != Stimulus {
		return p.Moved(nominal, -nearby), p.Moved(nominal, nearby), 2 * nearby
	}
	h := nearby * (p.High - p.Low)
	possible := l.n.c.Devices[p.part.i].Kind.Type().Stimulus.Possible
	below, above = max(nominal-h, possible.Low), min(nominal+h, possible.High)
	return below, above, above - below
}

// reach is from where to where the parameter's part stands in the netlist's lists.
func (l *leaner) reach(p *Parameter) (from, to mark) {
	n := l.n
	next := func(list []mark, i int, after mark) (mark, mark) {
		if i+1 < len(list) {
			return list[i], list[i+1]
		}
		return list[i], after
	}
	firstOf := func(lists ...[]mark) mark {
		for _, list := range lists {
			if len(list) > 0 {
				return list[0]
			}
		}
		return n.begins.end
	}
	g := &n.begins
	switch at := p.part; at.kind {
	case batteryPart:
		return mark{}, firstOf(g.wires, g.contacts, g.studs, g.modules, g.devices)
	case wirePart:
		return next(g.wires, at.i, firstOf(g.contacts, g.studs, g.modules, g.devices))
	case contactPart:
		return next(g.contacts, at.i, firstOf(g.studs, g.modules, g.devices))
	case studPart:
		return next(g.studs, at.i, firstOf(g.modules, g.devices))
	case modulePart:
		return next(g.modules, at.i, firstOf(g.devices))
	case pinPart:
		_, end := next(g.modules, at.i, firstOf(g.devices))
		return next(g.pins[at.i], at.pin, end)
	}
	return next(g.devices, p.part.i, g.end)
}

// write writes the parameter's part with a value, in some states of the pieces.
func (l *leaner) write(p *Parameter, value float64, from, to mark, states []byte) {
	n := l.to
	n.c, n.cursor = l.own, from
	set := l.stimuli
	if p.Kind == Stimulus {
		set = func(*circuits.Device) float64 { return value }
	} else {
		p.set(l.own, value)
	}
	var alone *moduleSlots
	switch at := p.part; at.kind {
	case batteryPart:
		n.battery()
	case wirePart:
		n.wire(&l.own.Wires[at.i], n.built)
	case contactPart:
		n.contact(&l.own.Contacts[at.i], n.built)
	case studPart:
		n.stud(&l.own.Studs[at.i], n.built)
	case modulePart:
		n.module(&l.own.Modules[at.i], n.built)
	case pinPart:
		alone = n.pinAlone(&l.own.Modules[at.i], at.i, at.pin)
	case devicePart:
		d := &l.own.Devices[at.i]
		n.device(d, set(d), n.built)
	}
	copy(l.out.branches[from.branch:to.branch], n.values.branches[from.branch:to.branch])
	copy(l.out.gains[from.gain:to.gain], n.values.gains[from.gain:to.gain])
	if alone != nil {
		alone.apply(n.key != circuits.KeyOff && (alone.piece < 0 || states[alone.piece] == working), l.out)
	}
	for k := from.piece; k < to.piece; k++ {
		n.applyPiece(k, states, l.out)
	}
}
