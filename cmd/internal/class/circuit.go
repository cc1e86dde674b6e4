package class

import (
	"encoding/json"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
)

// circuitJSON is what a page must know of a circuit to let somebody measure, look, repair and name a fault. It is made of
// the circuit alone: it is the same for every exercise on it.
type circuitJSON struct {
	Parts []partJSON  `json:"parts"`
	Plugs []namedJSON `json:"plugs"` // what can be unplugged
	Sets  []setJSON   `json:"sets"`  // parts that can be moved or switched
	Looks []namedJSON `json:"looks"` // what an eye or a hand can be at
	Fixes []namedJSON `json:"fixes"` // what can be put right
	Amps  []namedJSON `json:"amps"`  // what an ammeter can stand in for
	Finds []findJSON  `json:"finds"` // what can be named, by kind
}

// partJSON is a part with the points at it that a lead can touch.
type partJSON struct {
	Name   string      `json:"name"`
	Label  string      `json:"label"`
	Points []pointJSON `json:"points"`
}

type pointJSON struct {
	At    string `json:"at"`
	Words string `json:"words"`
	Apart bool   `json:"apart"` // a lead reaches it only with the plug apart
	Scan  bool   `json:"scan"`  // the module reports its volts
}

type namedJSON struct {
	Name  string `json:"name"`
	Words string `json:"words"`
}

type setJSON struct {
	Name  string  `json:"name"`
	Words string  `json:"words"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
	Two   bool    `json:"two"` // it is 0 or 1
}

// findJSON is a kind of fault with every place that can have it.
type findJSON struct {
	Kind   string      `json:"kind"`
	Faults []namedJSON `json:"faults"`
}

// prepare works out once what every student of a circuit is sent.
func (it *item) prepare() {
	c := it.x.Circuit
	body, err := json.Marshal(circuitOf(c))
	if err != nil {
		panic("a circuit without JSON: " + err.Error())
	}
	it.view = body
	it.svg = draw.Draw(c, draw.Marks{Legend: true}).SVG()
}

func circuitOf(c *circuits.Circuit) circuitJSON {
	out := circuitJSON{Sets: []setJSON{}}
	place := func(name string) { out.Looks = append(out.Looks, namedJSON{name, labelOf(c, name)}) }
	for _, m := range c.Modules {
		p := partJSON{Name: m.Name, Label: labelOf(c, m.Name)}
		for _, pin := range m.Pins {
			one := pointOf(c, pin.Point(), pinWords(pin))
			one.Scan = pin.Kind == circuits.PinInput
			p.Points = append(p.Points, one)
		}
		out.Parts = append(out.Parts, p)
		place(m.Name)
		out.Fixes = append(out.Fixes, namedJSON{m.Name, "replace it: " + c.Label(m.Name)})
	}
	for _, k := range c.Connectors {
		p := partJSON{Name: k.Name, Label: labelOf(c, k.Name)}
		for _, cavity := range c.Cavities(k.Name) {
			for i, side := range k.Sides {
				if i == 0 || k.Crossed {
					p.Points = append(p.Points, pointOf(c, circuits.Point{Place: k.Name, Cavity: cavity, Side: side}, side+" half"))
				}
			}
		}
		out.Parts = append(out.Parts, p)
		place(k.Name)
	}
	for _, d := range c.Devices {
		p := partJSON{Name: d.Name, Label: labelOf(c, d.Name)}
		for i, role := range d.Kind.Roles() {
			at := circuits.Point{Place: d.Name, Cavity: d.Terminals[i].Cavity}
			own := at
			own.Side = "device"
			if len(role) == 1 {
				role = "terminal"
			}
			p.Points = append(p.Points, pointOf(c, at, role), pointOf(c, own, role+", the part's own pin"))
		}
		out.Parts = append(out.Parts, p)
		place(d.Name)
		out.Fixes = append(out.Fixes, namedJSON{d.Name, "replace it: " + c.Label(d.Name)})
		if d.Kind.HasStimulus() && d.Kind != circuits.Thermistor && d.Kind != circuits.RTD && d.Kind != circuits.Zirconia {
			out.Sets = append(out.Sets, setJSON{d.Name, labelOf(c, d.Name), d.Range[0], d.Range[1], d.Kind.TwoState()})
		}
	}
	joints := partJSON{Name: "joints and posts"}
	for _, s := range c.Splices {
		joints.Points = append(joints.Points, pointOf(c, circuits.Point{Place: s.Name}, "splice"))
		place(s.Name)
	}
	for _, s := range c.Studs {
		joints.Points = append(joints.Points, pointOf(c, circuits.Point{Place: s.Name}, "ground stud"))
		place(s.Name)
		out.Fixes = append(out.Fixes, namedJSON{s.Name, plain(view.Place(c, circuits.PointLocation(circuits.Point{Place: s.Name})))})
	}
	joints.Points = append(joints.Points, pointOf(c, circuits.BNegative, "battery, negative post"), pointOf(c, circuits.BPositive, "battery, positive post"))
	out.Parts = append(out.Parts, joints)
	for _, plug := range c.Plugs() {
		out.Plugs = append(out.Plugs, namedJSON{plug, labelOf(c, plug)})
	}
	for _, k := range c.Contacts {
		n := namedJSON{k.Location.String(), plain(view.Place(c, k.Location))}
		out.Amps, out.Looks, out.Fixes = append(out.Amps, n), append(out.Looks, n), append(out.Fixes, n)
	}
	for _, w := range c.Wires {
		n := namedJSON{w.Location.String(), plain(view.Place(c, w.Location))}
		out.Amps, out.Looks, out.Fixes = append(out.Amps, n), append(out.Looks, n), append(out.Fixes, n)
	}
	out.Finds = findsOf(c)
	return out
}

// findsOf lists every fault that the circuit allows, whatever the exercise: kinds in the order of the contract.
func findsOf(c *circuits.Circuit) []findJSON {
	var out []findJSON
	for kind := circuits.Open; kind <= circuits.ModuleInside; kind++ {
		f := findJSON{Kind: kind.String(), Faults: []namedJSON{}}
		for _, h := range hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil) {
			if h.Fault.Kind == kind {
				words := plain(view.FaultPlace(c, circuits.Fault{First: h.Fault}))
				if h.Fault.Words != "" {
					words = h.Fault.Words + ": " + words
				}
				f.Faults = append(f.Faults, namedJSON{h.Fault.String(), words})
			}
		}
		if len(f.Faults) > 0 {
			out = append(out, f)
		}
	}
	return out
}

// pinWords say what a pin is for.
func pinWords(p circuits.Pin) string {
	if p.Label != "" {
		return p.Label
	}
	return map[circuits.PinKind]string{circuits.PinLowSide: "driver to ground", circuits.PinHighSide: "driver from supply",
		circuits.PinCANHigh: "bus, high", circuits.PinCANLow: "bus, low", circuits.PinLIN: "bus"}[p.Kind] + map[bool]string{true: string(p.Kind)}[plainKind(p.Kind)]
}

// plainKind tells whether a kind's own word says what it is.
func plainKind(k circuits.PinKind) bool {
	return slices.Contains([]circuits.PinKind{circuits.PinReference, circuits.PinInput, circuits.PinReturn, circuits.PinGround, circuits.PinPower}, k)
}

// labelOf is a place's long name; "" where it has none.
func labelOf(c *circuits.Circuit, name string) string {
	if l := c.Label(name); l != name {
		return l
	}
	return ""
}

func pointOf(c *circuits.Circuit, at circuits.Point, words string) pointJSON {
	out := pointJSON{At: at.String(), Words: words, Apart: at.Side == "device"}
	if full, err := c.Resolve(at); err == nil {
		out.At, at = full.String(), full
	}
	var colors []string
	for _, w := range c.Wires {
		if (w.From == at || w.To == at) && w.Color != "" && !slices.Contains(colors, w.Color) {
			colors = append(colors, w.Color)
		}
	}
	if len(colors) == 1 {
		out.Words += ", " + colors[0] + " wire"
	}
	return out
}
