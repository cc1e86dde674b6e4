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

	LawShare  float64        // thermistor: by which share its ohms lie above its law; 0 as printed
	OutputPct float64        // ratiometric: by which per cent of the supply its output lies above its law; 0 as printed
	Widths    []models.Width // of the kind's numbers, in the table's order
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
		return (1 + d.LawShare) * models.TableOhms(d.Table, celsius)
	}
	return (1 + d.LawShare) * models.BetaOhms(d.Ohms25, d.Beta, celsius)
}

// InsideFaults are the words of the faults that can be inside the part.
func (d Device) InsideFaults() []string {
	if d.Kind.HasStimulus() {
		return []string{OpenInside, ShortedInside, ReadsWrong}
	}
	return []string{OpenInside, ShortedInside}
}
