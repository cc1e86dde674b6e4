package network

import (
	"math"
	"slices"

	"ohmtrail/circuits"
)

// Survey looks at one fault through many scenes at once and tells which may feel it, for one goroutine at a time. In
// each setting the fault is placed once, whatever is read there: what it draws at its place, times what a current there
// weighs in a reading of the sound circuit, is what it changes of that reading.
type Survey struct {
	scenes []*Scene
	sets   []surveyed
	bounds []float64
}

// surveyed is a setting with the scenes in it.
type surveyed struct {
	bare   *Scene // without leads
	scenes []int
	k      Case
}

// NewSurvey groups scenes by what they share.
func NewSurvey(scenes []*Scene) *Survey {
	s := &Survey{scenes: scenes, bounds: make([]float64, len(scenes))}
	at := map[*setting]int{}
	for i, x := range scenes {
		k, ok := at[x.set]
		if !ok {
			k = len(s.sets)
			at[x.set] = k
			s.sets = append(s.sets, surveyed{bare: &Scene{frame: x.frame.without(), set: x.set}})
		}
		s.sets[k].scenes = append(s.sets[k].scenes, i)
	}
	return s
}

// without is the frame with both leads on B-, where they see and load nothing.
func (f *Frame) without() *Frame {
	return &Frame{layout: f.layout, topology: f.topology, reading: circuits.Reading{At: f.reading.At, Quantity: f.reading.Quantity, State: f.reading.State},
		meter: f.meter, probe: probe{plus: ground, minus: ground, module: -1}}
}

// meterAmps is more than any voltmeter draws, meterVolts more than it can move a node by.
const (
	meterAmps  = 5e-6
	meterVolts = 60
)

// Bounds gives for each scene a bound on how far a fault of that many ohms moves the reading; +Inf where only asking
// tells (Case.Value): the fault parts the circuit at the leads, or switches the module that reports. The slice is used
// again by the next call.
func (s *Survey) Bounds(f circuits.Single, ohms float64) []float64 {
	for i := range s.sets {
		x := &s.sets[i]
		x.k.Place(x.bare, f)
		d := x.bare.set.p.desk()
		m, _ := x.k.settle(d, ohms, 0)
		for _, at := range x.scenes {
			s.bounds[at] = math.Inf(1)
			if m != nil && len(s.scenes[at].moved) == 0 && s.scenes[at].frame.reading.Quantity != circuits.Ohms && x.bare.set.steady {
				s.bounds[at] = s.scenes[at].bound(&x.k, d, m, ohms)
			}
		}
		x.bare.set.p.giveBack(d)
	}
	return s.bounds
}

// weigh finds the weights of the sound circuit's nodes in the reading, the meter in place, once.
func (s *Scene) weigh() []float64 {
	s.solve()
	s.weighed.Do(func() {
		d := s.set.p.desk()
		defer s.set.p.giveBack(d)
		c := Case{}
		c.Place(s, circuits.Single{})
		meter, scale := 0.0, 1.0
		switch s.frame.reading.Quantity {
		case circuits.Volts:
			meter = 1 / s.frame.meter.InputOhms
		case circuits.Amps:
			scale = s.frame.probe.sign / circuits.AmmeterOhms
		}
		m, _ := c.settle(d, 0, meter)
		s.weights = make([]float64, len(s.set.p.node))
		if m == nil || m.sound != s.set.sound[len(s.set.sound)-1] || len(m.flips) > 0 {
			for i := range s.weights {
				s.weights[i] = math.NaN()
			}
			return
		}
		d.few.weigh(c.plus, c.minus)
		d.weigh()
		for node := range s.weights {
			s.weights[node] = d.weightOf(int32(node)) * scale
		}
	})
	return s.weights
}

// bound is that of one scene, with the fault settled on the desk.
func (s *Scene) bound(c *Case, d *desk, m *meeting, ohms float64) float64 {
	weights := s.weigh()
	if p := s.frame.probe; p.module >= 0 {
		if piece := s.set.net.modules[p.module].piece; piece >= 0 && c.states[piece] != working {
			return math.Inf(1)
		}
	}
	last := s.set.sound[len(s.set.sound)-1]
	weightOf := func(row int8) float64 {
		if row < 0 || int(row) >= len(c.kept) {
			return 0
		}
		return weights[s.set.p.node[c.kept[row]]]
	}
	if m.sound != last {
		return math.Inf(1)
	}
	change, slack := 0.0, 0.0
	tie := func(a, b int8, amps float64) {
		if a == b {
			return
		}
		weight := weightOf(a) - weightOf(b)
		if int(a) >= len(c.kept) { // a middle is no node of the sound circuit
			weight = -weightOf(b)
		} else if int(b) >= len(c.kept) {
			weight = weightOf(a)
		}
		change -= weight * amps
		slack += math.Abs(weight) * meterAmps
	}
	for _, t := range c.ties {
		tie(t.a, t.b, c.ampsThrough(t, d, m))
	}
	if c.conductance(ohms) != 0 {
		tie(c.fault.a, c.fault.b, c.faultAmps(d, m))
	}
	for _, i := range c.edit.removed {
		b := &last.values.branches[i]
		share := b.siemens * (at(weights, b.a) - at(weights, b.b))
		if d.island(b.a) >= 0 || d.island(b.b) >= 0 {
			if math.Abs(share) > 1e-9 {
				return math.Inf(1) // a lead is in the part that was cut off
			}
			continue
		}
		change += share * (d.volt(b.a) - d.volt(b.b))
		slack += math.Abs(share) * meterVolts
	}
	floats := func(a, b int32) bool { return d.island(a) >= 0 || d.island(b) >= 0 }
	for k, i := range m.patch.branches {
		if c.takes(i) {
			continue
		}
		was, is := &last.values.branches[i], &m.patch.to[k]
		weight := at(weights, is.a) - at(weights, is.b)
		if floats(is.a, is.b) && math.Abs(weight)*(was.siemens+is.siemens) > 1e-9 {
			return math.Inf(1)
		}
		volts := d.volt(is.a) - d.volt(is.b)
		change -= weight * (is.siemens*(volts-is.emf) + is.amps - was.siemens*(volts-was.emf) - was.amps)
		slack += math.Abs(weight) * (meterAmps + max(was.siemens-is.siemens, 0)*meterVolts)
	}
	for k, i := range m.patch.gains {
		was, is := &last.values.gains[i], &m.patch.toGains[k]
		weight := at(weights, is.out) - at(weights, is.ret)
		if floats(is.out, is.sup) && math.Abs(weight)*(was.siemens+is.siemens) > 1e-9 {
			return math.Inf(1)
		}
		out, ret, sup := d.volt(is.out), d.volt(is.ret), d.volt(is.sup)
		change -= weight * (is.siemens*(out-ret-is.share*(sup-ret)) - was.siemens*(out-ret-was.share*(sup-ret)))
		slack += math.Abs(weight) * (meterAmps + max(was.siemens-is.siemens, 0)*meterVolts)
	}
	if math.IsNaN(change) {
		return math.Inf(1)
	}
	return math.Abs(change) + slack
}

// takes tells whether the fault takes a branch away.
func (c *Case) takes(branch int32) bool { return slices.Contains(c.edit.removed, branch) }

// ampsThrough is the current of a tie, from a to b.
func (c *Case) ampsThrough(t tie, d *desk, m *meeting) float64 {
	return t.siemens * (d.few.volt(t.a) + c.lift(m, t.a) - d.few.volt(t.b) - c.lift(m, t.b))
}

// faultAmps is the current of the fault's ohms, from a to b: what all else brings to its end, as the voltage across a
// dead short is lost in rounding.
func (c *Case) faultAmps(d *desk, m *meeting) float64 {
	end, sign := c.fault.a, 1.0
	if end < 0 {
		end, sign = c.fault.b, -1
	}
	amps := 0.0
	if n := len(c.kept); int(end) < n {
		row := m.r.g[int(end)*n : (int(end)+1)*n]
		v := d.few.volts[end]
		amps = m.r.in[end] - row[end]*v
		for j, g := range row {
			if j != int(end) {
				amps += g * (d.few.volts[j] - v)
			}
		}
	}
	for _, t := range c.ties {
		switch end {
		case t.a:
			amps -= c.ampsThrough(t, d, m)
		case t.b:
			amps += c.ampsThrough(t, d, m)
		}
	}
	return sign * amps
}
