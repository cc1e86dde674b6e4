package safety

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// ofPin looks at a module's pin with the leads on; was is the same pin without them.
func ofPin(c *circuits.Circuit, p *circuits.Pin, f, was network.Current) []Danger {
	d := Danger{Place: f.Place, Amps: f.Amps, Volts: f.Volts}
	switch p.Kind {
	case circuits.PinReference:
		if d.MostAmps = p.LimitMA / 1000; f.Amps > d.MostAmps && f.Amps > 1.01*was.Amps {
			d.Kind = ReferenceAmps
			return []Danger{d}
		}
	case circuits.PinHighSide, circuits.PinLowSide:
		if d.MostAmps = max(driverAmps, driverTimes*was.Amps); f.Amps > d.MostAmps {
			d.Kind = DriverAmps
			return []Danger{d}
		}
	}
	if most := bears(c, p); f.Volts > most && f.Volts > was.Volts+pinVolts {
		d.Kind, d.MostVolts = PinVolts, most
		return []Danger{d}
	}
	return nil
}

// bears is what a pin may be taken to above its module's internal ground: what it works with and a little more. What works with the
// battery's volts bears them.
func bears(c *circuits.Circuit, p *circuits.Pin) float64 {
	works := max(c.Battery.Volts, c.Battery.RunningVolts)
	switch p.Kind {
	case circuits.PinReference:
		works = p.Volts
	case circuits.PinInput:
		works = max(p.RangeVolts[1], p.PullUpVolts)
	case circuits.PinReturn:
		works = max(p.OffsetVolts, 0)
	case circuits.PinCANHigh, circuits.PinCANLow:
		works = 2 * p.BiasVolts // the two lines are driven to either side of it (ISO 11898-2, from memory: 5 V transceivers)
	}
	return works*pinShare + pinVolts
}
