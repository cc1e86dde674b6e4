package network

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// deviceSlots are a part's branches, for its stimulus, its tolerance and the faults inside it.
type deviceSlots struct {
	branches []int // all of them, in the order in which device adds them
	gain     int   // index of the output stage, -1 where there is none
	output   []int // the branches that an open output lead takes away
	short    int   // the slot from terminal to terminal (output to return) of a short inside
	piece    int   // -1 where there is none
}

// shortedInsideOhms is what a part that is shorted inside shows.
const shortedInsideOhms = 0.5

// device adds a part with its stimulus.
func (n *netlist) device(d *circuits.Device, set float64, b building) {
	at := func(role string) int32 {
		p := d.Terminal(role)
		p.Side = "device"
		return n.node(p)
	}
	s := deviceSlots{gain: -1, short: -1, piece: -1}
	first := len(n.values.branches)
	roles := d.Kind.Roles()
	a, z := at(roles[0]), at(roles[len(roles)-1])
	if len(roles) == 3 {
		a = at(roles[1])
	}
	switch d.Kind {
	case circuits.Potentiometer:
		track := n.node(circuits.Point{Place: d.Name, Side: "track"})
		n.slot(at("supply"), track)
		n.slot(track, z)
		s.output = append(s.output, n.resistor(track, a, d.WiperOhms))
	case circuits.Ratiometric:
		n.resistor(at("supply"), z, d.SupplyOhms)
		s.gain = len(n.values.gains)
		n.values.gains = append(n.values.gains, gain{out: a, ret: z, sup: at("supply")})
		un := n.resistor(a, z, d.UnpoweredOhms)
		s.output = append(s.output, un)
		s.piece = n.addPiece(piece{kind: ratiometricPiece, index: s.gain, a: at("supply"), b: z, second: un, volts: d.MinSupply, ohms: d.OutputOhms, owner: -1})
	case circuits.Switching:
		n.resistor(at("supply"), z, d.SupplyOhms)
		out := n.slot(a, z)
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: switchingPiece, a: at("supply"), b: z, branch: out, volts: d.MinSupply, ohms: d.OnOhms, owner: -1})
	case circuits.Diode:
		out := n.slot(a, z)
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: diodePiece, a: a, b: z, branch: out, volts: d.ForwardVolts, owner: -1})
	case circuits.CurrentLoop:
		out := n.slot(a, z)
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: loopPiece, a: a, b: z, branch: out, volts: d.MinVolts, owner: -1})
	default:
		s.output = append(s.output, n.slot(a, z))
	}
	s.short = n.slot(a, z)
	for i := first; i < len(n.values.branches); i++ {
		s.branches = append(s.branches, i)
	}
	n.devices[d.Name] = s
	n.stimulate(d, set, n.values, n.pieces)
	n.deviceFault(d, s, b)
}

func (n *netlist) addPiece(p piece) int {
	n.pieces = append(n.pieces, p)
	return len(n.pieces) - 1
}

// stimulate writes into v (and into the pieces) what a stimulus makes of a part.
func (n *netlist) stimulate(d *circuits.Device, set float64, v values, pieces []piece) {
	s := n.devices[d.Name]
	b := func(i int) *branch { return &v.branches[s.branches[i]] }
	switch d.Kind {
	case circuits.Resistor, circuits.Load:
		b(0).siemens = conductance(d.Ohms)
	case circuits.Fuse:
		b(0).siemens = conductance(models.FuseOhms(d.Amps))
	case circuits.Thermistor, circuits.RTD:
		b(0).siemens = conductance(d.OhmsAt(set))
	case circuits.Switch:
		b(0).siemens = 0
		if set != 0 {
			b(0).siemens = conductance(d.ClosedOhms)
		}
	case circuits.Zirconia:
		b(0).siemens, b(0).emf = conductance(d.Ohms), set
	case circuits.Potentiometer:
		b(0).siemens = conductance(d.Ohms * (1 - set))
		b(1).siemens = conductance(d.Ohms * set)
	case circuits.Ratiometric:
		v.gains[s.gain].share = d.Low + set*(d.High-d.Low)
		v.gains[s.gain].siemens = conductance(d.OutputOhms)
	case circuits.Switching:
		pieces[s.piece].rests = set == 0
		v.branches[s.output[0]].siemens = 0
	case circuits.CurrentLoop:
		pieces[s.piece].amps = math.Abs(set) / 1000
	}
}

// deviceFault puts the fault inside a part, if there is one.
func (n *netlist) deviceFault(d *circuits.Device, s deviceSlots, b building) {
	at := circuits.PointLocation(circuits.Point{Place: d.Name})
	if b.fault.is(circuits.DeviceInside, at, circuits.ShortedInside) {
		n.values.branches[s.short].siemens = conductance(shortedInsideOhms)
	}
	if b.fault.is(circuits.DeviceInside, at, circuits.OpenInside) {
		n.dead = append(n.dead, s.output...)
		if s.gain >= 0 {
			n.deadGains = append(n.deadGains, s.gain)
		}
	}
}
