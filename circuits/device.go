package circuits

import "ohmtrail/models"

// DeviceKind is what a part is.
type DeviceKind string

// The kinds of device.
const (
	Resistor      DeviceKind = "resistor"
	Thermistor    DeviceKind = "thermistor"
	RTD           DeviceKind = "rtd"
	Potentiometer DeviceKind = "potentiometer"
	Ratiometric   DeviceKind = "ratiometric"
	Switching     DeviceKind = "switching"
	Switch        DeviceKind = "switch"
	Zirconia      DeviceKind = "zirconia"
	Load          DeviceKind = "load"
	CurrentLoop   DeviceKind = "current_loop"
	Fuse          DeviceKind = "fuse"
	Diode         DeviceKind = "diode"
)

// DeviceKinds lists the kinds of device in the order of the contract.
func DeviceKinds() []string {
	return []string{"resistor", "thermistor", "rtd", "potentiometer", "ratiometric", "switching", "switch", "zirconia", "load", "current_loop", "fuse", "diode"}
}

// Roles are the names of the terminals of a kind, in order; nil for an unknown kind.
func (k DeviceKind) Roles() []string {
	switch k {
	case Resistor, Thermistor, RTD, Switch, Load, Fuse:
		return []string{"a", "b"}
	case Potentiometer:
		return []string{"supply", "wiper", "return"}
	case Ratiometric, Switching:
		return []string{"supply", "output", "return"}
	case Zirconia:
		return []string{"signal", "return"}
	case CurrentLoop:
		return []string{"supply", "return"}
	case Diode:
		return []string{"anode", "cathode"}
	}
	return nil
}

// HasStimulus tells whether something outside the circuit (a temperature, a position, a pressure) sets the part.
func (k DeviceKind) HasStimulus() bool {
	switch k {
	case Thermistor, RTD, Potentiometer, Ratiometric, Switching, Switch, Zirconia, CurrentLoop:
		return true
	}
	return false
}

// TwoState tells whether the stimulus is 0 or 1 and nothing between.
func (k DeviceKind) TwoState() bool { return k == Switching || k == Switch }

// Terminal is one terminal of a device: its role in the part and the cavity it has in the connector.
type Terminal struct{ Role, Cavity string }

// Reads says what a stimulus means in the sensor's own unit.
type Reads struct {
	Unit  string
	Table [][2]float64 // rows of {stimulus, value in Unit}, in rising stimulus, at least two
}

// At is the value in the sensor's unit at a stimulus, on the straight line through the neighbouring rows.
func (r Reads) At(set float64) float64 {
	i := 1
	for i < len(r.Table)-1 && set > r.Table[i][0] {
		i++
	}
	a, b := r.Table[i-1], r.Table[i]
	return a[1] + (set-a[0])/(b[0]-a[0])*(b[1]-a[1])
}

// Device is a sensor, switch, heater, lamp or other part. Only the fields of its kind count.
type Device struct {
	Name, Label string
	Line        int
	Kind        DeviceKind
	AccessMin   float64
	Terminals   []Terminal // in the order of Kind.Roles
	Reads       *Reads

	HasSet bool       // the stimulus is known
	Set    float64    // the stimulus, where HasSet
	Range  [2]float64 // the stimulus lies in it

	Ohms          float64 // resistor, potentiometer track, zirconia, load
	TolerancePct  float64
	Table         []models.CelsiusOhms // thermistor; nil where Ohms25 and Beta are given
	Ohms25, Beta  float64
	Ohms0         float64 // rtd
	WiperOhms     float64
	Low, High     float64 // ratiometric: share of the supply at set 0 and 1
	SupplyOhms    float64
	OutputOhms    float64
	MinSupply     float64
	UnpoweredOhms float64
	AccuracyPct   float64
	OnOhms        float64 // switching
	ClosedOhms    float64 // switch
	MinVolts      float64 // current_loop
	Amps          float64 // fuse
	ForwardVolts  float64 // diode
}

// Terminal is the harness side of the terminal with that role.
func (d Device) Terminal(role string) Point {
	for _, t := range d.Terminals {
		if t.Role == role {
			return Point{Place: d.Name, Cavity: t.Cavity}
		}
	}
	return Point{}
}

// Nominal is the stimulus to reckon with when none is known: the middle of the range; closed or on.
func (d Device) Nominal() float64 {
	if d.HasSet {
		return d.Set
	}
	if d.Kind.TwoState() {
		return 1
	}
	return (d.Range[0] + d.Range[1]) / 2
}

// OhmsAt is the resistance of a thermistor or rtd at a temperature in °C.
func (d Device) OhmsAt(celsius float64) float64 {
	switch {
	case d.Kind == RTD:
		return models.RTDOhms(d.Ohms0, celsius)
	case d.Table != nil:
		return models.TableOhms(d.Table, celsius)
	}
	return models.BetaOhms(d.Ohms25, d.Beta, celsius)
}

// InsideFaults are the words of the faults that can be inside the part.
func (d Device) InsideFaults() []string {
	if d.Kind.HasStimulus() {
		return []string{OpenInside, ShortedInside, ReadsWrong}
	}
	return []string{OpenInside, ShortedInside}
}
