package network_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"ohmtrail/circuits"
)

// This file lists the faults of a circuit and the states and readings in which they are compared.

var (
	seriesOhms    = []float64{5, 470, 47e3}
	groundOhms    = []float64{0, 10, 3e3}
	feedOhms      = []float64{0, 100, 10e3}
	neighbourOhms = []float64{0, 1e3}
)

// singleFaults are all single faults of a circuit, at the resistances above. "reads wrong" is not among them: the
// contract gives it no stimulus, so it has no voltages of its own.
func singleFaults(t *testing.T, c *circuits.Circuit) []circuits.Fault {
	t.Helper()
	var out []circuits.Fault
	add := func(s circuits.Single) {
		f, err := c.ResolveFault(circuits.Fault{First: s})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, f)
	}
	each := func(s circuits.Single, ohms []float64) {
		for _, r := range ohms {
			add(s.WithOhms(r))
		}
	}
	place := func(loc circuits.Location) {
		add(circuits.Single{Kind: circuits.Open, At: loc})
		each(circuits.Single{Kind: circuits.HighResistance, At: loc}, seriesOhms)
		each(circuits.Single{Kind: circuits.ShortToGround, At: loc}, groundOhms)
		each(circuits.Single{Kind: circuits.ShortToVoltage, At: loc}, feedOhms)
	}
	add(circuits.Single{})
	for i, w := range c.Wires {
		place(w.Location)
		for _, v := range c.Wires[:i] {
			same := w.From.Place == v.From.Place && w.To.Place == v.To.Place
			turned := w.From.Place == v.To.Place && w.To.Place == v.From.Place
			if same || turned {
				each(circuits.Single{Kind: circuits.ShortBetween, At: v.Location, To: w.Location}, neighbourOhms)
			}
		}
	}
	for i, k := range c.Contacts {
		place(k.Location)
		for n, o := range slices.Backward(c.Contacts[:i]) {
			if c.PlugOf(o.First) != c.PlugOf(k.First) {
				continue
			}
			add(circuits.Single{Kind: circuits.Swapped, At: o.Location, To: k.Location})
			if n%2 == 0 { // contacts touch as wires do; half of the pairs are enough
				each(circuits.Single{Kind: circuits.ShortBetween, At: o.Location, To: k.Location}, neighbourOhms)
			}
			if i-n > 6 {
				break
			}
		}
	}
	for _, s := range c.Studs {
		loc := circuits.PointLocation(circuits.Point{Place: s.Name})
		add(circuits.Single{Kind: circuits.Open, At: loc})
		each(circuits.Single{Kind: circuits.HighResistance, At: loc}, seriesOhms)
	}
	for _, d := range c.Devices {
		for _, words := range d.InsideFaults() {
			if words != circuits.ReadsWrong {
				add(circuits.Single{Kind: circuits.DeviceInside, At: circuits.PointLocation(circuits.Point{Place: d.Name}), Words: words})
			}
		}
	}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			for _, words := range p.InsideFaults() {
				s := circuits.Single{Kind: circuits.ModuleInside, At: p.Inside(), Words: words}
				add(s)
				if words == circuits.ReferenceLow {
					add(s.WithShare(0.9))
					each(s, []float64{15, 600})
				}
			}
		}
	}
	return out
}

// doubleFaults are n pairs of single faults at different places.
func doubleFaults(t *testing.T, c *circuits.Circuit, singles []circuits.Fault, n int, rng *rand.Rand) []circuits.Fault {
	t.Helper()
	var out []circuits.Fault
	for len(out) < n {
		a, b := pick(rng, singles[1:]).First, pick(rng, singles[1:]).First
		places := []circuits.Location{a.At, a.To}
		if slices.Contains(places, b.At) || !b.To.IsZero() && slices.Contains(places, b.To) {
			continue
		}
		f, err := c.ResolveFault(circuits.Fault{First: a, Second: b})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, f)
	}
	return out
}

func pick[T any](rng *rand.Rand, of []T) T { return of[rng.IntN(len(of))] }

// namedState is what the machine is put into, and a word for it.
type namedState struct {
	name  string
	state circuits.State
}

// statesOf are the states of a comparison; the places they touch are taken by chance.
func statesOf(c *circuits.Circuit, rng *rand.Rand) []namedState {
	key := func(k circuits.Key, unplugged ...string) circuits.State {
		return circuits.State{Key: k, Unplugged: unplugged}
	}
	d := pick(rng, c.Devices)
	terminal := func() circuits.Point { return circuits.Point{Place: d.Name, Cavity: pick(rng, d.Terminals).Cavity} }
	other := terminal()
	first := d.Terminals[0]
	if second := d.Terminals[len(d.Terminals)-1]; other.Cavity == first.Cavity {
		other.Cavity = second.Cavity
	}
	from := circuits.Point{Place: d.Name, Cavity: first.Cavity}
	jumper, bulb, feed := key(circuits.KeyOn, d.Name), key(circuits.KeyOn, d.Name), key(circuits.KeyOn)
	jumper.Jumpers = [][2]circuits.Point{{from, other}}
	bulb.Loads = []circuits.LoadLead{{From: from, To: other, Ohms: 100}}
	feed.Loads = []circuits.LoadLead{{From: circuits.BPositive, To: terminal(), Ohms: 100}}
	out := []namedState{
		{"as it is", key(circuits.KeyOn)}, {"key off", key(circuits.KeyOff)}, {"key run", key(circuits.KeyRun)},
		{"unplugged " + d.Name, key(circuits.KeyOn, d.Name)},
		{"jumper " + from.String() + " " + other.String(), jumper},
		{"100 ohms " + from.String() + " " + other.String(), bulb},
		{"100 ohms B+ " + feed.Loads[0].To.String(), feed},
	}
	if len(c.Connectors) > 0 {
		k := pick(rng, c.Connectors)
		out = append(out, namedState{"unplugged " + k.Name, key(circuits.KeyOn, k.Name)})
	}
	m := pick(rng, c.Modules)
	plug := pick(rng, m.Pins).Connector()
	return append(out, namedState{"unplugged " + plug, key(circuits.KeyOn, plug)})
}

// stimuliOf sets the devices by chance within their ranges; half of the time it leaves them at their nominal values.
func stimuliOf(c *circuits.Circuit, rng *rand.Rand) map[string]float64 {
	out := map[string]float64{}
	if rng.IntN(2) == 0 {
		return out
	}
	for _, d := range c.Devices {
		switch {
		case d.Kind.TwoState():
			out[d.Name] = float64(rng.IntN(2))
		case d.Kind.HasStimulus():
			out[d.Name] = d.Range[0] + rng.Float64()*(d.Range[1]-d.Range[0])
		}
	}
	return out
}

// readingsOf are one reading of each quantity in a state, at places taken by chance: volts, ohms, amps, and the value
// that a module reports where one has an input.
func readingsOf(c *circuits.Circuit, s circuits.State, f circuits.Fault, rng *rand.Rand) []*circuits.Reading {
	apart := map[string]bool{}
	for _, u := range s.Unplugged {
		for _, plug := range c.PlugsNamed(u) {
			apart[plug] = true
		}
	}
	var points []circuits.Point
	for _, p := range allPoints(c) {
		if p.Side != "device" || apart[c.PlugOf(p)] { // a part's own pin can be touched when it is unplugged only
			points = append(points, p)
		}
	}
	lead := func() (at, to circuits.Point) {
		at, to = pick(rng, points), circuits.BNegative
		if rng.IntN(2) == 0 {
			to = pick(rng, points)
		}
		return at, to
	}
	var out []*circuits.Reading
	at, to := lead()
	out = append(out, &circuits.Reading{At: circuits.PointLocation(at), To: to, Quantity: circuits.Volts, State: s})
	at, to = lead()
	dead := s
	dead.Key = circuits.KeyOff
	out = append(out, &circuits.Reading{At: circuits.PointLocation(at), To: to, Quantity: circuits.Ohms, State: dead})
	meter := pick(rng, c.Wires).Location
	if k := pick(rng, c.Contacts); rng.IntN(2) == 0 && !apart[c.PlugOf(k.First)] {
		meter = k.Location
	}
	own := f.First.At // "whatever its fault": the faulty place itself, too
	if k := c.Contact(own); rng.IntN(3) == 0 && (c.Wire(own) != nil || k != nil && f.First.Kind != circuits.Swapped && !apart[c.PlugOf(k.First)]) {
		meter = own
	}
	out = append(out, &circuits.Reading{At: meter, Quantity: circuits.Amps, State: s})
	var inputs []circuits.Pin
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				inputs = append(inputs, p)
			}
		}
	}
	if len(inputs) > 0 {
		out = append(out, &circuits.Reading{At: circuits.PointLocation(pick(rng, inputs).Point()), Quantity: circuits.ScanVolts, State: s})
	}
	return out
}
