package network

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// ParameterKind says of which sort a parameter is.
type ParameterKind uint8

// The kinds of parameter.
const (
	Inside    ParameterKind = iota // a number inside a module or a part, the same make in every machine of a kind
	Harness                        // a wire's, contact's, stud's or the battery's: each machine has its own
	Converter                      // the error of a module's converter, which scan values show and nothing else
	Threshold                      // where a part changes its law or a code is set: no reading leans on it by a line
	Stimulus                       // what sets a sensor, in the stimulus's own unit
)

// Parameter is something about a circuit that its readings depend on and nobody knows exactly.
type Parameter struct {
	Kind    ParameterKind
	Place   circuits.Point    // the part, pin, contact or stud that it is of; B+ for the battery; zero for a wire
	Wire    circuits.Location // the wire that it is of
	Key     string            // what a file calls the number; "set" for a stimulus
	Nominal float64
	models.Width

	part   part
	number int // in the table of the part's numbers
}

// Name is the parameter's place and key, as in "ECU:A12 pull_up_ohms".
func (p Parameter) Name() string {
	if p.Place.Place == "" {
		return p.Wire.String() + " " + p.Key
	}
	return p.Place.String() + " " + p.Key
}

// Spread is what Prediction.Sens counts in: a standard deviation, in the number's own unit or in e-folds of it where it
// is spread by the logarithm; 1 for a stimulus, whose widths jobs know.
func (p Parameter) Spread() float64 {
	if p.Kind == Stimulus {
		return 1
	}
	return p.Deviation()
}

// Offset is how many standard deviations the mean lies above the nominal value.
func (p Parameter) Offset() float64 { return p.Width.Offset(p.Nominal) }

// part is where in a circuit's lists a parameter's part stands.
type part struct {
	kind   partKind
	i, pin int
}

type partKind uint8

const (
	batteryPart partKind = iota
	wirePart
	contactPart
	studPart
	modulePart
	pinPart
	devicePart
)

// Parameters lists all that has a width and every stimulus, in file order: the battery, modules, devices, then the
// harness.
func Parameters(c *circuits.Circuit) []Parameter {
	var out []Parameter
	listed := func(kind ParameterKind, at circuits.Point, key string, nominal float64, w models.Width, of part, number int) {
		if !w.Exact() {
			out = append(out, Parameter{Kind: kind, Place: at, Key: key, Nominal: nominal, Width: w, part: of, number: number})
		}
	}
	for i, n := range circuits.BatteryNumbers {
		listed(Harness, circuits.BPositive, n.Key, n.Get(&c.Battery), c.Battery.Widths[i], part{kind: batteryPart}, i)
	}
	for mi := range c.Modules {
		m := &c.Modules[mi]
		powered := false
		for k := range m.Pins {
			p := &m.Pins[k]
			powered = powered || p.Kind == circuits.PinPower
			for i, n := range p.Kind.Type().Numbers {
				if i < len(p.Widths) {
					listed(pinParameter(n.Key), p.Point(), n.Key, n.Get(p), p.Widths[i], part{kind: pinPart, i: mi, pin: k}, i)
				}
			}
		}
		if powered {
			listed(Inside, circuits.Point{Place: m.Name}, circuits.ModuleNumbers[0].Key, m.SupplyOhms, m.Width, part{kind: modulePart, i: mi}, 0)
		}
	}
	for di := range c.Devices {
		d := &c.Devices[di]
		at := circuits.Point{Place: d.Name}
		for i, n := range d.Kind.Type().Numbers {
			if i < len(d.Widths) {
				listed(deviceParameter(n.Key), at, n.Key, n.Get(d), d.Widths[i], part{kind: devicePart, i: di}, i)
			}
		}
		if d.Kind.HasStimulus() && !d.Kind.TwoState() {
			listed(Stimulus, at, "set", d.Nominal(), models.Evenly(d.Range[0], d.Range[1], false), part{kind: devicePart, i: di}, -1)
		}
	}
	for i := range c.Wires {
		if w := &c.Wires[i]; !w.Width.Exact() {
			out = append(out, Parameter{Kind: Harness, Wire: w.Location, Key: "ohms", Nominal: w.Ohms, Width: w.Width, part: part{kind: wirePart, i: i}})
		}
	}
	for i := range c.Contacts {
		k := &c.Contacts[i]
		listed(Harness, k.Location.From, circuits.ContactNumbers[0].Key, k.Ohms, k.Width, part{kind: contactPart, i: i}, 0)
	}
	for i := range c.Studs {
		s := &c.Studs[i]
		listed(Harness, circuits.Point{Place: s.Name}, circuits.StudNumbers[0].Key, s.Ohms, s.Width, part{kind: studPart, i: i}, 0)
	}
	return out
}

func pinParameter(key string) ParameterKind {
	switch key {
	case "scan_offset_volts", "scan_gain_pct":
		return Converter
	case "below", "above":
		return Threshold
	}
	return Inside
}

func deviceParameter(key string) ParameterKind {
	if key == "min_supply_volts" {
		return Threshold
	}
	return Inside
}

// Drawn tells whether a diagram itself says that the number is not exact: a tolerance in per cent, or a stimulus. Everything else
// has a width because no diagram shows the inside of a module or the age of a harness.
func (p Parameter) Drawn() bool {
	if p.Kind == Stimulus {
		return true
	}
	if p.Kind != Inside {
		return false
	}
	switch p.part.kind {
	case pinPart:
		return p.Key == "volts" || p.Key == "pull_up_ohms"
	case devicePart:
		return p.Key == "ohms" || p.Key == "ohms_25" || p.Key == "output_pct"
	}
	return false
}

// Settings are the numbers of one machine, by parameter; NaN, or none at all, is the nominal value.
type Settings []float64

// Draw is a machine drawn evenly from the widths; uniform gives shares between 0 and 1. Stimuli are left alone.
func Draw(parameters []Parameter, uniform func() float64) Settings {
	out := make(Settings, len(parameters))
	for i, p := range parameters {
		if out[i] = math.NaN(); p.Kind != Stimulus {
			out[i] = p.At(uniform())
		}
	}
	return out
}

// Machine is the circuit of a machine with these numbers: all that asks a circuit for numbers has its own from it.
func Machine(c *circuits.Circuit, parameters []Parameter, s Settings) *circuits.Circuit {
	own := *c
	own.Wires = append([]circuits.Wire(nil), c.Wires...)
	own.Contacts = append([]circuits.Contact(nil), c.Contacts...)
	own.Studs = append([]circuits.Stud(nil), c.Studs...)
	own.Devices = append([]circuits.Device(nil), c.Devices...)
	own.Modules = append([]circuits.Module(nil), c.Modules...)
	for i := range own.Modules {
		m := &own.Modules[i]
		m.Pins = append([]circuits.Pin(nil), m.Pins...)
		for k := range m.Pins {
			m.Pins[k].Below, m.Pins[k].Above = ownLimit(m.Pins[k].Below), ownLimit(m.Pins[k].Above)
		}
	}
	for i, v := range s {
		if !math.IsNaN(v) {
			parameters[i].set(&own, v)
		}
	}
	return &own
}

func ownLimit(l *circuits.Limit) *circuits.Limit {
	if l == nil {
		return nil
	}
	own := *l
	return &own
}

// set gives the parameter a value in a machine's own circuit. A stimulus is no number of the circuit.
func (p *Parameter) set(own *circuits.Circuit, v float64) {
	if p.Kind == Stimulus {
		return
	}
	switch at := p.part; at.kind {
	case batteryPart:
		circuits.BatteryNumbers[p.number].Set(&own.Battery, v)
	case wirePart:
		own.Wires[at.i].Ohms = v
	case contactPart:
		own.Contacts[at.i].Ohms = v
	case studPart:
		own.Studs[at.i].Ohms = v
	case modulePart:
		own.Modules[at.i].SupplyOhms = v
	case pinPart:
		pin := &own.Modules[at.i].Pins[at.pin]
		pin.Kind.Type().Numbers[p.number].Set(pin, v)
	case devicePart:
		d := &own.Devices[at.i]
		d.Kind.Type().Numbers[p.number].Set(d, v)
	}
}

// convert adds what a module's converter makes of the raw reading.
func (p *Prediction) convert(pin *circuits.Pin, raw float64, parameters []Parameter, converters map[circuits.Point][]int) {
	for _, i := range converters[pin.Point()] {
		change := parameters[i].Spread()
		if parameters[i].Key == "scan_gain_pct" {
			change *= (raw - pin.RangeVolts[0]) / 100
		}
		p.Leans = append(p.Leans, Lean{int32(i), change})
	}
}
