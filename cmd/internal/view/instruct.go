package view

import (
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/network"
	"ohmtrail/solver/safety"
)

// Instruction says a reading as one tells a technician to take it: what is taken back of the state that the machine was left in,
// then its own state, from the key to the leads, then where the meter goes and what it measures.
func Instruction(c *circuits.Circuit, left, r circuits.Reading) string {
	return strings.Join(Steps(c, left, r), " ")
}

// Steps are the sentences of an instruction, one for each thing that a hand does. The machine stands as it was left after
// another reading; the zero reading leaves it with everything plugged in.
func Steps(c *circuits.Circuit, left, r circuits.Reading) []string {
	var out []string
	say := func(words string) { out = append(out, words+".") }
	undo := r.Before(left)
	rigged := rigging(c, left, r)
	off := r.State.Key == circuits.KeyOff || len(rigged) > 0 || undo.ByHand() // nothing is parted or joined under power
	if undo.EngineOff {
		say("Engine" + nbsp + "off")
	}
	if off {
		say("Key" + nbsp + "off")
	}
	for _, words := range takenBack(c, undo) {
		say(words)
	}
	for _, words := range kept(c, left, r) {
		say(words)
	}
	for _, words := range rigged {
		say(words)
	}
	for _, s := range r.State.Set {
		say("See that " + stimulusTold(c, s))
	}
	switch r.State.Key {
	case circuits.KeyOn:
		say("Key" + nbsp + "on")
	case circuits.KeyRun:
		say("Engine" + nbsp + "running")
	}
	if r.Wiggle != "" {
		say("Move " + r.Wiggle + " by hand, and note the lowest and the highest value")
	}
	say(leads(c, r))
	return out
}

// rigging is what is parted and joined for a reading, beyond what is so already.
func rigging(c *circuits.Circuit, left, r circuits.Reading) []string {
	more := left.Before(r) // what one would take back to come to where the machine stands
	var out []string
	if len(more.PlugIn) > 0 {
		out = append(out, "Unplug "+plugsTold(c, more.PlugIn))
	}
	for _, j := range more.Jumpers {
		out = append(out, "Join "+pointTold(c, r, j[0])+" to "+pointTold(c, r, j[1])+" with a fused lead")
	}
	for _, l := range more.Loads {
		out = append(out, "Put "+held(models.SI(l.Ohms, "Ω"))+ofWatts(c, r, l)+" from "+pointTold(c, r, l.From)+" to "+pointTold(c, r, l.To))
	}
	return out
}

// wattsAll are the watts that every resistor bears; of more it is said.
const wattsAll = 0.25

// ofWatts says what a test resistor turns into heat, with nothing wrong: half as much again is what it must bear.
func ofWatts(c *circuits.Circuit, r circuits.Reading, l circuits.LoadLead) string {
	currents, _ := network.Currents(c, r, nil)
	for _, f := range currents {
		if f.In == network.InLoad && r.State.Loads[f.Index] == l && f.Amps*f.Volts > wattsAll {
			return " (" + held(roughly(1.5*f.Amps*f.Volts, "W")) + " or more)"
		}
	}
	return ""
}

// plugTold names a connector that is taken apart.
func plugTold(c *circuits.Circuit, plug string) string {
	if c.KindOf(plug) == "" {
		return "connector" + nbsp + plug // one of a module's
	}
	return named(c, plug)
}

// stimulusTold says what a part must be set to.
func stimulusTold(c *circuits.Circuit, s circuits.SetDevice) string {
	d := c.Device(s.Device)
	if d == nil {
		return Stimulus(c, s.Device, s.Set)
	}
	return named(c, d.Name) + " is " + setWords(d, s.Set)
}

// leads says where the meter goes, or what the scan tool shows.
func leads(c *circuits.Circuit, r circuits.Reading) string {
	switch r.Quantity {
	case circuits.ScanVolts:
		words := "Volts of " + r.At.String()
		if pin := c.Pin(r.Point()); pin != nil && pin.Label != "" {
			words += " (" + pin.Label + ")"
		}
		return words + " as the scan tool shows them"
	case circuits.Amps:
		if needsClamp(c, r) {
			return "Amps with a current clamp round the wire at " + r.At.String()
		}
		return "Amps in the place of " + amperePlace(c, r.At)
	}
	quantity := "volts"
	if r.Quantity == circuits.Ohms {
		quantity = "ohms"
	}
	return "Red lead on " + pointTold(c, r, r.Point()) + ", black on " + pointTold(c, r, r.To) + ": " + quantity
}

// needsClamp tells whether more would flow through an ammeter than it bears.
func needsClamp(c *circuits.Circuit, r circuits.Reading) bool {
	return slices.ContainsFunc(safety.Look(c, r, nil), func(d safety.Danger) bool { return d.Kind == safety.MeterAmps })
}

// amperePlace says what an ammeter stands in for, and which way round: positive is from the harness into a part, else in
// path order.
func amperePlace(c *circuits.Circuit, at circuits.Location) string {
	if w := c.Wire(at); w != nil {
		return "the wire " + at.String() + ", red lead on the side of " + w.From.String()
	}
	if k := c.Contact(at); k != nil {
		side := "harness side"
		if from, _ := k.InPathOrder(); from.Side != "" {
			side = from.Side + " half"
		}
		return "contact" + nbsp + at.String() + ", red lead on the " + side
	}
	return named(c, at.From.Place) + ", red lead on the wire"
}

// pointTold is a point with what a hand finds there: the side, the colour of its wire, whether it is back-probed.
func pointTold(c *circuits.Circuit, r circuits.Reading, p circuits.Point) string {
	if p.Cavity == "" {
		if label := c.Label(p.Place); label != p.Place {
			return p.Place + " (" + label + ")"
		}
		if kind := c.KindOf(p.Place); kind != "" && kind != "battery post" {
			return kind + nbsp + p.Place
		}
		return p.String()
	}
	var facts []string
	apart := slices.Contains(r.State.Unplugged, c.PlugOf(p))
	inLine := c.Connector(p.Place) != nil
	switch {
	case !inLine && p.Side != "":
		return p.String() + " (the part's own pin)"
	case !apart:
		facts = append(facts, "back-probed")
	case !inLine:
		facts = append(facts, "harness side")
	}
	if color := colorAt(c, p); color != "" {
		facts = append(facts, color+nbsp+"wire")
	}
	if len(facts) == 0 {
		return p.String()
	}
	return p.String() + " (" + strings.Join(facts, ", ") + ")"
}

// colorAt is the colour of the wire at a point, "" where there is none or more than one.
func colorAt(c *circuits.Circuit, p circuits.Point) string {
	color := ""
	for i := range c.Wires {
		w := &c.Wires[i]
		if w.From != p && w.To != p {
			continue
		}
		if color != "" && color != w.Color {
			return ""
		}
		color = w.Color
	}
	return color
}

// ReadingCautions are the words of care that one reading asks for, common practice without a source where no line says
// otherwise. No more is said of a module than the leads can reach of it.
func ReadingCautions(c *circuits.Circuit, r circuits.Reading) []string {
	own := *c
	own.Modules = reachedModules(c, touched(r))
	out := Cautions(&circuits.Job{Circuit: &own, Readings: []circuits.Reading{r}})
	if r.Quantity == circuits.Amps && !c.Pyrotechnic && !needsClamp(c, r) {
		out = append(out, "Amps: the leads in the meter's amps sockets, the current within its fuse, and back again before the next reading.")
	}
	return out
}

// touched are the points that a meter's leads, jumpers and loads touch.
func touched(r circuits.Reading) []circuits.Point {
	var out []circuits.Point
	if r.Quantity == circuits.Volts || r.Quantity == circuits.Ohms {
		out = append(out, r.Point(), r.To)
	}
	for _, j := range r.State.Jumpers {
		out = append(out, j[0], j[1])
	}
	for _, l := range r.State.Loads {
		out = append(out, l.From, l.To)
	}
	return out
}

// reachedModules are the modules with those of their pins alone that stand on a touched piece of copper.
func reachedModules(c *circuits.Circuit, touched []circuits.Point) []circuits.Module {
	reached := map[circuits.Point]bool{}
	copper := c.Copper()
	for _, p := range touched {
		if _, wired := copper.NetOf(p); wired {
			for _, q := range copper.Net(p) {
				reached[q.Terminal()] = true
			}
		}
	}
	var out []circuits.Module
	for _, m := range c.Modules {
		pins := m.Pins
		m.Pins = nil
		for _, pin := range pins {
			if reached[pin.Point()] {
				m.Pins = append(m.Pins, pin)
			}
		}
		out = append(out, m)
	}
	return out
}
