package worksheet

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
)

// why says in sentences, from the solver's numbers, why the points read what they do under a column's fault: what
// happens at the fault's own place, then, for each piece of copper, what holds it and which current flows. Points that
// read as healthy are named in one sentence.
func (m *maker) why(healthy, c Column) []string {
	var out []string
	f := c.Fault.First
	if w := m.atPlace(f); w != "" {
		out = append(out, w)
	}
	out = append(out, m.lifted(c.Fault)...)
	k := pieces(m.circuit, f)
	done := map[circuits.Point]bool{}
	var same []int
	for i, p := range m.points {
		root := k.Net(p)[0]
		if f.Kind != circuits.Healthy && alikeCells(healthy.Cells[i], c.Cells[i]) {
			same = append(same, i)
			continue
		}
		if done[root] {
			continue
		}
		done[root] = true
		var list []int
		for n, q := range m.points {
			if k.Net(q)[0] == root && (f.Kind == circuits.Healthy || !alikeCells(healthy.Cells[n], c.Cells[n])) {
				list = append(list, n)
			}
		}
		out = append(out, m.piece(k, c, list))
	}
	if len(same) > 0 {
		out = append(out, say("why.same", "points", numbers(same), "volts", Volts(differs)))
	}
	return out
}

// atPlace says what a fault does at its own place.
func (m *maker) atPlace(f circuits.Single) string {
	switch f.Kind {
	case circuits.Open:
		return say("why.open", "place", f.At.String())
	case circuits.HighResistance:
		a, b := endsOf(m.circuit, f.At)
		r := circuits.Reading{At: circuits.PointLocation(a), To: b, Quantity: circuits.Volts, State: keyOn}
		e := evidence.Expect(m.job, r, circuits.Fault{First: f})
		if e.Status != network.Fine {
			return ""
		}
		return say("why.resistance", "amps", current(math.Abs(e.Value)/f.Ohms), "ohms", ohm(f.Ohms), "volts", Volts(math.Abs(e.Value)))
	case circuits.ShortToGround:
		return say("why.to_ground")
	case circuits.ShortToVoltage:
		return say("why.to_voltage")
	case circuits.ShortBetween:
		return say("why.between")
	}
	return ""
}

// liftedVolts is how far a module's own ground may stand above B- and nothing is said of it.
const liftedVolts = 0.3

// lifted says which modules' own ground a fault lifts, for everything on them rises with it.
func (m *maker) lifted(f circuits.Fault) []string {
	var out []string
	for _, mod := range m.circuit.Modules {
		for _, p := range mod.Pins {
			if p.Kind != circuits.PinGround {
				continue
			}
			e := evidence.Expect(m.job, at(p.Point()), f)
			if e.Status == network.Fine && e.Value > liftedVolts {
				out = append(out, say("why.lifted", "module", mod.Name, "volts", Volts(e.Value)))
			}
			break
		}
	}
	return out
}

func current(amps float64) string {
	if math.Abs(amps) < 5e-9 {
		return say("current")
	}
	return held(models.SI(math.Abs(amps), "A"))
}

// piece says what holds one piece of copper, and what stands on it.
func (m *maker) piece(k *circuits.Copper, c Column, list []int) string {
	p := m.points[list[0]]
	holders := m.holders(k, c.Fault, p)
	value := c.Cells[list[0]].Shown
	lowest, highest := c.Cells[list[0]].Value, c.Cells[list[0]].Value
	for _, n := range list {
		lowest, highest = min(lowest, c.Cells[n].Value), max(highest, c.Cells[n].Value)
	}
	if a, b := Volts(lowest), Volts(highest); a != b {
		value = span(lowest, highest)
	}
	switch subject := numbers(list); {
	case c.Cells[list[0]].floats():
		return say("why.floats", "points", subject)
	case len(holders) == 0:
		return say("why.alone", "points", subject, "value", value)
	default:
		return say("why.held", "points", subject, "holders", strings.Join(holders, "; "), "value", value)
	}
}

// holders are what hangs on the copper of a point, with the current of each.
func (m *maker) holders(k *circuits.Copper, f circuits.Fault, at circuits.Point) []string {
	var out []string
	if k.Joined(at, circuits.BPositive) {
		out = append(out, "B+")
	}
	if k.Joined(at, circuits.BNegative) {
		out = append(out, say("why.ground"))
	}
	for _, mod := range m.circuit.Modules {
		for _, p := range mod.Pins {
			inside := p.Point()
			inside.Side = "device"
			if !k.Joined(at, inside) {
				continue
			}
			words := ""
			switch pin := p.Point().String(); p.Kind {
			case circuits.PinPower:
				words = say("why.power_pin", "pin", pin)
			case circuits.PinGround:
				words = say("why.ground_pin", "pin", pin)
			default:
				words = say("why.pin", "pin", pin, "words", pinWords(p))
			}
			out = append(out, words+m.flows(f, p.Point(), true)+insideWords(f.First, p.Inside()))
		}
	}
	for i := range m.circuit.Devices {
		d := &m.circuit.Devices[i]
		for t, role := range d.Kind.Roles() {
			inside := circuits.Point{Place: d.Name, Cavity: d.Terminals[t].Cavity, Side: "device"}
			if !k.Joined(at, inside) {
				continue
			}
			words := say("why.terminal", "pin", inside.Terminal().String(), "part", m.circuit.Label(d.Name))
			if len(role) > 1 {
				words = say("why.role", "terminal", words, "role", role)
			}
			out = append(out, words+m.taps(f, d, role)+m.flows(f, inside.Terminal(), false)+insideWords(f.First, circuits.PointLocation(circuits.Point{Place: d.Name})))
		}
	}
	return out
}

// taps says of which voltage a sensor's output is a share, "" for any other terminal and where a fault in the sensor or at
// its plug makes another thing of it.
func (m *maker) taps(f circuits.Fault, d *circuits.Device, role string) string {
	share := 0.0
	set, _ := m.job.SetOf(circuits.Reading{}, d)
	switch {
	case d.Kind == circuits.Potentiometer && role == "wiper":
		share = set
	case d.Kind == circuits.Ratiometric && role == "output":
		share = d.Low + set*(d.High-d.Low)
	default:
		return ""
	}
	if f.First.At.From.Place == d.Name || f.First.To.From.Place == d.Name {
		return ""
	}
	across := evidence.Expect(m.job, circuits.Reading{At: circuits.PointLocation(d.Terminal("supply")), To: d.Terminal("return"), Quantity: circuits.Volts, State: keyOn}, f)
	if across.Status != network.Fine || d.Kind == circuits.Ratiometric && across.Value < d.MinSupply {
		return ""
	}
	return say("why.taps", "share", fmt.Sprintf("%.3g", share), "volts", Volts(across.Value))
}

// insideWords says what is wrong inside a part that hangs on the copper.
func insideWords(f circuits.Single, at circuits.Location) string {
	if f.At == at && (f.Kind == circuits.DeviceInside || f.Kind == circuits.ModuleInside) {
		return ", " + f.Words
	}
	return ""
}

// flows says the current at a terminal with its direction, "" where it cannot be said: an ammeter there would take the
// fault away.
func (m *maker) flows(f circuits.Fault, p circuits.Point, module bool) string {
	l := circuits.PointLocation(p)
	if f.First.At == l || f.First.To == l || m.circuit.Contact(l) == nil {
		return ""
	}
	e := evidence.Expect(m.job, circuits.Reading{At: l, Quantity: circuits.Amps, State: keyOn}, f)
	if e.Status != network.Fine {
		return ""
	}
	switch {
	case math.Abs(e.Value) < 5e-8:
		return say("why.idle")
	case e.Value > 0:
		return say("why.takes", "amps", current(e.Value))
	}
	return say("why.gives", "amps", current(e.Value))
}
