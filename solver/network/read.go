package network

import (
	"math"

	"ohmtrail/circuits"
)

// Status says whether a reading has a value.
type Status uint8

// What a reading can come to.
const (
	Fine      Status = iota
	OverRange        // ohms beyond the meter's range: OL
	NoValue          // nothing to read; Outcome.Why says why
)

// Outcome is what the meter or the module would show, free of the meter's error.
type Outcome struct {
	Value  float64
	Status Status
	Why    Reason // of NoValue
	Blown  string // the fuses that the fault or the state makes blow, with commas between; Read says it
}

// ReasonKind says what keeps a reading from having a value.
type ReasonKind uint8

// The reasons of NoValue.
const (
	NoReason  ReasonKind = iota // it has a value
	Floating                    // nothing ties the points to B-
	Unpowered                   // the module that should report it has no power
	Unsteady                    // the circuit keeps switching
	Live                        // ohms on a live circuit: Volts stand between the leads
	KeyOn                       // ohms with the key on, which count for nothing whatever they show
)

// Reason is why a reading has no value. The zero value is none.
type Reason struct {
	Kind  ReasonKind
	Volts float64 // of Live, as far as they are said, so that reasons may be compared
}

// refused is the reason of an ohms reading with that many volts between its leads.
func refused(volts float64) Reason {
	step := 0.01
	if math.Abs(volts) < 0.9995 {
		step = 0.001
	}
	return Reason{Kind: Live, Volts: math.Round(volts/step) * step}
}

// liveVolts is the voltage between the leads from which on an ohms reading is refused.
const liveVolts = 0.1

// ohmmeterSiemens is the inner conductance of the ohmmeter's source as reckoned with: the reading is the resistance
// itself, whatever this is.
const ohmmeterSiemens = 1e-6

// Read says what a reading of the circuit shows with a fault in it. stimuli are by device; a device that is not in it
// has its nominal stimulus. Where a fault takes ohms they must be given.
func Read(c *circuits.Circuit, m circuits.Meter, r circuits.Reading, stimuli map[string]float64, f circuits.Fault) Outcome {
	b := building{state: r.State, stimuli: nominal(stimuli), fault: faultsOf(f)}
	if r.Quantity == circuits.Amps {
		b.ammeter = r.At
	}
	n := build(c, b)
	p := n.probe(r)
	switch r.Quantity {
	case circuits.Ohms:
		return n.readOhms(m, p)
	case circuits.Volts:
		meter := n.resistor(p.plus, p.minus, m.InputOhms)
		s, steady := n.solve(newPattern(n))
		if !steady {
			return Outcome{Status: NoValue, Why: Reason{Kind: Unsteady}}
		}
		out := Outcome{Value: s.volt(p.plus) - s.volt(p.minus), Blown: n.blown(s.states)}
		if s.f.at(p.plus) >= 0 && n.onlyMeterJoins(s, meter, p) {
			out.Value, out.Status, out.Why = 0, NoValue, Reason{Kind: Floating}
		}
		return out
	}
	s, steady := n.solve(newPattern(n))
	if !steady {
		return Outcome{Status: NoValue, Why: Reason{Kind: Unsteady}}
	}
	out := Outcome{Blown: n.blown(s.states)}
	switch {
	case r.Quantity == circuits.Amps:
		out.Value = p.sign * (s.volt(p.plus) - s.volt(p.minus)) / circuits.AmmeterOhms
	case !n.reports(p, s.states):
		out.Status, out.Why = NoValue, Reason{Kind: Unpowered}
	default:
		out.Value = Report(*p.pin, s.volt(p.plus)-s.volt(p.minus))
	}
	return out
}

func nominal(stimuli map[string]float64) func(*circuits.Device) float64 {
	return func(d *circuits.Device) float64 {
		if v, ok := stimuli[d.Name]; ok {
			return v
		}
		return d.Nominal()
	}
}

// Report is the scan value of an input pin at a voltage.
func Report(p circuits.Pin, volts float64) float64 {
	return Shown(p, p.Converted(volts))
}

// Shown is a scan value as the module's converter gives it, its own error included: clipped to its range, on the nearest
// step.
func Shown(p circuits.Pin, volts float64) float64 {
	low, high := p.RangeVolts[0], p.RangeVolts[1]
	step := p.StepVolts()
	return low + math.Round((min(max(volts, low), high)-low)/step)*step
}

// probe is where a reading takes its value from.
type probe struct {
	plus, minus int32
	sign        float64       // amps: +1 where path order is plus to minus
	pin         *circuits.Pin // scan value
	module      int
}

func (n *netlist) probe(r circuits.Reading) probe {
	p := probe{sign: 1, module: -1}
	switch r.Quantity {
	case circuits.ScanVolts:
		p.pin = n.c.Pin(r.Point())
		s := n.pin[p.pin.Inside()]
		p.plus, p.minus, p.module = s.inner, n.modules[s.module].ground, s.module
	case circuits.Amps:
		b := n.values.branches[n.series[r.At]]
		p.plus, p.minus = b.a, b.b
		if k := n.c.Contact(r.At); k != nil && k.AgainstPath {
			p.sign = -1
		}
	default:
		p.plus, p.minus = n.nodeOf(r.Point()), n.nodeOf(r.To)
	}
	return p
}

// reports tells whether the module of a scan value works.
func (n *netlist) reports(p probe, states []byte) bool {
	if n.key == circuits.KeyOff {
		return false
	}
	piece := n.modules[p.module].piece
	return piece < 0 || states[piece] == working
}

// onlyMeterJoins tells whether nothing but the meter joins its two leads: then the piece that they are on, which has
// no path to B-, has no voltage between them that means anything.
func (n *netlist) onlyMeterJoins(s *solution, meter int, p probe) bool {
	v := s.values.clone()
	v.branches[meter].siemens = 0
	f := newFactors(s.f.p)
	f.factor(v)
	return f.at(p.plus) != f.at(p.minus)
}

// readOhms measures the incremental resistance between the leads at the operating point that the circuit has with a
// voltmeter on it: a technician looks for voltage first, and a floating wire shows none.
func (n *netlist) readOhms(m circuits.Meter, p probe) Outcome {
	meter := n.resistor(p.plus, p.minus, m.InputOhms)
	s, steady := n.solve(newPattern(n))
	if !steady {
		return Outcome{Status: NoValue, Why: Reason{Kind: Unsteady}}
	}
	out := Outcome{Blown: n.blown(s.states)}
	if live := s.volt(p.plus) - s.volt(p.minus); math.Abs(live) > liveVolts {
		out.Status, out.Why = NoValue, refused(live)
		return out
	}
	v := s.values
	silence(v)
	v.branches[meter].siemens, v.branches[meter].emf = ohmmeterSiemens, 1
	s.f.factor(v)
	ohms := ohmsOutcome(m, s.volt(p.plus)-s.volt(p.minus))
	ohms.Blown = out.Blown
	return ohms
}

// silence takes all sources away and leaves the conductances.
func silence(v values) {
	for i := range v.branches {
		v.branches[i].emf, v.branches[i].amps = 0, 0
	}
}

// ohmsOutcome turns the voltage that a 1 V source behind the ohmmeter's inner conductance leaves on the leads into a
// resistance.
func ohmsOutcome(m circuits.Meter, x float64) Outcome {
	ohms := math.Inf(1)
	if x < 1-1e-12 {
		ohms = x / (1 - x) / ohmmeterSiemens
	}
	if ohms > m.MaxOhms {
		return Outcome{Value: math.Inf(1), Status: OverRange}
	}
	return Outcome{Value: ohms}
}

// Voltages are the voltages against B- of every point of the circuit that has a path to B-, at both sides of every
// contact. steady is false where the circuit keeps switching.
func Voltages(c *circuits.Circuit, st circuits.State, stimuli map[string]float64, f circuits.Fault) (volts map[circuits.Point]float64, steady bool) {
	n := build(c, building{state: st, stimuli: nominal(stimuli), fault: faultsOf(f)})
	s, steady := n.solve(newPattern(n))
	if !steady {
		return nil, false
	}
	volts = map[circuits.Point]float64{circuits.BNegative: 0}
	for i, p := range n.points {
		if _, err := c.Resolve(p); err == nil && s.f.at(int32(i)) < 0 {
			volts[p] = s.f.volts[i]
		}
	}
	return volts, true
}
