package circuits

import "ohmtrail/models"

// PinKind is what stands behind a module pin.
type PinKind string

// The kinds of module pin.
const (
	PinReference PinKind = "reference"
	PinInput     PinKind = "input"
	PinReturn    PinKind = "return"
	PinGround    PinKind = "ground"
	PinPower     PinKind = "power"
	PinLowSide   PinKind = "low_side"
	PinHighSide  PinKind = "high_side"
	PinCANHigh   PinKind = "can_high"
	PinCANLow    PinKind = "can_low"
	PinLIN       PinKind = "lin"
)

// Limit is the voltage above internal ground beyond which a module sets a code for an input pin.
type Limit struct {
	Volts float64
	Code  string
}

// Pin is one pin of a module, between the pin and the module's internal ground. Only the fields of its kind count;
// a resistance of 0 in PullUpOhms or PullDownOhms means that there is none.
type Pin struct {
	Module, Cavity string
	Line           int
	Kind           PinKind
	Label          string

	Volts        float64 // reference
	TolerancePct float64 // reference: of Volts; input: of the pull-ups
	SourceOhms   float64
	LimitMA      float64
	LeakOhms     float64

	PullUpOhms   float64 // input
	PullUpVolts  float64
	PullDownOhms float64
	InputOhms    float64
	RangeVolts   [2]float64
	Bits         int
	Below, Above *Limit

	Ohms        float64 // return
	OffsetVolts float64

	OnOhms     float64 // low_side, high_side
	On         bool
	SenseOhms  float64
	SenseVolts float64

	BiasVolts float64 // can_high, can_low
	BiasOhms  float64

	Commander bool    // lin
	LINOhms   float64 // lin: pull-up

	ScanPct         float64        // input: bound of the converter's error, of its range
	ScanOffsetVolts float64        // input: the converter's own error; 0 as printed
	ScanGainPct     float64        // input: likewise, of what stands above the lower end of its range
	Widths          []models.Width // of the kind's numbers, in the table's order
}

// Point is the pin's harness side.
func (p Pin) Point() Point { return Point{Place: p.Module, Cavity: p.Cavity} }

// Inside is the location of faults behind the pin.
func (p Pin) Inside() Location {
	return PointLocation(Point{Place: p.Module, Cavity: p.Cavity, Side: "device"})
}

// StepVolts is one step of an input's converter.
func (p Pin) StepVolts() float64 {
	return (p.RangeVolts[1] - p.RangeVolts[0]) / float64(int64(1)<<p.Bits-1)
}

// Converted is a voltage with the converter's own error.
func (p Pin) Converted(volts float64) float64 {
	low := p.RangeVolts[0]
	return low + (volts-low)*(1+p.ScanGainPct/100) + p.ScanOffsetVolts
}

// Connector is the name of the module connector that a pin belongs to, as a job unplugs it: the module's name, and
// the letters that the cavity begins with behind a point.
func (p Pin) Connector() string { return moduleConnector(p.Module, p.Cavity) }

func moduleConnector(module, cavity string) string {
	i := 0
	for i < len(cavity) && (cavity[i] >= 'A' && cavity[i] <= 'Z' || cavity[i] >= 'a' && cavity[i] <= 'z') {
		i++
	}
	if i == 0 {
		return module
	}
	return module + "." + cavity[:i]
}
