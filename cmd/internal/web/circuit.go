package web

import (
	"net/http"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
)

// circuitJSON is what a page must know of a circuit to let readings be entered.
type circuitJSON struct {
	Version string      `json:"version"`
	Parts   []partJSON  `json:"parts"`
	Plugs   []namedJSON `json:"plugs"`  // what can be unplugged
	Sets    []setJSON   `json:"sets"`   // parts whose stimulus may be known
	Places  []namedJSON `json:"places"` // what can be moved, or looked at
	Seen    []string    `json:"seen"`
}

// partJSON is a part with the points at it that a lead can touch.
type partJSON struct {
	Name   string      `json:"name"`
	Label  string      `json:"label"`
	Points []pointJSON `json:"points"`
}

// pointJSON is a point that a lead can touch.
type pointJSON struct {
	At    string      `json:"at"`
	Words string      `json:"words"` // what is there: "supply, OG/WH wire"
	Plug  string      `json:"plug"`  // the connector it belongs to; "" for none
	Apart bool        `json:"apart"` // a lead reaches it only with the plug apart
	Scan  bool        `json:"scan"`  // the module reports its volts
	Amps  []namedJSON `json:"amps"`  // what an ammeter can stand in for here
}

type namedJSON struct {
	Name  string `json:"name"`
	Words string `json:"words"`
}

// setJSON is a part whose stimulus may be known.
type setJSON struct {
	Name  string  `json:"name"`
	Words string  `json:"words"`
	Unit  string  `json:"unit"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Two   bool    `json:"two"` // it is 0 or 1
}

// showCircuit answers with a job's circuit.
func (p *Page) showCircuit(r *http.Request) (any, error) {
	_, s, err := p.usable(r)
	if err != nil {
		return nil, err
	}
	out := circuitOf(s.job.Circuit)
	out.Version = s.version
	return out, nil
}

func circuitOf(c *circuits.Circuit) circuitJSON {
	out := circuitJSON{Parts: []partJSON{}, Plugs: []namedJSON{}, Sets: []setJSON{}, Places: []namedJSON{}, Seen: circuits.SeenWords()}
	part := func(name string, points []pointJSON) {
		if len(points) > 0 {
			out.Parts = append(out.Parts, partJSON{name, labelOf(c, name), points})
		}
		out.Places = append(out.Places, namedJSON{name, labelOf(c, name)})
	}
	for _, d := range c.Devices {
		var points []pointJSON
		for _, t := range d.Terminals {
			at := circuits.Point{Place: d.Name, Cavity: t.Cavity}
			points = append(points, pointOf(c, at, t.Role), pointOf(c, circuits.Point{Place: d.Name, Cavity: t.Cavity, Side: "device"}, t.Role+", the part's own pin"))
		}
		part(d.Name, points)
		if d.Kind.HasStimulus() {
			out.Sets = append(out.Sets, setJSON{d.Name, d.Label, unitOf(d.Kind), d.Range[0], d.Range[1], d.Kind.TwoState()})
		}
	}
	for _, k := range c.Connectors {
		var points []pointJSON
		for _, cavity := range c.Cavities(k.Name) {
			for side, name := range k.Sides {
				if side == 0 || k.Crossed {
					points = append(points, pointOf(c, circuits.Point{Place: k.Name, Cavity: cavity, Side: name}, name+" half"))
				}
			}
		}
		part(k.Name, points)
	}
	for _, s := range c.Splices {
		part(s.Name, []pointJSON{pointOf(c, circuits.Point{Place: s.Name}, "splice")})
	}
	for _, s := range c.Studs {
		part(s.Name, []pointJSON{pointOf(c, circuits.Point{Place: s.Name}, "ground stud, wire side")})
	}
	for _, m := range c.Modules {
		var points []pointJSON
		for _, pin := range m.Pins {
			words := string(pin.Kind)
			if pin.Label != "" {
				words = pin.Label
			}
			one := pointOf(c, pin.Point(), words)
			one.Scan = pin.Kind == circuits.PinInput
			points = append(points, one)
		}
		part(m.Name, points)
	}
	out.Parts = append(out.Parts, partJSON{"battery", "", []pointJSON{pointOf(c, circuits.BNegative, "battery negative post"),
		pointOf(c, circuits.Point{Place: "B+"}, "battery positive post")}})
	for _, plug := range c.Plugs() {
		out.Plugs = append(out.Plugs, namedJSON{plug, labelOf(c, plug)})
	}
	for _, w := range c.Wires {
		out.Places = append(out.Places, namedJSON{w.Location.String(), spaced(view.Place(c, w.Location))})
	}
	for _, k := range c.Contacts {
		out.Places = append(out.Places, namedJSON{k.Location.String(), spaced(view.Place(c, k.Location))})
	}
	return out
}

// labelOf is a place's long name; "" where it has none.
func labelOf(c *circuits.Circuit, name string) string {
	if l := c.Label(name); l != name {
		return l
	}
	return ""
}

func pointOf(c *circuits.Circuit, at circuits.Point, words string) pointJSON {
	out := pointJSON{At: at.String(), Words: words, Plug: c.PlugOf(at), Apart: at.Side == "device", Amps: []namedJSON{}}
	if resolved, err := c.Resolve(at); err == nil {
		out.At = resolved.String()
		at = resolved
	}
	var colors []string
	for _, w := range c.Wires {
		if w.From != at && w.To != at {
			continue
		}
		if w.Color != "" && !slices.Contains(colors, w.Color) {
			colors = append(colors, w.Color)
		}
		out.Amps = append(out.Amps, namedJSON{w.Location.String(), spaced(view.Place(c, w.Location))})
	}
	if len(colors) == 1 {
		out.Words += ", " + colors[0] + " wire"
	}
	if k := c.Contact(circuits.PointLocation(at.Terminal())); k != nil && at.Cavity != "" {
		out.Amps = append([]namedJSON{{k.Location.String(), spaced(view.Place(c, k.Location))}}, out.Amps...)
	} else if c.Stud(at.Place) != nil {
		out.Amps = append([]namedJSON{{at.Place, "the joint of " + at.Place}}, out.Amps...)
	}
	return out
}

// unitOf is the unit in which the contract writes a kind's stimulus.
func unitOf(k circuits.DeviceKind) string {
	switch k {
	case circuits.Thermistor, circuits.RTD:
		return "°C"
	case circuits.CurrentLoop:
		return "mA"
	case circuits.Zirconia:
		return "V"
	}
	return ""
}
