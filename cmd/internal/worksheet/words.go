package worksheet

import (
	_ "embed"
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/phrase"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
)

//go:embed words.toml
var wordsText string

// words are the texts of sheets and keys.
var words = phrase.Read(wordsText)

func say(key string, pairs ...string) string { return words.Say(key, pairs...) }

// faultWords says a fault as one tells it in a class.
func faultWords(c *circuits.Circuit, f circuits.Fault) string {
	if f.IsDouble() {
		return say("fault.both", "first", singleWords(c, f.First), "second", singleWords(c, f.Second))
	}
	return singleWords(c, f.First)
}

func singleWords(c *circuits.Circuit, s circuits.Single) string {
	place := view.FaultPlace(c, circuits.Fault{First: s})
	if s.At.IsWire() && s.To.IsZero() {
		place = say("fault.wire", "wire", s.At.String(), "place", place)
	}
	switch s.Kind {
	case circuits.Healthy:
		return say("fault.healthy")
	case circuits.Open:
		return say("fault.open", "place", place)
	case circuits.HighResistance:
		if !s.HasOhms {
			return say("fault.resistance", "place", place)
		}
		return say("fault.resistance_of", "ohms", ohm(s.Ohms), "place", place)
	case circuits.ShortToGround:
		return say("fault.to_ground", "short", touch(s), "place", place)
	case circuits.ShortToVoltage:
		return say("fault.to_voltage", "short", touch(s), "place", place)
	case circuits.ShortBetween:
		return say("fault.between", "short", touch(s), "place", place)
	case circuits.Swapped:
		return say("fault.swapped", "place", place)
	}
	return say("fault.inside", "words", s.Words, "place", place)
}

func touch(s circuits.Single) string {
	if s.HasOhms && s.Ohms > 0 {
		return say("fault.short_of", "ohms", ohm(s.Ohms))
	}
	return say("fault.short")
}

// Given are the values that a student needs to reckon with, a line each: pins, parts and the meter.
func Given(j *circuits.Job) []string {
	c := j.Circuit
	out := []string{say("given.battery", "volts", held(models.Volts(c.Battery.Volts)))}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinPower {
				out = append(out, say("given.feeds", "pin", p.Point().String(), "ohms", ohm(m.SupplyOhms)))
			}
			if w := pinWords(p); w != "" {
				out = append(out, say("given.line", "name", p.Point().String(), "words", w))
			}
		}
	}
	for i := range c.Devices {
		d := &c.Devices[i]
		if words := partWords(j, d); words != "" {
			out = append(out, say("given.line", "name", d.Name, "words", words))
		}
	}
	return append(out, say("given.meter", "ohms", ohm(j.Meter.InputOhms), "copper", copperWords(j)))
}

// countsVolts is the loss in a wire of the healthy machine from which on its ohms are given.
const countsVolts = 0.04

// copperWords says which copper counts: where amperes flow, a wire is not nothing.
func copperWords(j *circuits.Job) string {
	var counts []string
	for _, w := range j.Circuit.Wires {
		e := evidence.Expect(j, circuits.Reading{At: circuits.PointLocation(w.From), To: w.To, Quantity: circuits.Volts, State: keyOn}, circuits.Fault{})
		if abs(e.Value) >= countsVolts {
			counts = append(counts, w.Location.String()+" "+ohm(w.Ohms))
		}
	}
	if len(counts) == 0 {
		return say("given.copper_none")
	}
	return say("given.copper", "wires", strings.Join(counts, ", "))
}

func ohm(v float64) string { return held(models.SI(v, "Ω")) }

func pinWords(p circuits.Pin) string {
	switch p.Kind {
	case circuits.PinReference:
		return say("pin.reference", "volts", Volts(p.Volts), "amps", held(models.SI(p.LimitMA/1000, "A")))
	case circuits.PinInput:
		var parts []string
		if p.PullUpOhms > 0 {
			parts = append(parts, say("pin.pull_up", "ohms", ohm(p.PullUpOhms), "volts", Volts(p.PullUpVolts)))
		}
		if p.PullDownOhms > 0 {
			parts = append(parts, say("pin.pull_down", "ohms", ohm(p.PullDownOhms)))
		}
		return say("pin.input", "parts", strings.Join(append(parts, say("pin.itself", "ohms", ohm(p.InputOhms))), ", "))
	case circuits.PinReturn:
		if p.OffsetVolts != 0 {
			return say("pin.return_held", "volts", Volts(p.OffsetVolts))
		}
		return say("pin.return")
	case circuits.PinLowSide:
		if p.On {
			return say("pin.low_on", "ohms", ohm(p.OnOhms))
		}
		return say("pin.low_off", "ohms", ohm(p.SenseOhms), "volts", Volts(p.SenseVolts))
	case circuits.PinHighSide:
		if p.On {
			return say("pin.high_on", "ohms", ohm(p.OnOhms))
		}
		return say("pin.high_off")
	case circuits.PinCANHigh, circuits.PinCANLow:
		return say("pin.can", "volts", Volts(p.BiasVolts), "ohms", ohm(p.BiasOhms))
	case circuits.PinLIN:
		return say("pin.lin", "ohms", ohm(p.LINOhms))
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
		return say("part.thermistor", "stands", stands, "ohms", ohm(d.OhmsAt(set)))
	case circuits.Potentiometer:
		return say("part.potentiometer", "track", ohm(d.Ohms), "stands", stands, "wiper", ohm(d.WiperOhms))
	case circuits.Ratiometric:
		share := fmt.Sprintf("%.3g", d.Low+set*(d.High-d.Low))
		return say("part.ratiometric", "stands", stands, "share", share, "behind", ohm(d.OutputOhms), "supply", ohm(d.SupplyOhms), "volts", Volts(d.MinSupply))
	case circuits.Switching:
		return say("part.switching", "stands", stands, "on", ohm(d.OnOhms), "supply", ohm(d.SupplyOhms))
	case circuits.Switch:
		return stands
	case circuits.Zirconia:
		return say("part.zirconia", "stands", stands, "ohms", ohm(d.Ohms))
	case circuits.CurrentLoop:
		return stands
	case circuits.Diode:
		return say("part.diode", "volts", Volts(d.ForwardVolts))
	}
	return ""
}
