package circuits

import "ohmtrail/models"

// DeviceType is one entry of the table of kinds: all that is particular to a kind of device except its law, which
// stands in the table of solver/network.
type DeviceType struct {
	Kind     DeviceKind
	Word     string   // what a technician calls it
	Roles    []string // its terminals, in order
	Stimulus *Stimulus
	Numbers  []Number[Device]
	Keys     []string // further keys that a file gives it, beside those of every device
	Plain    bool     // it neither senses nor works
}

// Stimulus is what outside the circuit sets a kind of device, and how it behaves.
type Stimulus struct {
	Unit     string     // in which the contract writes it; "" for a share of the sensor's travel
	Range    [2]float64 // it lies in it where a file does not say otherwise
	Possible Bounds     // what nature allows
	States   [2]string  // the words for 0 and 1 of one that has two states and nothing between
	Between  Between
	ByHand   bool // a technician can set it at the machine
}

// Between says what a stimulus does between two readings (section 5; [assume] and a reading's set fix it, moves frees it).
type Between uint8

// What a stimulus does between two readings.
const (
	Stays  Between = iota // where it is
	Drifts                // a temperature: by no more than DriftCelsius
	Moves                 // free at each reading
)

// DriftCelsius is how far a temperature moves between the readings of a job.
const DriftCelsius = 2

// The fields of a device that its numbers are kept in.
func deviceOhms(d *Device) *float64       { return &d.Ohms }
func deviceSupplyOhms(d *Device) *float64 { return &d.SupplyOhms }
func deviceOnOhms(d *Device) *float64     { return &d.OnOhms }
func deviceMinSupply(d *Device) *float64  { return &d.MinSupply }
func deviceTolerance(d *Device) *float64  { return &d.TolerancePct }
func deviceToleranceIs(d *Device) float64 { return d.TolerancePct }
func deviceTolerancePct(pct float64) Number[Device] {
	return fact("tolerance_pct", pct, Percent, deviceTolerance)
}

// tolerancedOhms are ohms off by tolerance_pct at the most, and that tolerance.
func tolerancedOhms(nominal, pct float64) []Number[Device] {
	within := toleranced(deviceToleranceIs)
	return []Number[Device]{resistance("ohms", nominal, Positive, within, within, deviceOhms), deviceTolerancePct(pct)}
}

// neededOhms are tolerancedOhms that a file must give.
func neededOhms(pct float64, more ...Number[Device]) []Number[Device] {
	out := tolerancedOhms(1, pct)
	out[0] = needed(out[0], `"4k7"`)
	return append(out, more...)
}

var (
	ab     = []string{"a", "b"}
	travel = [2]float64{0, 1}
)

// deviceTypes is the table of the kinds of device, in the order of the contract: terminals, stimulus, numbers with their
// nominals (section 1) and widths (section 5).
var deviceTypes = []DeviceType{
	{Kind: Resistor, Word: "resistor", Roles: ab, Numbers: neededOhms(5), Plain: true},
	{Kind: Thermistor, Word: "thermistor", Roles: ab, Keys: []string{"table", "ohms_25", "beta"},
		Stimulus: &Stimulus{Unit: "°C", Range: [2]float64{-20, 110}, Possible: Celsius, Between: Drifts},
		Numbers: []Number[Device]{deviceTolerancePct(5),
			{Key: "ohms_25", Hidden: true, Ohms: true, ByLog: true, LeftOut: toleranced(deviceToleranceIs),
				Get: func(d *Device) float64 { return d.OhmsAt(25) },
				Set: func(d *Device, ohms float64) { d.LawShare = (1+d.LawShare)*ohms/d.OhmsAt(25) - 1 }}}},
	{Kind: RTD, Word: "platinum sensor", Roles: ab,
		Stimulus: &Stimulus{Unit: "°C", Range: [2]float64{-40, 300}, Possible: Bounds{-200, 850, false}, Between: Drifts}, // IEC 60751
		Numbers:  []Number[Device]{resistance("ohms_0", 100, Positive, nil, nil, func(d *Device) *float64 { return &d.Ohms0 })}},
	{Kind: Potentiometer, Word: "potentiometer", Roles: []string{"supply", "wiper", "return"},
		Stimulus: &Stimulus{Range: [2]float64{0.05, 0.95}, Possible: Share, ByHand: true},
		Numbers: neededOhms(20, resistance("wiper_ohms", 100, NotNegative, times[Device](2), between[Device](20, 500),
			func(d *Device) *float64 { return &d.WiperOhms }))},
	{Kind: Ratiometric, Word: "ratiometric sensor", Roles: []string{"supply", "output", "return"},
		Stimulus: &Stimulus{Range: travel, Possible: Share, ByHand: true},
		Numbers: []Number[Device]{
			number("low", 0.1, Share, nil, nil, func(d *Device) *float64 { return &d.Low }),
			number("high", 0.9, Share, nil, nil, func(d *Device) *float64 { return &d.High }),
			resistance("supply_ohms", 1000, Positive, times[Device](2), fractions[Device](0.3, 5), deviceSupplyOhms),
			resistance("output_ohms", 100, Positive, times[Device](2), between[Device](10, 1000), func(d *Device) *float64 { return &d.OutputOhms }),
			number("min_supply_volts", 4, NotNegative, pct[Device](10), pct[Device](25), deviceMinSupply),
			resistance("unpowered_ohms", 10e3, Positive, times[Device](2), between[Device](2e3, 200e3), func(d *Device) *float64 { return &d.UnpoweredOhms }),
			fact("accuracy_pct", 1.5, Percent, func(d *Device) *float64 { return &d.AccuracyPct }),
			hidden(number("output_pct", 0, AnyNumber, nil, allowance(func(d *Device) float64 { return d.AccuracyPct }),
				func(d *Device) *float64 { return &d.OutputPct }))}},
	{Kind: Switching, Word: "switching sensor", Roles: []string{"supply", "output", "return"},
		Stimulus: &Stimulus{Range: travel, Possible: Share, States: [2]string{"off", "on"}, Between: Moves, ByHand: true},
		Numbers: []Number[Device]{
			resistance("supply_ohms", 2000, Positive, times[Device](2), fractions[Device](0.3, 5), deviceSupplyOhms),
			resistance("on_ohms", 40, NotNegative, times[Device](2), between[Device](5, 200), deviceOnOhms),
			number("min_supply_volts", 3.5, NotNegative, pct[Device](10), pct[Device](25), deviceMinSupply)}},
	{Kind: Switch, Word: "switch", Roles: ab,
		Stimulus: &Stimulus{Range: travel, Possible: Share, States: [2]string{"open", "closed"}, ByHand: true},
		Numbers: []Number[Device]{resistance("closed_ohms", 0.05, NotNegative, times[Device](2), between[Device](0.01, 1),
			func(d *Device) *float64 { return &d.ClosedOhms })}},
	{Kind: Zirconia, Word: "oxygen sensor", Roles: []string{"signal", "return"},
		Stimulus: &Stimulus{Unit: "V", Range: [2]float64{0.05, 0.95}, Possible: Bounds{-0.5, 2, false}, Between: Moves},
		Numbers:  zirconiaNumbers()},
	{Kind: Load, Word: "load", Roles: ab, Numbers: neededOhms(10)},
	{Kind: CurrentLoop, Word: "two-wire transmitter", Roles: []string{"supply", "return"},
		Stimulus: &Stimulus{Unit: "mA", Range: [2]float64{4, 20}, Possible: Bounds{0, 1000, true}, ByHand: true},
		Numbers:  []Number[Device]{number("min_volts", 3, Positive, pct[Device](10), pct[Device](25), func(d *Device) *float64 { return &d.MinVolts })}},
	{Kind: Fuse, Word: "fuse", Roles: ab, Plain: true,
		Numbers: []Number[Device]{needed(fact("amps", 1, Positive, func(d *Device) *float64 { return &d.Amps }), "10")}},
	{Kind: Diode, Word: "diode", Roles: []string{"anode", "cathode"}, Plain: true,
		Numbers: []Number[Device]{number("forward_volts", 0.7, NotNegative, pct[Device](10), pct[Device](25), func(d *Device) *float64 { return &d.ForwardVolts })}},
}

// zirconiaNumbers: its tolerance leaves room below for a cell that is hot.
func zirconiaNumbers() []Number[Device] {
	out := tolerancedOhms(5000, 50)
	out[1].Allowed = Bounds{0, 95, false}
	return out
}

// deviceTypeOf finds a kind's entry.
var deviceTypeOf = func() map[DeviceKind]*DeviceType {
	out := map[DeviceKind]*DeviceType{}
	for i := range deviceTypes {
		out[deviceTypes[i].Kind] = &deviceTypes[i]
	}
	return out
}()

// Type is the kind's entry of the table; an empty one for an unknown kind.
func (k DeviceKind) Type() *DeviceType {
	if t := deviceTypeOf[k]; t != nil {
		return t
	}
	return &DeviceType{}
}

// DeviceKinds lists the kinds of device in the order of the contract.
func DeviceKinds() []string {
	out := make([]string, len(deviceTypes))
	for i, t := range deviceTypes {
		out[i] = string(t.Kind)
	}
	return out
}

// Roles are the names of the terminals of a kind, in order; nil for an unknown kind.
func (k DeviceKind) Roles() []string { return k.Type().Roles }

// HasStimulus tells whether something outside the circuit (a temperature, a position, a pressure) sets the part.
func (k DeviceKind) HasStimulus() bool { return k.Type().Stimulus != nil }

// TwoState tells whether the stimulus is 0 or 1 and nothing between.
func (k DeviceKind) TwoState() bool {
	s := k.Type().Stimulus
	return s != nil && s.States[1] != ""
}

// Width is how far the real part's number of that name may be off.
func (d Device) Width(key string) models.Width { return widthOf(d.Kind.Type().Numbers, d.Widths, key) }
