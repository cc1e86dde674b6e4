package trial

import (
	"math"
	"math/rand/v2"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// Vehicle is a machine with its own tolerances, stimuli and a hidden fault. It answers readings as a real one would,
// through the same meter: for trials of the reasoning and for exercises.
type Vehicle struct {
	Fault   circuits.Fault // with ohms
	Stimuli map[string]float64
	Extra   Extra   // what no file knows
	gain    float64 // of the meter: 1 of one that is right
	circuit *circuits.Circuit
	random  *rand.Rand
	misread float64
	Missed  int // readings so far that were not what they said
}

// NewVehicle draws a machine: every number evenly from its width, every stimulus evenly from its range. misread is
// the chance of a reading that is not what it says.
func NewVehicle(c *circuits.Circuit, f circuits.Fault, misread float64, random *rand.Rand) *Vehicle {
	return newVehicle(c, f, misread, random, func(network.Parameter) bool { return true })
}

// NewVehicleAsDrawn is NewVehicle for a machine that is built from its diagram: only what the diagram gives a tolerance is off.
func NewVehicleAsDrawn(c *circuits.Circuit, f circuits.Fault, misread float64, random *rand.Rand) *Vehicle {
	return newVehicle(c, f, misread, random, network.Parameter.Drawn)
}

func newVehicle(c *circuits.Circuit, f circuits.Fault, misread float64, random *rand.Rand, varies func(network.Parameter) bool) *Vehicle {
	v := &Vehicle{Fault: f, Stimuli: map[string]float64{}, gain: 1, random: random, misread: misread}
	parameters := network.Parameters(c)
	own := network.Draw(parameters, random.Float64)
	for q, p := range parameters {
		if !varies(p) {
			own[q] = math.NaN()
		}
	}
	v.circuit = network.Machine(c, parameters, own)
	for i := range v.circuit.Devices {
		d := &v.circuit.Devices[i]
		if !d.Kind.HasStimulus() {
			continue
		}
		switch {
		case d.HasSet:
			v.Stimuli[d.Name] = d.Set
		case d.Kind.TwoState():
			v.Stimuli[d.Name] = float64(random.IntN(2))
		default:
			v.Stimuli[d.Name] = d.Range[0] + random.Float64()*(d.Range[1]-d.Range[0])
		}
	}
	return v
}

// Own is the machine's circuit with its own tolerances, which no drawing shows.
func (v *Vehicle) Own() *circuits.Circuit { return v.circuit }

// Exact is what a reading comes to on this machine, free of the meter's error.
func (v *Vehicle) Exact(m circuits.Meter, r circuits.Reading) network.Outcome {
	return network.Read(v.circuit, m, r, v.At(r), v.Fault)
}

// Answer is what the meter or the scan tool shows at a reading: the reading with its value. ok is false where there is
// nothing to read (a dead module, a live circuit under an ohmmeter).
func (v *Vehicle) Answer(m circuits.Meter, r circuits.Reading) (circuits.Reading, bool) {
	at := v.At(r)
	if v.Extra == MovingStimulus {
		at = v.moved(at)
	}
	out := network.Read(v.circuit, m, r, at, v.Fault)
	if r.Quantity != circuits.ScanVolts {
		out.Value *= v.gain
	}
	missed := v.random.Float64() < v.misread
	if missed {
		v.Missed++
	}
	switch {
	case missed && r.Quantity == circuits.Ohms:
		out.Status = network.OverRange
	case missed && (out.Status == network.Fine || out.Why.Kind == network.Floating):
		out.Value *= v.random.Float64()
	}
	return Displayed(m, r, out, v.random)
}

// Displayed is what the meter makes of an outcome: its error uniform within its bounds, rounded to what a display shows;
// a floating wire reads nothing. ok is false where there is nothing to show.
func Displayed(m circuits.Meter, r circuits.Reading, out network.Outcome, random *rand.Rand) (read circuits.Reading, ok bool) {
	r.Taken = true
	switch {
	case out.Status == network.OverRange:
		r.OL, r.Value, r.High = true, m.MaxOhms, m.MaxOhms
		return r, true
	case out.Status == network.NoValue && out.Why.Kind == network.Floating:
		out.Value = 0
	case out.Status == network.NoValue:
		return r, false
	}
	value := out.Value
	if r.Quantity != circuits.ScanVolts {
		bound := m.Accuracy(r.Quantity).Bound(value)
		value += (2*random.Float64() - 1) * bound
		value = shown(value, r.Quantity)
	}
	if r.Quantity == circuits.Ohms {
		value = math.Max(value, 0)
	}
	r.Value, r.High = value, value
	return r, true
}

// Codes are the codes that the machine has set: with the key on, everything plugged in, and its stimuli as they are or
// at either end of their ranges.
func (v *Vehicle) Codes() []string {
	var out []string
	sets := []map[string]float64{v.At(circuits.Reading{})}
	for _, end := range []int{0, 1} {
		set := v.At(circuits.Reading{})
		for i := range v.circuit.Devices {
			if d := &v.circuit.Devices[i]; d.Kind.HasStimulus() && !d.HasSet && !hypothesis.ReadsWrong(v.Fault, d.Name) {
				set[d.Name] = d.Range[end]
			}
		}
		sets = append(sets, set)
	}
	for _, m := range v.circuit.Modules {
		for _, p := range m.Pins {
			for _, l := range []*circuits.Limit{p.Below, p.Above} {
				if l == nil || l.Code == "" {
					continue
				}
				r := circuits.Reading{At: circuits.PointLocation(p.Point()), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
				for _, set := range sets {
					got := network.Read(v.circuit, circuits.DefaultMeter(), r, set, v.Fault)
					if got.Status == network.Fine && (l == p.Below && got.Value < l.Volts || l == p.Above && got.Value > l.Volts) {
						out = append(out, l.Code)
						break
					}
				}
			}
		}
	}
	return out
}

// At are the stimuli at a reading: the machine's, unless the reading sets one or the fault makes a sensor read wrong.
func (v *Vehicle) At(r circuits.Reading) map[string]float64 {
	out := map[string]float64{}
	for name, set := range v.Stimuli {
		out[name] = set
	}
	for _, s := range r.State.Set {
		out[s.Device] = s.Set
	}
	for _, f := range []circuits.Single{v.Fault.First, v.Fault.Second} {
		if f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong {
			out[f.At.From.Place] = f.Shows
		}
	}
	return out
}

// shown rounds a value to what a hand meter's display shows: three decimals of a volt or ampere, four digits of ohms.
func shown(value float64, q circuits.Quantity) float64 {
	if q == circuits.Ohms && value > 0 {
		scale := math.Pow(10, math.Floor(math.Log10(value))-3)
		return math.Round(value/scale) * scale
	}
	return math.Round(value*1000) / 1000
}
