package plan

import (
	"ohmtrail/circuits"
)

// conductor is what a diagram draws as one line: the points that wires, splices and mated contacts join.
type conductor struct {
	points    []circuits.Point // all of it
	terminals []circuits.Point // module and device terminals on it, harness side, in file order
	pins      []circuits.Point // the module pins among them
}

// conductors follows the harness from terminal to terminal.
func conductors(c *circuits.Circuit) map[circuits.Point]*conductor {
	copper := c.Copper()
	lines := make([]conductor, len(copper.Nets()))
	out := map[circuits.Point]*conductor{}
	add := func(p circuits.Point, pin bool) {
		net, _ := copper.NetOf(p)
		k := &lines[net]
		k.points = copper.Net(p)
		k.terminals = append(k.terminals, p)
		if pin {
			k.pins = append(k.pins, p)
		}
		out[p] = k
	}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if c.Contact(circuits.PointLocation(p.Point())) != nil {
				add(p.Point(), true)
			}
		}
	}
	for _, d := range c.Devices {
		for _, t := range d.Terminals {
			p := circuits.Point{Place: d.Name, Cavity: t.Cavity}
			if c.Contact(circuits.PointLocation(p)) != nil {
				add(p, false)
			}
		}
	}
	return out
}

// inputOf is the module input that a device's terminals lead to.
func inputOf(c *circuits.Circuit, lines map[circuits.Point]*conductor, d *circuits.Device) (circuits.Point, bool) {
	for _, t := range d.Terminals {
		k := lines[circuits.Point{Place: d.Name, Cavity: t.Cavity}]
		if k == nil {
			continue
		}
		for _, pin := range k.pins {
			if c.Pin(pin).Kind == circuits.PinInput {
				return pin, true
			}
		}
	}
	return circuits.Point{}, false
}
