package circuits

import (
	"slices"
	"sort"
	"strings"
)

// Cavities are the cavities of a module, device or in-line connector, in file order; nil for anything else.
func (c *Circuit) Cavities(name string) []string {
	var out []string
	switch e := c.elements[name]; e.Kind {
	case ElementModule:
		for _, p := range c.Modules[e.Index].Pins {
			out = append(out, p.Cavity)
		}
	case ElementDevice:
		for _, t := range c.Devices[e.Index].Terminals {
			out = append(out, t.Cavity)
		}
	case ElementConnector:
		out = slices.Clip(c.ways[name])
	}
	return out
}

// Names are all names of places, in alphabetical order.
func (c *Circuit) Names() []string {
	var out []string
	for n := range c.elements {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}

// Plugs are the names by which a job may unplug something here, in file order: in-line connectors, devices, and
// module connectors.
func (c *Circuit) Plugs() []string {
	var out []string
	for _, m := range c.Modules {
		out = append(out, c.modulePlugs(m)...)
	}
	for _, d := range c.Devices {
		out = append(out, d.Name)
	}
	for _, k := range c.Connectors {
		out = append(out, k.Name)
	}
	return out
}

func (c *Circuit) modulePlugs(m Module) []string {
	var out []string
	for _, p := range m.Pins {
		if n := p.Connector(); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// PlugsNamed are the connectors that a name in a job's `unplugged` takes apart: itself, or for a module with lettered
// connectors all of them; nil for an unknown name.
func (c *Circuit) PlugsNamed(name string) []string {
	switch e := c.elements[name]; e.Kind {
	case ElementDevice, ElementConnector:
		return []string{name}
	case ElementModule:
		plugs := c.modulePlugs(c.Modules[e.Index])
		if slices.Contains(plugs, name) {
			return []string{name}
		}
		return plugs
	}
	if module, _, lettered := strings.Cut(name, "."); lettered {
		if m := c.Module(module); m != nil && slices.Contains(c.modulePlugs(*m), name) {
			return []string{name}
		}
	}
	return nil
}

// PlugOf is the connector that a terminal belongs to, as a job unplugs it; "" for a splice, stud or post.
func (c *Circuit) PlugOf(p Point) string {
	switch c.elements[p.Place].Kind {
	case ElementModule:
		return moduleConnector(p.Place, p.Cavity)
	case ElementDevice, ElementConnector:
		return p.Place
	}
	return ""
}

// DeviceNames are the names of the devices, in file order.
func (c *Circuit) DeviceNames() []string {
	var out []string
	for _, d := range c.Devices {
		out = append(out, d.Name)
	}
	return out
}

// Codes are the codes that the circuit's pins can set, in file order.
func (c *Circuit) Codes() []string {
	var out []string
	met := map[string]bool{"": true}
	for _, m := range c.Modules {
		for _, pin := range m.Pins {
			for _, l := range []*Limit{pin.Below, pin.Above} {
				if l != nil && !met[l.Code] {
					met[l.Code] = true
					out = append(out, l.Code)
				}
			}
		}
	}
	return out
}

// Stimulated are the devices that something outside the circuit sets.
func (c *Circuit) Stimulated() []string {
	var out []string
	for _, d := range c.Devices {
		if d.Kind.HasStimulus() {
			out = append(out, d.Name)
		}
	}
	return out
}

// Inputs are the input pins of all modules.
func (c *Circuit) Inputs() []string {
	var out []string
	for _, m := range c.Modules {
		for _, pin := range m.Pins {
			if pin.Kind == PinInput {
				out = append(out, pin.Point().String())
			}
		}
	}
	return out
}
