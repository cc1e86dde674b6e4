package page

import (
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
)

// Part is a part with the points at it that a lead can touch.
type Part struct {
	Name   string  `json:"name"`
	Label  string  `json:"label"`
	Points []Point `json:"points"`
}

// Point is a point that a lead can touch.
type Point struct {
	At    string  `json:"at"`
	Words string  `json:"words"` // what is there: "supply, OG/WH wire"
	Plug  string  `json:"plug"`  // the connector it belongs to; "" for none
	Apart bool    `json:"apart"` // a lead reaches it only with the plug apart
	Scan  bool    `json:"scan"`  // the module reports its volts
	Amps  []Named `json:"amps"`  // what an ammeter can stand in for here
}

// Named is a place or a fault by its name, with what people call it.
type Named struct {
	Name  string `json:"name"`
	Words string `json:"words"`
}

// Setting is a part whose stimulus may be known, or set.
type Setting struct {
	Name  string  `json:"name"`
	Words string  `json:"words"`
	Unit  string  `json:"unit"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Two   bool    `json:"two"` // it is 0 or 1
}

// Parts are a circuit's parts that a lead can touch, devices first, the battery last.
func Parts(c *circuits.Circuit) []Part {
	out := []Part{}
	part := func(name string, points ...Point) {
		if len(points) > 0 {
			out = append(out, Part{name, Label(c, name), points})
		}
	}
	for _, d := range c.Devices {
		var points []Point
		for _, t := range d.Terminals {
			at, role := circuits.Point{Place: d.Name, Cavity: t.Cavity}, t.Role
			if len(role) == 1 {
				role = "terminal"
			}
			own := at
			own.Side = "device"
			points = append(points, pointAt(c, at, role), pointAt(c, own, role+", the part's own pin"))
		}
		part(d.Name, points...)
	}
	for _, k := range c.Connectors {
		var points []Point
		for _, cavity := range c.Cavities(k.Name) {
			for side, name := range k.Sides {
				if side == 0 || k.Crossed {
					points = append(points, pointAt(c, circuits.Point{Place: k.Name, Cavity: cavity, Side: name}, name+" half"))
				}
			}
		}
		part(k.Name, points...)
	}
	for _, s := range c.Splices {
		part(s.Name, pointAt(c, circuits.Point{Place: s.Name}, "splice"))
	}
	for _, s := range c.Studs {
		part(s.Name, pointAt(c, circuits.Point{Place: s.Name}, "ground stud, wire side"))
	}
	for _, m := range c.Modules {
		var points []Point
		for _, pin := range m.Pins {
			one := pointAt(c, pin.Point(), pinWords(pin))
			one.Scan = pin.Kind == circuits.PinInput
			points = append(points, one)
		}
		part(m.Name, points...)
	}
	battery := []Point{pointAt(c, circuits.BNegative, "battery negative post"), pointAt(c, circuits.BPositive, "battery positive post")}
	return append(out, Part{Name: "battery", Points: battery})
}

// Places are what an eye or a hand can be at: parts, contacts and wires.
func Places(c *circuits.Circuit) []Named {
	out := []Named{}
	place := func(name string) { out = append(out, Named{name, Label(c, name)}) }
	for _, d := range c.Devices {
		place(d.Name)
	}
	for _, k := range c.Connectors {
		place(k.Name)
	}
	for _, s := range c.Splices {
		place(s.Name)
	}
	for _, s := range c.Studs {
		place(s.Name)
	}
	for _, m := range c.Modules {
		place(m.Name)
	}
	return append(out, Joints(c)...)
}

// Joints are a circuit's contacts and wires.
func Joints(c *circuits.Circuit) []Named {
	out := []Named{}
	for _, k := range c.Contacts {
		out = append(out, At(c, k.Location))
	}
	for _, w := range c.Wires {
		out = append(out, At(c, w.Location))
	}
	return out
}

// Plugs are what can be unplugged.
func Plugs(c *circuits.Circuit) []Named {
	out := []Named{}
	for _, plug := range c.Plugs() {
		out = append(out, Named{plug, Label(c, plug)})
	}
	return out
}

// Settings are the parts of the circuit that a page may ask the stimulus of.
func Settings(c *circuits.Circuit, asks func(circuits.DeviceKind) bool) []Setting {
	out := []Setting{}
	for _, d := range c.Devices {
		if d.Kind.HasStimulus() && asks(d.Kind) {
			out = append(out, Setting{d.Name, Label(c, d.Name), d.Kind.Type().Stimulus.Unit, d.Range[0], d.Range[1], d.Kind.TwoState()})
		}
	}
	return out
}

// At is a place with its words.
func At(c *circuits.Circuit, l circuits.Location) Named {
	return Named{l.String(), Spaced(view.Place(c, l))}
}

// Label is a place's long name; "" where it has none.
func Label(c *circuits.Circuit, name string) string {
	if l := c.Label(name); l != name {
		return l
	}
	return ""
}

// Spaced has words part at any space, as a page of any width wants it.
func Spaced(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

func pointAt(c *circuits.Circuit, at circuits.Point, words string) Point {
	out := Point{At: at.String(), Words: words, Plug: c.PlugOf(at), Apart: at.Side == "device", Amps: []Named{}}
	if resolved, err := c.Resolve(at); err == nil {
		out.At, at = resolved.String(), resolved
	}
	if k := c.Contact(circuits.PointLocation(at.Terminal())); k != nil && at.Cavity != "" {
		out.Amps = append(out.Amps, At(c, k.Location))
	} else if c.Stud(at.Place) != nil {
		out.Amps = append(out.Amps, Named{at.Place, "the joint of " + at.Place})
	}
	var colors []string
	for _, w := range c.Wires {
		if w.From != at && w.To != at {
			continue
		}
		if w.Color != "" && !slices.Contains(colors, w.Color) {
			colors = append(colors, w.Color)
		}
		out.Amps = append(out.Amps, At(c, w.Location))
	}
	if len(colors) == 1 {
		out.Words += ", " + colors[0] + " wire"
	}
	return out
}

// pinWords say what a pin is for.
func pinWords(p circuits.Pin) string {
	if p.Label != "" {
		return p.Label
	}
	return p.Kind.Type().Word
}
