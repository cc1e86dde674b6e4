package network

import (
	"fmt"
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
)

// fusedCircuit feeds a lamp through a fuse of 20 A and, behind it, one of the amperes given.
const fusedCircuit = `format = 1
title = "a lamp behind two fuses"

[battery]
volts = 12.0
source_ohms = 0.01

[device.F1]
kind = "fuse"
terminals = { a = "1", b = "2" }
amps = 20

[device.F2]
kind = "fuse"
terminals = { a = "1", b = "2" }
amps = %g

[device.L]
kind = "load"
terminals = { a = "1", b = "2" }
ohms = 6

[splice.S]
[ground.G]

[[run]]
path = ["B+", "F1:1"]
[[run]]
path = ["F1:2", "F2:1"]
[[run]]
path = ["F2:2", "S"]
[[run]]
path = ["S", "L:1"]
[[run]]
path = ["L:2", "G"]
`

func fused(t *testing.T, amps float64) *circuits.Circuit {
	t.Helper()
	c, problems := read.Circuit("fused.circuit.toml", fmt.Appendf(nil, fusedCircuit, amps))
	if c == nil {
		t.Fatal(problems.Errors())
	}
	return c
}

func voltsAt(place string) circuits.Reading {
	at := circuits.Point{Place: place}
	if place != "S" {
		at = circuits.Point{Place: place[:2], Cavity: place[3:]}
	}
	return circuits.Reading{At: circuits.PointLocation(at), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
}

// The lamp of 6 Ω draws just under 2 A. A short of R Ω beside it at the splice, with the 0.07/20 + 0.07/10 + 0.01 Ω and
// little more before it, draws about 12/(R + 0.0205): 13.5 A, 1.35 times 10 A, is crossed at an R beside the lamp of
// 12/(13.5 − 2) = 1.04 Ω, less what the feed takes. At 1.3 Ω the fuse holds, at 0.8 Ω it is gone.
func TestFuseBlowsAbove135Percent(t *testing.T) {
	c := fused(t, 10)
	for _, x := range []struct {
		ohms  float64
		blown string
	}{{0, "F2"}, {0.005, "F2"}, {0.8, "F2"}, {1.3, ""}, {50, ""}} {
		f, err := circuits.ParseFault(fmt.Sprintf("short-to-ground S>L:1 %g", x.ohms))
		if err != nil {
			t.Fatal(err)
		}
		for _, place := range []string{"F1:1", "F1:2", "F2:1", "F2:2", "S"} {
			got := Read(c, circuits.DefaultMeter(), voltsAt(place), nil, f)
			dead := x.blown != "" && (place == "F2:2" || place == "S")
			if got.Blown != x.blown || dead != (math.Abs(got.Value) < 0.01) || !dead && got.Value < 9 {
				t.Errorf("%g Ω: %s reads %g V with %q blown, want %q", x.ohms, place, got.Value, got.Blown, x.blown)
			}
		}
	}
}

// Of two fuses in a row the one with the lower rating is overloaded more and goes; the other, which carries nothing then,
// stays whole though the short overloaded it too.
func TestMostOverloadedFuseBlowsFirst(t *testing.T) {
	f, _ := circuits.ParseFault("short-to-ground S>L:1 0")
	for _, x := range []struct {
		amps  float64
		blown string
	}{{5, "F2"}, {19, "F2"}, {21, "F1"}, {40, "F1"}} {
		if got := Read(fused(t, x.amps), circuits.DefaultMeter(), voltsAt("S"), nil, f); got.Blown != x.blown {
			t.Errorf("20 A and %g A: %q has blown, want %s", x.amps, got.Blown, x.blown)
		}
	}
}

// A circuit whose fuse has blown is one whose fuse is open inside, with the short still there: node by node, on the
// library, for a dead short at either side of every fuse.
func TestBlownFuseIsAnOpenOne(t *testing.T) {
	blowing := 0
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range c.Wires {
			short := circuits.Single{Kind: circuits.ShortToGround, At: w.Location, HasOhms: true}
			state := circuits.State{Key: circuits.KeyOn}
			n := build(c, building{state: state, stimuli: nominal(nil), fault: faults{short}})
			s, steady := n.solve(newPattern(n))
			if !steady {
				continue
			}
			gone := n.blown(s.states)
			if c.Device(gone) == nil {
				continue // none, or two
			}
			blowing++
			open := circuits.Single{Kind: circuits.DeviceInside, At: circuits.PointLocation(circuits.Point{Place: gone}), Words: circuits.OpenInside}
			got, _ := Voltages(c, state, nil, circuits.Fault{First: short})
			want, _ := Voltages(c, state, nil, circuits.Fault{First: short, Second: open})
			if len(got) != len(want) {
				t.Errorf("%s, %s: %d points have a path to B-, %d with %s open inside", name, short, len(got), len(want), gone)
			}
			for p, v := range want {
				if math.Abs(got[p]-v) > 1e-9 {
					t.Errorf("%s, %s: %s stands at %g V, with %s open inside at %g V", name, short, p, got[p], gone, v)
				}
			}
		}
	}
	if blowing < 20 {
		t.Errorf("only %d shorts blow one fuse", blowing)
	}
}

// No fuse of a sound machine blows, whatever its switches and sensors are set to.
func TestSoundMachinesKeepTheirFuses(t *testing.T) {
	all := map[string]*circuits.Circuit{}
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		all[name] = c
	}
	for seed := range 6 {
		c, problems := read.Circuit("made", []byte(made.Harness(uint64(seed), 120)))
		if c == nil {
			t.Fatal(problems.Errors())
		}
		all[fmt.Sprint("made ", seed)] = c
	}
	for name, c := range all {
		for _, key := range []circuits.Key{circuits.KeyOff, circuits.KeyOn, circuits.KeyRun} {
			for end := range 2 {
				n := build(c, building{state: circuits.State{Key: key}, stimuli: func(d *circuits.Device) float64 { return d.Range[end] }})
				if s, steady := n.solve(newPattern(n)); steady && n.blown(s.states) != "" {
					t.Errorf("%s, key %s, all at end %d: %s has blown", name, key, end, n.blown(s.states))
				}
			}
		}
	}
}
