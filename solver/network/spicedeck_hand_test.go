package network_test

import (
	"fmt"
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// The oracle itself is held against arithmetic done by hand, so that a comparison cannot pass because it compares nothing.

// TestOracleTwoWireSensor reckons library:coolant-temperature at 20 °C with the key on. The table gives 2500 Ω. Signal
// and return each hold two wires of 0.5 mm² at 37.1 Ω/km, 1.4 m and 1.9 m long, and three contacts of 0.005 Ω:
// 0.05194 + 0.07049 + 0.015 = 0.13743 Ω. The return pin adds 0.02 Ω, the module's input stands across all of it:
//
//	R = 2500 + 2·0.13743 + 0.02 = 2500.29486 Ω,  R ∥ 1 MΩ = 2494.05898 Ω,  5 V·R∥/(R∥ + 1 kΩ) = 3.569000 V
//
// With 150 Ω more in C101:8 the return's end at the sensor stands 150.15743 Ω of the new R above the module's ground.
func TestOracleTwoWireSensor(t *testing.T) {
	program := spiceProgram(t)
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	base := spiceCase{c: c, state: circuits.State{Key: circuits.KeyOn}, stimuli: map[string]float64{"ECT": 20}}
	poor := base
	poor.fault, err = circuits.ParseFault("high-resistance C101:8 150")
	if err != nil {
		t.Fatal(err)
	}
	jobs := []*spiceJob{newJob(base), newJob(poor)}
	settle(t, program, jobs)
	for i, extra := range []float64{0, 150} {
		if jobs[i].net == nil {
			t.Fatal("no steady value:", jobs[i].unsteady)
		}
		r := 2500.29486 + extra
		parallel := r * 1e6 / (r + 1e6)
		pin := 5 * parallel / (parallel + 1000)
		s := jobs[i].net.solution
		inside := internalGround(c.Module("ECU"))
		near(t, "pin above internal ground", s.between("ECU:A12/device", inside), pin)
		near(t, "return at the sensor", s.between("ECT:2/device", inside), pin*(0.13743+0.02+extra)/r)
		// 12.6 V drive the module's 30 Ω through its battery, fuse, wires and contacts.
		near(t, "supply", s.between("ECU:B1/device", inside), 12.6*30/(30+0.01+0.07/15+0.9*4.71e-3+2.1*12.7e-3+0.8*12.7e-3+4*0.005+0.001+0.002))
	}
}

// TestOracleKeepsDigits hangs a point by 400 joints of 1 mΩ and a meter of 10 MΩ on 25 V: it reads 25/(1 + 4e-8) V, and
// a piece that only the meter ties to B- reads nothing at all.
func TestOracleKeepsDigits(t *testing.T) {
	program := spiceProgram(t)
	chain, tied := &spiceNet{}, &spiceNet{}
	for _, n := range []*spiceNet{chain, tied} {
		for i := range 400 {
			n.resistor("", fmt.Sprint("p", i), fmt.Sprint("p", i+1), 1e-3)
			n.resistor("", fmt.Sprint("q", i), fmt.Sprint("q", i+1), 2e-3)
		}
		n.resistor(meterName, "p400", "q400", 10e6)
	}
	chain.source("", "p0", ground, 25)
	chain.joint("q0", ground)
	tied.source("", "q0", ground, 25)
	tied.resistor("", "q400", ground, 1000)
	for _, flaw := range solveNets(t, program, []*spiceNet{chain, tied}) {
		if flaw != "" {
			t.Fatal(flaw)
		}
	}
	if got, want := chain.solution.between("p400", "q400"), 25*1e7/(1e7+0.4+0.8); math.Abs(got-want) > 1e-9 {
		t.Errorf("the end of the chain reads %.12g V, by hand %.12g V", got, want)
	}
	if got := tied.solution.between("p0", "q400"); math.Abs(got) > 1e-9 {
		t.Errorf("a piece that the meter alone ties down reads %g V across the meter, by hand 0", got)
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !agree(got, want) {
		t.Errorf("%s: ngspice has %.9g, by hand %.9g", what, got, want)
	}
}
