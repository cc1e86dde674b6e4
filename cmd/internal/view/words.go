package view

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// Where says in a few words where a reading's leads are.
func Where(r circuits.Reading) string {
	switch r.Quantity {
	case circuits.ScanVolts:
		return "scan" + nbsp + r.At.String()
	case circuits.Amps:
		return "amps through " + r.At.String()
	case circuits.Ohms:
		return "ohms " + r.At.String() + " to" + nbsp + r.To.String()
	}
	if r.To == circuits.BNegative {
		return r.At.String()
	}
	return r.At.String() + " to" + nbsp + r.To.String()
}

// Conditions say what the machine is put into for a reading, "" where nothing is done but the key turned on.
func Conditions(c *circuits.Circuit, r circuits.Reading) string {
	var out []string
	switch r.State.Key {
	case circuits.KeyOff:
		out = append(out, "key"+nbsp+"off")
	case circuits.KeyRun:
		out = append(out, "engine"+nbsp+"running")
	}
	if len(r.State.Unplugged) > 0 {
		out = append(out, strings.Join(r.State.Unplugged, " and ")+nbsp+"unplugged")
	}
	for _, j := range r.State.Jumpers {
		out = append(out, j[0].String()+" joined to"+nbsp+j[1].String())
	}
	for _, l := range r.State.Loads {
		out = append(out, held(models.SI(l.Ohms, "Ω"))+" from "+l.From.String()+" to"+nbsp+l.To.String())
	}
	for _, s := range r.State.Set {
		out = append(out, Set(c, s))
	}
	if r.Sound {
		out = append(out, "on a sound machine")
	}
	if r.Wiggle != "" {
		out = append(out, r.Wiggle+nbsp+"moved")
	}
	if r.Symptom != circuits.SymptomUnknown {
		out = append(out, "symptom"+nbsp+string(r.Symptom))
	}
	return strings.Join(out, ", ")
}

// readingWords are the leads and the conditions of a reading.
func readingWords(c *circuits.Circuit, r circuits.Reading) string {
	if s := Conditions(c, r); s != "" {
		return Where(r) + ", " + s
	}
	return Where(r)
}

// Read says what a reading showed, "" for one that is planned.
func Read(r circuits.Reading) string {
	switch {
	case !r.Taken:
		return ""
	case r.Pair && r.OL:
		return Value(r.Quantity, r.Value) + " to" + nbsp + "OL"
	case r.Pair:
		return Value(r.Quantity, r.Value) + " to" + nbsp + held(Value(r.Quantity, r.High))
	case r.OL:
		return "OL"
	}
	return Value(r.Quantity, r.Value)
}

// held keeps a number and its unit on one line.
func held(s string) string { return strings.ReplaceAll(s, " ", nbsp) }

// Stimulus says what a part is set to, in its own unit too where the circuit knows it.
func Stimulus(c *circuits.Circuit, device string, set float64) string {
	d := c.Device(device)
	if d == nil {
		return device + nbsp + "at" + nbsp + plainNumber(set)
	}
	return device + " " + setWords(d, set)
}

// Set says what a reading set a part to, or from where to where it was moved.
func Set(c *circuits.Circuit, s circuits.SetDevice) string {
	words := Stimulus(c, s.Device, s.Set)
	if d := c.Device(s.Device); s.Moved && d != nil {
		words += ", moved to" + nbsp + strings.TrimPrefix(setWords(d, s.To), "at"+nbsp)
	}
	return words
}

// setWords says a stimulus without the part's name.
func setWords(d *circuits.Device, set float64) string {
	if d.Kind.TwoState() {
		states := d.Kind.Type().Stimulus.States
		return map[bool]string{true: states[1], false: states[0]}[set != 0]
	}
	out := "at" + nbsp + plainNumber(set) + stimulusUnit(d.Kind)
	if d.Reads != nil {
		out += " (" + ownUnit(d, set) + ")"
	}
	return out
}

// stimulusUnit is the unit in which the contract writes a kind's stimulus.
func stimulusUnit(k circuits.DeviceKind) string {
	if s := k.Type().Stimulus; s != nil && s.Unit != "" {
		return nbsp + s.Unit
	}
	return ""
}

// ownUnit is what a sensor would say of a stimulus.
func ownUnit(d *circuits.Device, set float64) string {
	return held(plainNumber(rounded(d.Reads.At(set))) + " " + d.Reads.Unit)
}

// Place says in words what stands at a location: which wire, which contact, which part.
func Place(c *circuits.Circuit, l circuits.Location) string {
	if l.IsWire() {
		w := c.Wire(l)
		if w == nil {
			return "wire"
		}
		return inShort(c, l) + ", " + plainNumber(w.LengthM) + nbsp + "m, from " + named(c, l.From.Place) + " to " + named(c, l.To.Place)
	}
	p := l.From
	switch {
	case c.Pin(p) != nil && p.Side == "device":
		return "inside " + named(c, p.Place) + ", behind pin" + nbsp + p.Cavity
	case p.Cavity != "":
		return "contact" + nbsp + p.Cavity + " of " + named(c, p.Place)
	}
	return named(c, p.Place)
}

// FaultPlace says in words where a fault is; "" for healthy and unlisted.
func FaultPlace(c *circuits.Circuit, f circuits.Fault) string {
	if f.IsDouble() {
		return singlePlace(c, f.First) + "; and " + singlePlace(c, f.Second)
	}
	return singlePlace(c, f.First)
}

func singlePlace(c *circuits.Circuit, s circuits.Single) string {
	switch {
	case s.At.IsZero():
		return ""
	case s.To.IsZero():
		return Place(c, s.At)
	}
	return inShort(c, s.At) + " and " + inShort(c, s.To)
}

// inShort names one of two places.
func inShort(c *circuits.Circuit, l circuits.Location) string {
	if !l.IsWire() {
		return "contact" + nbsp + l.From.String()
	}
	w := c.Wire(l)
	if w == nil {
		return "wire" + nbsp + l.String()
	}
	out := "wire"
	if w.Color != "" {
		out = w.Color + nbsp + "wire"
	}
	if run := c.Runs[w.Run]; run.Name != "" {
		out += " of the " + run.Name
	}
	return out
}

// named is a place's short name with what it is called.
func named(c *circuits.Circuit, name string) string {
	if label := c.Label(name); label != name {
		return name + " (" + label + ")"
	}
	if kind := c.KindOf(name); kind != "" && kind != "device" && kind != "battery post" {
		return kind + nbsp + name
	}
	return name
}
