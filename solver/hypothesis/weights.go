package hypothesis

import "ohmtrail/circuits"

// Weights say how likely each kind of place is to fail, before any reading. The unit is one mated connector way in a
// dry place. They are ours, built on the experience of the trade (no published source covers all of them); published
// neighbours are named beside.
type Weights struct {
	Contact       float64 // a mated connector way
	WirePerMetre  float64
	FactorySplice float64 // all its legs together
	Stud          float64
	SensorShare   float64 // of all wiring, shared by the sensors and loads
	Fuse          float64 // a fuse; it blows for a reason that lies elsewhere
	PlainPart     float64 // a resistor or diode
	PinShare      float64 // of all wiring, shared by the module pins
	Swapped       float64 // a pair of terminals of one connector, on a machine nobody has worked on
	Healthy       float64 // nothing is wrong (any more), as a share of the whole
	Unlisted      float64 // something that no hypothesis describes, as a share of the whole
}

// DefaultWeights are the weights in use when nobody edits them.
func DefaultWeights() Weights {
	return Weights{Contact: 1, WirePerMetre: 0.7, FactorySplice: 0.5, Stud: 1, SensorShare: 0.64, Fuse: 2, PlainPart: 1, PinShare: 0.09, Swapped: 0.02, Healthy: 0.08, Unlisted: 0.02}
}

// plainPart is the weight of a part that neither senses nor works; 0 for one that does.
func (w Weights) plainPart(kind circuits.DeviceKind) float64 {
	switch kind {
	case circuits.Fuse:
		return w.Fuse
	case circuits.Resistor, circuits.Diode:
		return w.PlainPart
	}
	return 0
}

// modes of failure of a kind of place, as shares that sum to 1. Neighbours in print: connectors open 0.61, poor contact
// 0.23, short 0.16; potentiometers open 0.53, erratic 0.40, short 0.07 (MIL-HDBK-338B, through an open reliability
// database).
type modes struct {
	open, high, ground, voltage, between float64
}

var (
	contactModes = modes{open: 0.42, high: 0.43, ground: 0.05, voltage: 0.03, between: 0.07}
	wireModes    = modes{open: 0.30, high: 0.20, ground: 0.33, voltage: 0.07, between: 0.10}
	studModes    = modes{open: 0.30, high: 0.70}
)

// spliceLeg modes; a splice's weight is shared by its legs and added to the wires that end in it.
var spliceModes = modes{open: 0.42, high: 0.53, ground: 0.03, voltage: 0.02}

// insideShare is how a part's weight is shared among the faults inside it. A fuse blows; it is next to never shorted.
func insideShare(words string, d *circuits.Device) float64 {
	hasStimulus := d.Kind.HasStimulus()
	if d.Kind == circuits.Fuse {
		if words == circuits.OpenInside {
			return 0.97
		}
		return 0.03
	}
	switch words {
	case circuits.OpenInside:
		if hasStimulus {
			return 0.25
		}
		return 0.6
	case circuits.ShortedInside:
		if hasStimulus {
			return 0.2
		}
		return 0.4
	}
	return 0.55
}

// inspectionFactor is the likelihood ratio of what was seen at a place, for faults there of a kind (ours).
func inspectionFactor(seen string, kind circuits.FaultKind) float64 {
	shorting := kind == circuits.ShortToGround || kind == circuits.ShortToVoltage || kind == circuits.ShortBetween
	parting := kind == circuits.Open || kind == circuits.HighResistance
	switch seen {
	case "clean":
		return 0.7 // a break inside sound insulation cannot be seen
	case "spread", "loose":
		if parting {
			return 10
		}
	case "pulled":
		if parting {
			return 20
		}
	case "corroded":
		if parting {
			return 8
		}
		if shorting {
			return 4
		}
	case "wet":
		return 5
	case "chafed":
		if shorting {
			return 20
		}
		if parting {
			return 4
		}
	case "burnt":
		return 10
	case "repaired":
		if kind == circuits.Swapped {
			return 20
		}
		return 4
	}
	return 1
}
