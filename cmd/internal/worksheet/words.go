package worksheet

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
)

// faultWords says a fault as one tells it in a class.
func faultWords(c *circuits.Circuit, f circuits.Fault) string {
	if f.IsDouble() {
		return singleWords(c, f.First) + "; and " + singleWords(c, f.Second)
	}
	return singleWords(c, f.First)
}

func singleWords(c *circuits.Circuit, s circuits.Single) string {
	place := view.FaultPlace(c, circuits.Fault{First: s})
	if s.At.IsWire() && s.To.IsZero() {
		place = s.At.String() + " (" + place + ")"
	}
	ohms := ""
	if s.HasOhms {
		ohms = held(models.SI(s.Ohms, "Ω")) + " "
	}
	switch s.Kind {
	case circuits.Healthy:
		return "nothing is wrong"
	case circuits.Open:
		return "open circuit: " + place
	case circuits.HighResistance:
		return ohms + "too much resistance: " + place
	case circuits.ShortToGround:
		return touch(s) + "to ground: " + place
	case circuits.ShortToVoltage:
		return touch(s) + "to B+: " + place
	case circuits.ShortBetween:
		return touch(s) + "between " + place
	case circuits.Swapped:
		return "changed over: " + place
	}
	return s.Words + ": " + place
}

func touch(s circuits.Single) string {
	if s.HasOhms && s.Ohms > 0 {
		return "short of " + held(models.SI(s.Ohms, "Ω")) + " "
	}
	return "short "
}

// Given are the values that a student needs to reckon with, a line each: pins, parts and the meter.
func Given(j *circuits.Job) []string {
	c := j.Circuit
	out := []string{fmt.Sprintf("Battery %s with the key on.", held(models.Volts(c.Battery.Volts)))}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinPower {
				out = append(out, fmt.Sprintf("%s: feeds the module, which takes what %s would.", p.Point(), ohm(m.SupplyOhms)))
			}
			if w := pinWords(p); w != "" {
				out = append(out, p.Point().String()+": "+w+".")
			}
		}
	}
	for i := range c.Devices {
		d := &c.Devices[i]
		words := partWords(j, d)
		if words == "" {
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s.", d.Name, words))
	}
	return append(out, fmt.Sprintf("Meter: %s on volts. %s", ohm(j.Meter.InputOhms), copperWords(j)))
}

// countsVolts is the loss in a wire of the healthy machine from which on its ohms are given.
const countsVolts = 0.04

// copperWords says which copper counts: where amperes flow, a wire is not nothing.
func copperWords(j *circuits.Job) string {
	var counts []string
	for _, w := range j.Circuit.Wires {
		e := evidence.Expect(j, circuits.Reading{At: circuits.PointLocation(w.From), To: w.To, Quantity: circuits.Volts, State: keyOn}, circuits.Fault{})
		if abs(e.Value) >= countsVolts {
			counts = append(counts, fmt.Sprintf("%s %s", w.Location, ohm(w.Ohms)))
		}
	}
	if len(counts) == 0 {
		return "Copper and joints: next to nothing."
	}
	return "Amperes flow here, so that wires count: " + strings.Join(counts, ", ") + "; each joint some 5 mΩ; other copper next to nothing."
}

func ohm(v float64) string { return held(models.SI(v, "Ω")) }

func pinWords(p circuits.Pin) string {
	switch p.Kind {
	case circuits.PinReference:
		return fmt.Sprintf("gives %s, at most %s", Volts(p.Volts), held(models.SI(p.LimitMA/1000, "A")))
	case circuits.PinInput:
		var parts []string
		if p.PullUpOhms > 0 {
			parts = append(parts, fmt.Sprintf("%s up to %s", ohm(p.PullUpOhms), Volts(p.PullUpVolts)))
		}
		if p.PullDownOhms > 0 {
			parts = append(parts, ohm(p.PullDownOhms)+" to ground")
		}
		return "input, " + strings.Join(append(parts, "itself "+ohm(p.InputOhms)), ", ")
	case circuits.PinReturn:
		if p.OffsetVolts != 0 {
			return "return, held " + Volts(p.OffsetVolts) + " above ground"
		}
		return "return, joined to the module's ground inside"
	case circuits.PinLowSide:
		if p.On {
			return "driver to ground, switched on, behind " + ohm(p.OnOhms)
		}
		return fmt.Sprintf("driver to ground, off: %s up to %s", ohm(p.SenseOhms), Volts(p.SenseVolts))
	case circuits.PinHighSide:
		if p.On {
			return "driver from the module's supply, switched on, behind " + ohm(p.OnOhms)
		}
		return "driver from the module's supply, off: 100 kΩ to ground"
	case circuits.PinCANHigh, circuits.PinCANLow:
		return fmt.Sprintf("bus at rest: %s behind %s", Volts(p.BiasVolts), ohm(p.BiasOhms))
	case circuits.PinLIN:
		return "bus at rest: " + ohm(p.LINOhms) + " up to the module's supply"
	}
	return ""
}

func partWords(j *circuits.Job, d *circuits.Device) string {
	set, _ := j.SetOf(circuits.Reading{}, d)
	stands := strings.TrimPrefix(view.Stimulus(j.Circuit, d.Name, set), d.Name+" ")
	switch d.Kind {
	case circuits.Resistor, circuits.Load:
		return ohm(d.Ohms)
	case circuits.Thermistor, circuits.RTD:
		return stands + ", where it has " + ohm(d.OhmsAt(set))
	case circuits.Potentiometer:
		return fmt.Sprintf("track %s, wiper %s (0 at the return, 1 at the supply) behind %s", ohm(d.Ohms), stands, ohm(d.WiperOhms))
	case circuits.Ratiometric:
		share := d.Low + set*(d.High-d.Low)
		return fmt.Sprintf("%s; its output is %.3g of its supply, behind %s; supply to return %s; it works from %s", stands, share, ohm(d.OutputOhms), ohm(d.SupplyOhms), Volts(d.MinSupply))
	case circuits.Switching:
		return fmt.Sprintf("%s (on: %s from output to return); supply to return %s", stands, ohm(d.OnOhms), ohm(d.SupplyOhms))
	case circuits.Switch:
		return stands
	case circuits.Zirconia:
		return fmt.Sprintf("%s behind %s", stands, ohm(d.Ohms))
	case circuits.CurrentLoop:
		return stands
	case circuits.Diode:
		return "conducts one way, dropping " + Volts(d.ForwardVolts)
	}
	return ""
}
