package network

import (
	"math"

	"ohmtrail/circuits"
)

// ParameterKind is what a parameter of a circuit is known to a bound of.
type ParameterKind uint8

// The kinds of parameter.
const (
	ReferenceVolts ParameterKind = iota // a regulator's voltage
	PullUpOhms                          // an input's pull-up
	PartOhms                            // a part's resistance
	OutputShare                         // a ratiometric sensor's accuracy
	Stimulus                            // what sets a sensor, in the stimulus's own unit
)

// Parameter is something about a circuit that its readings depend on and nobody knows exactly.
type Parameter struct {
	Kind   ParameterKind
	Place  circuits.Point // the pin, or the device
	Spread float64        // one standard deviation of a uniform bound, relative (of the supply for OutputShare); 1 for Stimulus
}

// Parameters lists what is known only to a tolerance, and every stimulus, in file order. Bounds are uniform, so one
// standard deviation is the bound/√3.
func Parameters(c *circuits.Circuit) []Parameter {
	var out []Parameter
	toleranced := func(kind ParameterKind, at circuits.Point, pct float64) {
		if pct > 0 {
			out = append(out, Parameter{kind, at, pct / 100 / math.Sqrt(3)})
		}
	}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			switch {
			case p.Kind == circuits.PinReference:
				toleranced(ReferenceVolts, p.Point(), p.TolerancePct)
			case p.Kind == circuits.PinInput && p.PullUpOhms > 0:
				toleranced(PullUpOhms, p.Point(), p.TolerancePct)
			}
		}
	}
	for _, d := range c.Devices {
		at := circuits.Point{Place: d.Name}
		toleranced(PartOhms, at, d.TolerancePct)
		toleranced(OutputShare, at, d.AccuracyPct)
		if d.Kind.HasStimulus() && !d.Kind.TwoState() {
			out = append(out, Parameter{Stimulus, at, 1})
		}
	}
	return out
}

// leaning says how a parameter's rise by one spread changes the current of one branch at unchanged voltages:
// slope·(v_va − v_vb) + amps, from node la to node lb.
type leaning struct {
	parameter      int32
	branch         int32 // that it acts in; -1 for none that a fault could take away
	la, lb, va, vb int32
	slope, amps    float64
}

// leanings lists them for one set of branch values and states. With the sources silenced (an ohms reading) nothing
// but the slopes counts.
// which lists the parameters wanted, nil for all.
func (s *setting) leanings(v values, states []byte, which []int32, silenced bool) []leaning {
	var out []leaning
	n := s.net
	resistive := func(parameter int, branchIndex int, relative float64) {
		if branchIndex < 0 {
			return // a fault built in has taken it away
		}
		b := &v.branches[branchIndex]
		if b.siemens == 0 || relative == 0 {
			return
		}
		l := leaning{parameter: int32(parameter), branch: int32(branchIndex), la: b.a, lb: b.b, va: b.a, vb: b.b, slope: -b.siemens * relative}
		if !silenced {
			l.amps = b.siemens * relative * b.emf
		}
		out = append(out, l)
	}
	source := func(parameter int, b *branch, amps float64) {
		if amps != 0 && !silenced {
			out = append(out, leaning{parameter: int32(parameter), branch: -1, la: b.a, lb: b.b, va: ground, vb: ground, amps: amps})
		}
	}
	output := func(parameter int, gainIndex int, dShare float64) {
		if g := &v.gains[gainIndex]; g.siemens != 0 && !silenced {
			out = append(out, leaning{parameter: int32(parameter), branch: -1, la: g.out, lb: g.ret, va: g.sup, vb: g.ret, slope: -g.siemens * dShare})
		}
	}
	lean := func(i int) {
		p := s.parameters[i]
		switch p.Kind {
		case ReferenceVolts:
			slot := n.pin[n.c.Pin(p.Place).Inside()]
			b := &v.branches[slot.source]
			source(i, b, -b.siemens*b.emf*p.Spread)
		case PullUpOhms:
			resistive(i, n.pin[n.c.Pin(p.Place).Inside()].pullUp, p.Spread)
		case OutputShare:
			output(i, n.devices[p.Place.Place].gain, p.Spread)
		case PartOhms:
			for _, b := range n.trackBranches(p.Place.Place) {
				resistive(i, b, p.Spread)
			}
		case Stimulus:
			s.stimulusLeanings(i, v, states, resistive, source, output)
		}
	}
	if which == nil {
		for i := range s.parameters {
			lean(i)
		}
	}
	for _, i := range which {
		lean(int(i))
	}
	return out
}

// trackBranches are the branches that a part's own resistance makes up.
func (n *netlist) trackBranches(name string) []int {
	s := n.devices[name]
	if n.c.Device(name).Kind == circuits.Potentiometer {
		return s.branches[:2]
	}
	return s.branches[:1]
}

func (s *setting) stimulusLeanings(i int, v values, states []byte, resistive func(int, int, float64), source func(int, *branch, float64), output func(int, int, float64)) {
	n := s.net
	d := n.c.Device(s.parameters[i].Place.Place)
	slots := n.devices[d.Name]
	set := s.stimuli(d)
	switch d.Kind {
	case circuits.Thermistor, circuits.RTD:
		const h = 0.01 // °C
		resistive(i, slots.branches[0], math.Log(d.OhmsAt(set+h)/d.OhmsAt(set-h))/(2*h))
	case circuits.Potentiometer:
		if set < 1 {
			resistive(i, slots.branches[0], -1/(1-set))
		}
		if set > 0 {
			resistive(i, slots.branches[1], 1/set)
		}
	case circuits.Ratiometric:
		output(i, slots.gain, d.High-d.Low)
	case circuits.Zirconia:
		b := &v.branches[slots.branches[0]]
		source(i, b, -b.siemens)
	case circuits.CurrentLoop:
		b := &v.branches[slots.branches[0]]
		if states[slots.piece] == working {
			source(i, b, 0.001)
		} else if set != 0 {
			resistive(i, slots.branches[0], -1/set)
		}
	}
}
