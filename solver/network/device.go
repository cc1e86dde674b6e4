package network

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// deviceSlots are a part's branches, for the faults inside it, and where they begin.
type deviceSlots struct {
	from   mark
	gain   int   // index of the output stage, -1 where there is none
	output []int // the branches that an open output lead takes away
	short  int   // the slot from terminal to terminal (output to return) of a short inside
	piece  int   // -1 where there is none
}

// shortedInsideOhms is what a part that is shorted inside shows.
const shortedInsideOhms = 0.5

// law is what a kind of device is between its terminals at a stimulus. It lays out branches, output stages and pieces,
// always the same ones in the same order: whatever values they have, so that they can be written anew.
type law func(n *netlist, d *circuits.Device, set float64, at func(role string) int32, s *deviceSlots)

// deviceLaws is the table of laws, one for each kind of circuits' table of devices.
var deviceLaws = map[circuits.DeviceKind]law{
	circuits.Resistor:   ofOhms(func(d *circuits.Device, _ float64) float64 { return d.Ohms }),
	circuits.Load:       ofOhms(func(d *circuits.Device, _ float64) float64 { return d.Ohms }),
	circuits.Thermistor: ofOhms((*circuits.Device).OhmsAt),
	circuits.RTD:        ofOhms((*circuits.Device).OhmsAt),
	circuits.Switch: ofOhms(func(d *circuits.Device, set float64) float64 {
		if set == 0 {
			return math.Inf(1)
		}
		return d.ClosedOhms
	}),
	circuits.Fuse: func(n *netlist, d *circuits.Device, _ float64, at func(string) int32, s *deviceSlots) {
		ohms := models.FuseOhms(d.Amps)
		out := n.resistor(at("a"), at("b"), ohms)
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: fusePiece, a: at("a"), b: at("b"), branch: out, ohms: ohms, amps: models.FuseHolds * d.Amps, owner: -1, module: d.Name})
	},
	circuits.Zirconia: func(n *netlist, d *circuits.Device, set float64, at func(string) int32, s *deviceSlots) {
		s.output = append(s.output, n.add(branch{a: at("signal"), b: at("return"), siemens: conductance(d.Ohms), emf: set}))
	},
	circuits.Potentiometer: func(n *netlist, d *circuits.Device, set float64, at func(string) int32, s *deviceSlots) {
		track := n.node(circuits.Point{Place: d.Name, Side: "track"})
		n.resistor(at("supply"), track, d.Ohms*(1-set))
		n.resistor(track, at("return"), d.Ohms*set)
		s.output = append(s.output, n.resistor(track, at("wiper"), d.WiperOhms))
	},
	circuits.Ratiometric: func(n *netlist, d *circuits.Device, set float64, at func(string) int32, s *deviceSlots) {
		out, ret, sup := at("output"), at("return"), at("supply")
		n.resistor(sup, ret, d.SupplyOhms)
		s.gain = n.addGain(gain{out: out, ret: ret, sup: sup, siemens: conductance(d.OutputOhms), share: d.Low + set*(d.High-d.Low) + d.OutputPct/100})
		un := n.resistor(out, ret, d.UnpoweredOhms)
		s.output = append(s.output, un)
		s.piece = n.addPiece(piece{kind: ratiometricPiece, index: s.gain, a: sup, b: ret, second: un, volts: d.MinSupply, ohms: d.OutputOhms, owner: -1})
	},
	circuits.Switching: func(n *netlist, d *circuits.Device, set float64, at func(string) int32, s *deviceSlots) {
		sup, ret := at("supply"), at("return")
		n.resistor(sup, ret, d.SupplyOhms)
		out := n.slot(at("output"), ret)
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: switchingPiece, a: sup, b: ret, branch: out, volts: d.MinSupply, ohms: d.OnOhms, owner: -1, rests: set == 0})
	},
	circuits.Diode: func(n *netlist, d *circuits.Device, _ float64, at func(string) int32, s *deviceSlots) {
		out := n.slot(at("anode"), at("cathode"))
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: diodePiece, a: at("anode"), b: at("cathode"), branch: out, volts: d.ForwardVolts, owner: -1})
	},
	circuits.CurrentLoop: func(n *netlist, d *circuits.Device, set float64, at func(string) int32, s *deviceSlots) {
		out := n.slot(at("supply"), at("return"))
		s.output = append(s.output, out)
		s.piece = n.addPiece(piece{kind: loopPiece, a: at("supply"), b: at("return"), branch: out, volts: d.MinVolts, amps: math.Abs(set) / 1000, owner: -1})
	},
}

// ofOhms is the law of a part of two terminals that is a resistance.
func ofOhms(ohms func(d *circuits.Device, set float64) float64) law {
	return func(n *netlist, d *circuits.Device, set float64, at func(string) int32, s *deviceSlots) {
		roles := d.Kind.Roles()
		s.output = append(s.output, n.resistor(at(roles[0]), at(roles[1]), ohms(d, set)))
	}
}

// device adds a part with its stimulus, and the fault inside it, if there is one.
func (n *netlist) device(d *circuits.Device, set float64, b building) {
	s := n.lay(d, set)
	roles := d.Kind.Roles()
	from := roles[0]
	if len(roles) == 3 {
		from = roles[1]
	}
	s.short = n.slot(n.terminal(d, from), n.terminal(d, roles[len(roles)-1]))
	at := circuits.PointLocation(circuits.Point{Place: d.Name})
	if b.fault.is(circuits.DeviceInside, at, circuits.ShortedInside) {
		n.values.branches[s.short].siemens = conductance(shortedInsideOhms)
	}
	if n.rewriting {
		return
	}
	if b.fault.is(circuits.DeviceInside, at, circuits.OpenInside) {
		n.dead = append(n.dead, s.output...)
		if s.gain >= 0 {
			n.deadGains = append(n.deadGains, s.gain)
		}
	}
	n.devices[d.Name] = s
}

// lay lays a part out by the law of its kind.
func (n *netlist) lay(d *circuits.Device, set float64) deviceSlots {
	s := deviceSlots{from: n.here(), gain: -1, short: -1, piece: -1}
	deviceLaws[d.Kind](n, d, set, func(role string) int32 { return n.terminal(d, role) }, &s)
	return s
}

// terminal is the node of the part's own pin of that role.
func (n *netlist) terminal(d *circuits.Device, role string) int32 {
	if n.rewriting {
		return ground
	}
	p := d.Terminal(role)
	p.Side = "device"
	return n.node(p)
}

// stimulate writes into v and the pieces what a stimulus makes of a part.
func (n *netlist) stimulate(d *circuits.Device, set float64, v values, pieces []piece) {
	if !d.Kind.HasStimulus() {
		return
	}
	to := n.rewrite(v, pieces, n.modules, n.devices[d.Name].from)
	to.lay(d, set)
}
