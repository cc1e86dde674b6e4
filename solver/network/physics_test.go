package network

import (
	"fmt"
	"math"
	"testing"

	"ohmtrail/circuits"
)

// What experienced technicians rely on, each on two or more circuits of the library. The values follow from the circuits'
// own numbers by Ohm's law; where a bound is round, the comment says from what.

func TestOpenLosesTheVoltageBeyondIt(t *testing.T) {
	for _, c := range []struct {
		circuit, fault, before, beyond string
		volts                          float64
	}{
		{"shared-reference", "open S1>C3:1", "S1", "MAP:1", 5},
		{"pressure-three-wire", "open C5:4>FRP:3", "C5:4/rail", "FRP:3", 5},
		{"coolant-temperature", "open F14:2>ECU:B1", "F14:2", "ECU:B1", 12.6},
		{"throttle-potentiometer", "open ECM:21>C12:1", "ECM:21", "C12:1", 5},
	} {
		s := fromLibrary(t, c.circuit).under(c.fault)
		// The reference's 0.2 Ω and the wires take millivolts at the sensors' milliamperes.
		within(t, c.circuit+" before the open", s.volts(c.before), c.volts, 0.05)
		// The module's own 0.4 A lifts its ground, and with it every return, by 10 mV against B-.
		within(t, c.circuit+" beyond it", s.volts(c.beyond), 0, 0.015)
		within(t, c.circuit+" across it", s.volts(c.before, c.beyond), c.volts, 0.05)
		healthy := fromLibrary(t, c.circuit)
		within(t, c.circuit+" healthy, across the same", healthy.volts(c.before, c.beyond), 0, 0.05)
		within(t, c.circuit+" healthy, at the far end", healthy.volts(c.beyond), c.volts, 0.1)
		// Loaded or not: the far end is dead, and no meter makes it look half alive.
		within(t, c.circuit+" beyond it, 1 MΩ meter", s.through(1e6).volts(c.beyond), 0, 0.015)
	}
}

func TestDeadSignalFollowsPullAndLeakage(t *testing.T) {
	for _, c := range []struct {
		circuit, fault, pin string
		volts               float64
	}{
		{"shared-reference", "open ECM:A3>C1:3", "ECM:A3", 0},                        // 470 kΩ to ground
		{"shared-reference", "open ECM:A4>C1:4", "ECM:A4", 0},                        // 220 kΩ to ground
		{"shared-reference", "open ECM:A6>C1:6", "ECM:A6", 5 * 10e6 / 10.047e6},      // 47 kΩ to 5 V, 10 MΩ input
		{"shared-reference", "open ECM:A5>C1:5", "ECM:A5", 5 * 1e6 / 1.0022e6},       // 2.2 kΩ, 1 MΩ
		{"throttle-potentiometer", "open C12:2>TPS:C", "ECM:34", 0},                  // 220 kΩ to ground
		{"coolant-temperature", "open ECU:A12>C101:7", "ECU:A12", 5 * 1e6 / 1.001e6}, // 1 kΩ to 5 V
		// A sensor without supply leaks 10 kΩ from its output to its return: on a pull-up that is a plausible value.
		{"shared-reference", "open C4:1>FRP:3", "ECM:A6", 5 * 10e3 / 57e3},
		{"shared-reference", "open C3:1>MAP:1", "ECM:A3", 0}, // on a pull-down it is dead
		{"pressure-three-wire", "open C5:4>FRP:3", "ECU:A2", 0},
	} {
		s := fromLibrary(t, c.circuit).under(c.fault)
		step := s.c.Pin(s.point(c.pin)).StepVolts()
		within(t, c.circuit+" "+c.fault, s.scan(c.pin), c.volts, 0.005+step)
	}
}

func TestOpenReturnSendsTheSignalUp(t *testing.T) {
	for _, c := range []struct{ circuit, fault, pin, device string }{
		{"pressure-three-wire", "open C5:6>FRP:1", "ECU:A2", "FRP"},
		{"throttle-potentiometer", "open C12:3>TPS:B", "ECM:34", "TPS"},
		{"shared-reference", "open S2>C3:6", "ECM:A4", "TPS"},
	} {
		healthy := fromLibrary(t, c.circuit)
		for _, set := range []float64{0.15, 0.5} {
			at := healthy.at(c.device, set)
			// Toward the reference: no further from 5 V than the pull-down takes, here some tenths.
			between(t, fmt.Sprintf("%s, %s at %g with its return open", c.circuit, c.device, set), at.under(c.fault).scan(c.pin), 4.7, 5)
			between(t, fmt.Sprintf("%s, %s at %g", c.circuit, c.device, set), at.scan(c.pin), 0.5, 2.6)
		}
	}
	for _, c := range []struct {
		circuit, fault, pin string
		pullUp, input       float64
	}{
		{"coolant-temperature", "open C101:8>ECT:2", "ECU:A12", 1e3, 1e6},
		{"intake-air-temperature", "open ECU:45>C88:2", "ECU:44", 2.7e3, 1e6},
		{"shared-reference", "open S2>C4:5", "ECM:A5", 2.2e3, 1e6},
	} {
		s := fromLibrary(t, c.circuit).under(c.fault)
		within(t, c.circuit+" two-wire sensor with its return open", s.scan(c.pin), 5*c.input/(c.input+c.pullUp), 0.003)
	}
}

func TestHighResistanceNeedsCurrentToShow(t *testing.T) {
	for _, c := range []struct{ circuit, fault, device, feed, back string }{
		{"shared-reference", "high-resistance S1>C3:1 1000", "MAP", "MAP:1", "MAP:3"},
		{"pressure-three-wire", "high-resistance C5:4 1000", "FRP", "FRP:3", "FRP:1"},
		{"throttle-potentiometer", "high-resistance ECM:21>C12:1 1000", "TPS", "TPS:A", "TPS:B"},
	} {
		healthy, bad := fromLibrary(t, c.circuit), fromLibrary(t, c.circuit).under(c.fault)
		// Unplugged: 0.5 µA of the 10 MΩ meter through 1 kΩ are 0.5 mV, under the last digit of most meters.
		drop := healthy.apart(c.device).volts(c.feed) - bad.apart(c.device).volts(c.feed)
		between(t, c.circuit+" unplugged, what 1 kΩ takes", drop, 0.0003, 0.0006)
		// Loaded with 330 Ω: 5 V × 330/1330 = 1.24 V.
		loaded := bad.apart(c.device).load(c.feed, c.back, 330)
		within(t, c.circuit+" under 330 Ω", loaded.volts(c.feed, c.back), 5*330.0/1330, 0.01)
		between(t, c.circuit+" healthy under 330 Ω", healthy.apart(c.device).load(c.feed, c.back, 330).volts(c.feed, c.back), 4.98, 5)
		// Plugged in, the sensor's own current shows it.
		between(t, c.circuit+" plugged in, what 1 kΩ takes", healthy.volts(c.feed)-bad.volts(c.feed), 0.9, 4)
	}
}

func TestMeterLoadsWhatItMeasures(t *testing.T) {
	// A pin on 150 kΩ to 5 V, nothing else: 10 MΩ takes 150/10150 = 1.478 %.
	const circuit = `format = 1
[module.M]
pins.1 = { kind = "input", pull_up_ohms = "150k", input_ohms = %g, bits = 24 }
[[run]]
path = ["M:1", "X1:1"]
`
	alone := built(t, fmt.Sprintf(circuit, 1e13))
	loss := func(s stand, at string) float64 { return 1 - s.through(10e6).volts(at)/s.through(idealMeter).volts(at) }
	within(t, "150 kΩ: share lost to the meter", loss(alone, "M:1"), 0.15/10.15, 1e-6)
	within(t, "150 kΩ in the trade's words: 1.5 % less", 100*loss(alone, "X1:1"), 1.5, 0.05)
	// The module's own input resistance counts too: with 1 MΩ the pin stands at 5 V/1.15, and the meter takes less.
	input := built(t, fmt.Sprintf(circuit, 1e6))
	within(t, "150 kΩ into 1 MΩ", input.scan("M:1"), 5/1.15, 1e-5)
	within(t, "150 kΩ ‖ 1 MΩ: share lost to the meter", loss(input, "M:1"), 0.15/1.15/(10+0.15/1.15), 1e-6)
	// The library's two oxygen circuits with the signal open: their pull-ups with 10 MΩ inputs.
	for _, c := range []struct {
		circuit, fault, pin string
		pullUp, rail        float64
	}{
		{"oxygen-sensor-biased", "open PCM:C23>C110:4", "PCM:C23", 330e3, 5},
		{"oxygen-sensor-ground-return", "open EMS:28>X14:3", "EMS:28", 470e3, 0.45},
	} {
		s := fromLibrary(t, c.circuit).under(c.fault)
		seen := c.pullUp * 10e6 / (c.pullUp + 10e6)
		within(t, c.circuit+": share lost to the meter", loss(s, c.pin), seen/(10e6+seen), 1e-5)
		// The module's own value, which no meter loads, is higher: only its input resistance counts.
		within(t, c.circuit+": the module's own value", s.scan(c.pin), c.rail*10e6/(10e6+c.pullUp), s.c.Pin(s.point(c.pin)).StepVolts())
	}
}

func TestSharedReferenceShorted(t *testing.T) {
	for _, c := range []struct {
		circuit, short, lift, branch string // branch is the connector that takes the guilty branch off
		pin                          string
		milliamps                    float64
		others                       []string
	}{
		{"shared-reference", "short-to-ground C3:1>MAP:1 0", "short-to-voltage C3:1>MAP:1 0", "C3", "ECM:A1", 100, []string{"ECM:A1", "S1", "FRP:3"}},
		{"shared-reference-two-modules", "short-to-ground C9:1>SLP:1 0", "short-to-voltage C9:1>SLP:1 0", "C9", "ECM:A1", 100, []string{"ECM:A1", "TPS:1", "MAP:C"}},
	} {
		healthy := fromLibrary(t, c.circuit)
		short := healthy.under(c.short)
		for _, at := range c.others {
			within(t, c.circuit+" shorted, at "+at, short.volts(at), 0, 0.05)
			within(t, c.circuit+" with the branch off, at "+at, short.apart(c.branch).volts(at), 5, 0.02)
			between(t, c.circuit+" shorted to the battery, at "+at, healthy.under(c.lift).volts(at), 12, 12.6)
		}
		// The regulator gives its limit, into the harness: negative at the module's pin, where positive is into the part.
		within(t, c.circuit+" regulator's milliamperes", -1000*short.amps(c.pin), c.milliamps, 0.01)
		// Lifted above its voltage, the regulator carries nothing; 12.6 V over its 50 kΩ leak are 0.25 mA.
		within(t, c.circuit+" back-fed milliamperes", 1000*healthy.under(c.lift).amps(c.pin), 12.5/50, 0.02)
	}
}

func TestBadGroundUnderLoad(t *testing.T) {
	// One ohm at the stud. module-feeds-and-grounds draws about 2 A and its fan's 3 A; coolant-temperature 12.6 V/31 Ω.
	for _, c := range []struct {
		circuit, fault, ground, plug string
		lift                         float64
	}{
		{"coolant-temperature", "high-resistance G101 1", "ECU:B5", "ECU.B", 12.6 / 31},
		{"throttle-potentiometer", "high-resistance G3 1", "ECM:2", "ECM", 12.5 / 31},
		{"shared-reference-two-modules", "high-resistance G2 1", "TCM:2", "TCM", 12.6 / 16},
	} {
		s := fromLibrary(t, c.circuit)
		within(t, c.circuit+" healthy", s.volts(c.ground), 0, 0.02)
		within(t, c.circuit+" lifted", s.under(c.fault).volts(c.ground), c.lift, 0.03)
		within(t, c.circuit+" unplugged it reads fine", s.under(c.fault).apart(c.plug).volts(c.ground), 0, 0.001)
		within(t, c.circuit+" key off it reads fine", s.under(c.fault).key(circuits.KeyOff).volts(c.ground), 0, 0.001)
	}
	// All that stands on that ground goes up with it, in volts against B-; what the module reports of a sensor on the same
	// ground does not move.
	coolant := fromLibrary(t, "coolant-temperature").at("ECT", 20)
	lifted := coolant.under("high-resistance G101 1")
	lift := lifted.volts("ECU:B5") - coolant.volts("ECU:B5")
	for _, at := range []string{"ECU:A24", "ECT:2", "ECT:1", "ECU:A12"} {
		within(t, "coolant-temperature: "+at+" goes up with it", lifted.volts(at)-coolant.volts(at), lift, 0.001)
	}
	within(t, "coolant-temperature: its own sensor's value stays", lifted.scan("ECU:A12"), coolant.scan("ECU:A12"), 0.006)
	// A sensor that stands on another ground is reported wrong by the lift.
	two := fromLibrary(t, "shared-reference-two-modules").at("TPS", 0.5)
	bad := two.under("high-resistance G2 1")
	lift = bad.volts("TCM:2") - two.volts("TCM:2")
	within(t, "two modules: the lifted one reads low by the lift", two.scan("TCM:10")-bad.scan("TCM:10"), lift, 0.01)
	within(t, "two modules: the other one does not", bad.scan("ECM:A3"), two.scan("ECM:A3"), 0.006)
	feeds := fromLibrary(t, "module-feeds-and-grounds").at("ETS", 60)
	worse := feeds.under("high-resistance G1 1")
	lift = worse.volts("SG") - feeds.volts("SG")
	between(t, "feeds and grounds: lift", lift, 2, 5)
	// The feed itself rises a little, as the module draws less; a step of the converter is 20 mV.
	within(t, "feeds and grounds: the feed looks low by it", feeds.scan("GCU:B2")-worse.scan("GCU:B2"), lift+feeds.volts("GCU:B2")-worse.volts("GCU:B2"), 0.025)
	if a, b := feeds.scan("GCU:B3"), worse.scan("GCU:B3"); math.Abs(a-b) < 0.2 {
		t.Errorf("feeds and grounds: a sender on the engine is reported as %g V healthy and %g V with the ground lifted; want another value", a, b)
	}
}

func TestSharedReturnCouplesSensors(t *testing.T) {
	// 50 Ω in the return of four sensors: the thermistor's current, 5 V/2.2 kΩ at the most, moves the others by up to 0.1 V.
	shared := fromLibrary(t, "shared-reference").at("MAP", 0.3).at("TPS", 0.3)
	bad := shared.under("high-resistance C2:2 50")
	for _, pin := range []string{"ECM:A3", "ECM:A4"} {
		moved := func(s stand) float64 { return s.at("ECT", 110).scan(pin) - s.at("ECT", -20).scan(pin) }
		within(t, "shared-reference healthy: "+pin+" moves with the coolant by", moved(shared), 0, 0.006)
		between(t, "shared-reference with 50 Ω: "+pin+" moves with the coolant by", moved(bad), 0.03, 0.12)
	}
	// Two modules: unplugging the lever sensor (5 V/2.5 kΩ = 2 mA) moves the throttle by some 2 mA × 100 Ω × half.
	two := fromLibrary(t, "shared-reference-two-modules").at("TPS", 0.3)
	moved := func(s stand) float64 { return s.scan("ECM:A3") - s.apart("SLP").scan("ECM:A3") }
	within(t, "two modules healthy: the throttle moves with the lever's plug by", moved(two), 0, 0.006)
	between(t, "two modules with 100 Ω: the throttle moves with the lever's plug by", moved(two.under("high-resistance ECM:A2>S4 100")), 0.08, 0.2)
}
