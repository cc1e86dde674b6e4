package safety

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Kind says what is wrong with a reading.
type Kind uint8

// What can be wrong with a reading.
const (
	JumperAmps    Kind = iota // a lead carries more than its own fuse does
	LoadAmps                  // a load draws more
	LoadWatts                 // a load gets hot
	MeterAmps                 // the current is beyond a meter's fuse: a clamp meter reads it
	FuseAmps                  // a fuse of the circuit carries more than its rating because of the leads
	ReferenceAmps             // a module's reference is asked for more than it gives
	PinVolts                  // a module's pin gets more volts than it is made for
	DriverAmps                // a module's driver carries much more than its consumer asks of it
	Unsteady                  // with the leads on, the circuit finds no steady state, and nothing can be reckoned
)

// Danger is one thing that is wrong with a reading.
type Danger struct {
	Kind      Kind
	Lead      [2]circuits.Point // the jumper or load
	Ohms      float64           // of the load
	Place     circuits.Point    // the pin, or the fuse's part
	Amps      float64           // that would flow
	MostAmps  float64           // that may
	Volts     float64           // that would stand there
	MostVolts float64           // that may
	Watts     float64
}

// The limits, ours where no source is named.
const (
	// LeadAmps is what a test lead, its own fuse and a multimeter's current input bear (the usual 10 A range; common practice, no source).
	LeadAmps = 10
	// HotWatts is what a test resistor that is held in place by hand may turn into heat.
	HotWatts = 10
	// fuseShare is the share of its rating that a fuse may carry because of leads.
	fuseShare = 1.0
	// pinShare is how far above the volts that it works with a module's pin may be taken, and pinVolts on top.
	pinShare = 1.1
	pinVolts = 0.5
	// driverTimes is by how much a driver's current may grow by leads, and driverAmps below which it does not matter.
	driverTimes = 3
	driverAmps  = 0.5
)

// Look says what would be hurt by a reading of a circuit. stimuli are by device, where they are known. It looks at the leads and at an
// ammeter; a reading with neither hurts nothing.
func Look(c *circuits.Circuit, r circuits.Reading, stimuli map[string]float64) []Danger {
	led := len(r.State.Jumpers)+len(r.State.Loads) > 0
	if !led && r.Quantity != circuits.Amps {
		return nil
	}
	with, steady := network.Currents(c, r, stimuli)
	if !steady {
		if led {
			return []Danger{{Kind: Unsteady}} // what cannot be reckoned is not called safe
		}
		return nil
	}
	bare := r
	bare.Quantity, bare.State.Jumpers, bare.State.Loads = circuits.Volts, nil, nil
	without, _ := network.Currents(c, bare, stimuli)
	before := map[circuits.Point]network.Current{}
	for _, f := range without {
		if f.In == network.InFuse || f.In == network.InPin {
			before[f.Place] = f
		}
	}
	var out []Danger
	for _, f := range with {
		was := before[f.Place]
		switch f.In {
		case network.InJumper:
			if f.Amps > LeadAmps {
				out = append(out, Danger{Kind: JumperAmps, Lead: r.State.Jumpers[f.Index], Amps: f.Amps, MostAmps: LeadAmps})
			}
		case network.InLoad:
			out = append(out, ofLoad(r.State.Loads[f.Index], f)...)
		case network.InAmmeter:
			if f.Amps > LeadAmps {
				out = append(out, Danger{Kind: MeterAmps, Place: r.Point(), Amps: f.Amps, MostAmps: LeadAmps})
			}
		case network.InFuse:
			if d := c.Device(f.Place.Place); led && f.Amps > fuseShare*d.Amps && f.Amps > 1.01*was.Amps {
				out = append(out, Danger{Kind: FuseAmps, Place: f.Place, Amps: f.Amps, MostAmps: d.Amps})
			}
		case network.InPin:
			if led {
				out = append(out, ofPin(c, c.Pin(f.Place), f, was)...)
			}
		}
	}
	return out
}

// ofLoad looks at a test load.
func ofLoad(l circuits.LoadLead, f network.Current) []Danger {
	d := Danger{Lead: [2]circuits.Point{l.From, l.To}, Ohms: l.Ohms, Amps: f.Amps, MostAmps: LeadAmps, Watts: f.Amps * f.Volts}
	switch {
	case f.Amps > LeadAmps:
		d.Kind = LoadAmps
	case d.Watts > HotWatts:
		d.Kind = LoadWatts
	default:
		return nil
	}
	return []Danger{d}
}
