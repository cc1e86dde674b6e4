package worksheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// mostPoints is how many test points a sheet has: a table of them and their reasons fill one page.
const mostPoints = 9

// plugPoints is how many of them are at the plugs of sensors at the most.
const plugPoints = 4

// keyOn is the state in which everything is predicted.
var keyOn = circuits.State{Key: circuits.KeyOn}

// at is the plain reading of a test point: volts against B-, key on, everything plugged in.
func at(p circuits.Point) circuits.Reading {
	return circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.Volts, State: keyOn}
}

// probed are the points that a lead reaches with everything plugged in, in the order in which the runs name them.
func probed(c *circuits.Circuit) []circuits.Point {
	var out []circuits.Point
	add := func(p circuits.Point) {
		if full, err := c.Resolve(p); err == nil && p != circuits.BPositive && p != circuits.BNegative && !slices.Contains(out, full) {
			out = append(out, full)
		}
	}
	for _, r := range c.Runs {
		for _, p := range r.Path {
			k := c.Connector(p.Place)
			if k == nil {
				add(p)
				continue
			}
			for i, side := range k.Sides {
				if i == 0 || k.Crossed {
					p.Side = side
					add(p)
				}
			}
		}
	}
	return out
}

// ohmsTried are the series resistances that a sheet may name, in ohms: round, and told apart from a break.
var ohmsTried = []float64{470, 1000, 100, 4700, 10, 2}

// list is the faults that a sheet may name: of every kind that can be reckoned by hand, with round ohms that show.
func (m *maker) list() {
	set := m.stimuli()
	well, _ := network.Voltages(m.circuit, keyOn, set, circuits.Fault{})
	for _, h := range hypothesis.Hypotheses(m.circuit, hypothesis.DefaultWeights(), nil) {
		f := h.Fault
		switch f.Kind {
		case circuits.Healthy, circuits.Unlisted, circuits.Swapped:
			continue
		case circuits.HighResistance:
			for _, ohms := range ohmsTried {
				if m.partial(well, set, f.WithOhms(ohms)) {
					m.add(f.WithOhms(ohms), h.Prior)
					break
				}
			}
			continue
		case circuits.ShortToGround, circuits.ShortToVoltage, circuits.ShortBetween:
			f = f.WithOhms(0)
		case circuits.DeviceInside:
			if f.Words == circuits.ReadsWrong {
				continue
			}
		}
		m.add(f, h.Prior)
	}
}

// add takes a fault into the pool, but one that would not stay as it is for a look: a fuse blows, or a dead short draws
// what burns.
func (m *maker) add(f circuits.Single, prior float64) {
	if m.burns(f) {
		return
	}
	m.pool, m.weights = append(m.pool, f), append(m.weights, prior)
}

const (
	fuseVolts = 0.07 // that a fuse loses at its rated current (the contract's 0.07/amps ohms)
	mostSag   = 0.15 // volts that the battery may sag below healthy
)

func (m *maker) burns(f circuits.Single) bool {
	set := m.stimuli()
	if m.well == nil {
		m.well, _ = network.Voltages(m.circuit, keyOn, set, circuits.Fault{})
	}
	ill, _ := network.Voltages(m.circuit, keyOn, set, circuits.Fault{First: f})
	if m.well[circuits.BPositive]-ill[circuits.BPositive] > mostSag {
		return true
	}
	for _, d := range m.circuit.Devices {
		if d.Kind != circuits.Fuse {
			continue
		}
		inside := func(t int) float64 {
			return ill[circuits.Point{Place: d.Name, Cavity: d.Terminals[t].Cavity, Side: "device"}]
		}
		open := f.Kind == circuits.DeviceInside && f.At.From.Place == d.Name
		if !open && abs(inside(0)-inside(1)) > fuseVolts {
			return true
		}
	}
	return false
}

// order is the pool in an order drawn by how likely its faults are: what happens often is taught often.
func (m *maker) order(use uint64) []int {
	random := m.chance(use)
	out := make([]int, len(m.pool))
	late := make([]float64, len(m.pool))
	for i := range out {
		out[i], late[i] = i, random.ExpFloat64()/m.weights[i]
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(late[a], late[b]) })
	return out
}

// partial tells whether a series resistance takes a part of the voltage behind it and not all of it.
func (m *maker) partial(well map[circuits.Point]float64, set map[string]float64, f circuits.Single) bool {
	ill, steady := network.Voltages(m.circuit, keyOn, set, circuits.Fault{First: f})
	if !steady {
		return false
	}
	most := 0.0
	for p, v := range well {
		w, ok := ill[p]
		if !ok {
			return false
		}
		most = max(most, math.Abs(v-w))
	}
	return most > 0.3 && most < 0.8*m.circuit.Battery.Volts
}

// stimuli are the settings of all parts.
func (m *maker) stimuli() map[string]float64 {
	out := map[string]float64{}
	for i := range m.circuit.Devices {
		d := &m.circuit.Devices[i]
		out[d.Name] = d.Nominal()
		if v, ok := m.job.SetOf(circuits.Reading{}, d); ok {
			out[d.Name] = v
		}
	}
	return out
}

// choosePoints takes the points at the plugs of sensors, and then, one after the other, that which splits the most
// faults that looked alike so far.
func (m *maker) choosePoints() {
	all := probed(m.circuit)
	if len(all) <= mostPoints {
		m.points = all
		return
	}
	set := m.stimuli()
	looks := make([][]string, len(m.pool))
	for i, f := range m.pool {
		volts, _ := network.Voltages(m.circuit, keyOn, set, circuits.Fault{First: f})
		for _, p := range all {
			v, ok := volts[p]
			look := fmt.Sprintf("%.1f", v)
			if !ok {
				look = "floats"
			}
			looks[i] = append(looks[i], look)
		}
	}
	alike := make([]string, len(m.pool))
	taken := map[int]bool{}
	take := func(k int) {
		taken[k] = true
		for i := range m.pool {
			alike[i] += "|" + looks[i][k]
		}
	}
	for k, p := range all { // where a sensor is plugged in one measures first
		if d := m.circuit.Device(p.Place); d != nil && d.Kind.HasStimulus() && len(taken) < plugPoints {
			take(k)
		}
	}
	for len(taken) < mostPoints {
		best, most := -1, 0
		for k := range all {
			if taken[k] {
				continue
			}
			classes := map[string]bool{}
			for i := range m.pool {
				classes[alike[i]+"|"+looks[i][k]] = true
			}
			if len(classes) > most {
				best, most = k, len(classes)
			}
		}
		if best < 0 {
			break
		}
		take(best)
	}
	for k, p := range all {
		if taken[k] {
			m.points = append(m.points, p)
		}
	}
}

// numbers names test points by their numbers: "Points 1, 2 and 5".
func numbers(list []int) string {
	var out []string
	for _, i := range list {
		out = append(out, strconv.Itoa(i+1))
	}
	if len(list) == 1 {
		return say("point", "n", out[0])
	}
	return say("points", "n", words.Joined("and", out))
}
