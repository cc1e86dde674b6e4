package network_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/network"
)

// bothWays are a library circuit and the same with some runs written from the other end; none of those that decide which
// half of a connector is the first.
func bothWays(t *testing.T, name string, rng *rand.Rand) (c, turned *circuits.Circuit, back map[int]bool) {
	t.Helper()
	text, err := library.Text(name)
	if err != nil {
		t.Fatal(err)
	}
	c, err = library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	decided := map[string]bool{}
	back = map[int]bool{}
	for i, r := range c.Runs {
		back[i] = rng.IntN(3) > 0
		common := map[string]bool{}
		for _, p := range r.Path {
			common[p.Place] = true
		}
		for _, p := range r.Path {
			if c.Connector(p.Place) == nil {
				continue
			}
			shares := false
			for q := range common {
				shares = shares || q != p.Place && c.Stud(q) == nil && decided[p.Place+" "+q]
			}
			if !shares {
				back[i] = false
			}
		}
		for _, p := range r.Path {
			for q := range common {
				decided[p.Place+" "+q] = true
			}
		}
	}
	turned, problems := read.Circuit(name, []byte(made.Turned(string(text), func(run int) bool { return back[run] })))
	for _, p := range problems {
		if !p.Warning {
			t.Fatalf("%s, runs %v turned: %s", name, back, p)
		}
	}
	return c, turned, back
}

// A path may be written in either direction: voltages with every place open are the same, and amps are positive in the
// order of the path as written.
func TestPathsInEitherDirection(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	on := circuits.State{Key: circuits.KeyOn}
	for _, name := range library.Names() {
		c, turned, back := bothWays(t, name, rng)
		for i, w := range c.Wires {
			v := turned.Wire(w.Location)
			if back[w.Run] {
				v = turned.Wire(circuits.WireLocation(w.Location.To, w.Location.From))
			}
			if v == nil || v.LengthM != w.LengthM || v.Color != w.Color || math.Abs(v.Ohms-w.Ohms) > 1e-12 {
				t.Fatalf("%s: wire %s is %+v written from the other end", name, w.Location, v)
			}
			if i%5 == 0 {
				sameVolts(t, name, c, turned, circuits.Single{Kind: circuits.Open, At: w.Location}, circuits.Single{Kind: circuits.Open, At: v.Location}, on)
				sameAmps(t, name, c, turned, w.Location, v.Location, back[w.Run])
			}
		}
		against := map[circuits.Location]bool{} // contacts that a turned path crosses first
		for i := len(c.Runs) - 1; i >= 0; i-- {
			for _, p := range c.Runs[i].Path {
				if c.Connector(p.Place) != nil {
					against[circuits.PointLocation(p)] = back[i]
				}
			}
		}
		for i, k := range c.Contacts {
			if turned.Contact(k.Location) == nil {
				t.Fatalf("%s: nothing is mated at %s with runs %v turned", name, k.Location, back)
			}
			if i%3 == 0 {
				f := circuits.Single{Kind: circuits.Open, At: k.Location}
				sameVolts(t, name, c, turned, f, f, on)
				sameAmps(t, name, c, turned, k.Location, k.Location, against[k.Location])
			}
		}
	}
}

func sameVolts(t *testing.T, name string, c, turned *circuits.Circuit, f, g circuits.Single, s circuits.State) {
	t.Helper()
	want, _ := network.Voltages(c, s, nil, circuits.Fault{First: f})
	got, _ := network.Voltages(turned, s, nil, circuits.Fault{First: g})
	if len(want) != len(got) {
		t.Errorf("%s, %s: %d points with a voltage, want %d", name, f, len(got), len(want))
	}
	for p, v := range want {
		if u, ok := got[p]; !ok || math.Abs(u-v) > 1e-6 {
			t.Errorf("%s, %s: %s at %.6f V, written from the other end at %.6f V", name, f, p, v, u)
		}
	}
}

func sameAmps(t *testing.T, name string, c, turned *circuits.Circuit, at, there circuits.Location, back bool) {
	t.Helper()
	amps := func(c *circuits.Circuit, at circuits.Location) float64 {
		return network.Read(c, circuits.DefaultMeter(), circuits.Reading{At: at, Quantity: circuits.Amps, State: circuits.State{Key: circuits.KeyOn}}, nil, circuits.Fault{}).Value
	}
	want, got := amps(c, at), amps(turned, there)
	if back {
		got = -got
	}
	if math.Abs(want-got) > 1e-8 {
		t.Errorf("%s: %g A at %s, %g A written from the other end", name, want, at, got)
	}
}
