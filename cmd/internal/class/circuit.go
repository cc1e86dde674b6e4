package class

import (
	"encoding/json"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/page"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
)

// circuitJSON is what a page must know of a circuit to let somebody measure, look, repair and name a fault. It is made of
// the circuit alone: it is the same for every exercise on it.
type circuitJSON struct {
	Parts []page.Part    `json:"parts"`
	Plugs []page.Named   `json:"plugs"`
	Sets  []page.Setting `json:"sets"`  // parts that can be moved or switched
	Looks []page.Named   `json:"looks"` // what an eye or a hand can be at
	Fixes []page.Named   `json:"fixes"` // what can be put right
	Finds []findJSON     `json:"finds"` // what can be named, by kind
}

// findJSON is a kind of fault with every place that can have it.
type findJSON struct {
	Kind   string       `json:"kind"`
	Faults []page.Named `json:"faults"`
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
	settable := func(k circuits.DeviceKind) bool {
		s := k.Type().Stimulus
		return s != nil && s.ByHand
	}
	return circuitJSON{page.Parts(c), page.Plugs(c), page.Settings(c, settable), page.Places(c), fixesOf(c), findsOf(c)}
}

// fixesOf lists what can be put right: parts that can be replaced, studs, contacts, wires.
func fixesOf(c *circuits.Circuit) []page.Named {
	var out []page.Named
	for _, m := range c.Modules {
		out = append(out, page.Named{Name: m.Name, Words: "replace it: " + c.Label(m.Name)})
	}
	for _, d := range c.Devices {
		out = append(out, page.Named{Name: d.Name, Words: "replace it: " + c.Label(d.Name)})
	}
	for _, s := range c.Studs {
		out = append(out, page.At(c, circuits.PointLocation(circuits.Point{Place: s.Name})))
	}
	return append(out, page.Joints(c)...)
}

// findsOf lists every fault that the circuit allows, whatever the exercise: kinds in the order of the contract.
func findsOf(c *circuits.Circuit) []findJSON {
	var out []findJSON
	for kind := circuits.Open; kind <= circuits.ModuleInside; kind++ {
		f := findJSON{Kind: kind.String(), Faults: []page.Named{}}
		for _, h := range hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil) {
			if h.Fault.Kind == kind {
				words := page.Spaced(view.FaultPlace(c, circuits.Fault{First: h.Fault}))
				if h.Fault.Words != "" {
					words = h.Fault.Words + ": " + words
				}
				f.Faults = append(f.Faults, page.Named{Name: h.Fault.String(), Words: words})
			}
		}
		if len(f.Faults) > 0 {
			out = append(out, f)
		}
	}
	return out
}
