package network

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// What a meter and a jumper lead must and must not show.

func TestOhmsNeedADeadIsolatedCircuit(t *testing.T) {
	for _, c := range []struct {
		circuit, device, a, b, plug string
		set, ohms                   float64 // of the part, from its own table
		parallel                    float64 // what the module puts beside it
	}{
		{"coolant-temperature", "ECT", "ECT:1", "ECT:2", "ECU.A", 20, 2500, 1e3 * 1e6 / 1.001e6},
		{"intake-air-temperature", "IAT", "IAT:1", "IAT:2", "ECU", 25, 10000, 2.7e3 * 1e6 / 1.0027e6},
	} {
		s := fromLibrary(t, c.circuit).at(c.device, c.set)
		live := s.outcome(circuits.Ohms, c.a, c.b)
		if live.Status != NoValue || live.Why.Kind != Live {
			t.Errorf("%s: ohms with the key on give %g %+v, want a refusal", c.circuit, live.Value, live.Why)
		}
		// The reason names the voltage that stands there.
		if v := s.volts(c.a, c.b); models.Volts(live.Why.Volts) != models.Volts(v) {
			t.Errorf("%s: refused with %+v, but %g V stand between the leads", c.circuit, live.Why, v)
		}
		off := s.key(circuits.KeyOff)
		// Plugged in, the module's pull-up lies beside the part: it reads low.
		// The way round through the harness adds up to 0.3 Ω.
		within(t, c.circuit+": ohms with the module plugged in", off.ohms(c.a, c.b), c.ohms*c.parallel/(c.ohms+c.parallel), 0.3)
		within(t, c.circuit+": ohms with the module unplugged", off.apart(c.plug).ohms(c.a, c.b), c.ohms, 0.1)
		within(t, c.circuit+": ohms of the part alone", off.apart(c.device).ohms(c.a+"/device", c.b+"/device"), c.ohms, 0.001)
	}
	// An open part reads OL alone, and the module's pull-up when it is not isolated: a number that looks like a sensor.
	for _, c := range []struct{ circuit, device, a, b string }{{"coolant-temperature", "ECT", "ECT:1", "ECT:2"}, {"intake-air-temperature", "IAT", "IAT:1", "IAT:2"}} {
		s := fromLibrary(t, c.circuit).under("device " + c.device + ": open inside").key(circuits.KeyOff)
		if o := s.apart(c.device).outcome(circuits.Ohms, c.a+"/device", c.b+"/device"); o.Status != OverRange {
			t.Errorf("%s: an open part alone reads %g Ω, want OL", c.circuit, o.Value)
		}
		between(t, c.circuit+": an open part in circuit", s.ohms(c.a, c.b), 900, 2800)
	}
	// A battery post with the key off is as live as with the key on.
	for _, name := range []string{"coolant-temperature", "module-feeds-and-grounds"} {
		at := map[string]string{"coolant-temperature": "F14:2", "module-feeds-and-grounds": "FP:2"}[name]
		if o := fromLibrary(t, name).key(circuits.KeyOff).outcome(circuits.Ohms, at, "B-"); o.Why.Kind != Live {
			t.Errorf("%s: ohms from the feed at %s to B- give %g %+v, want a refusal", name, at, o.Value, o.Why)
		}
	}
}

func TestJumpersTellWiringFromSensor(t *testing.T) {
	for _, c := range []struct {
		circuit, device, signal, supply, ret, pin string
		wiring                                    []string // faults of the signal wire
	}{
		{"pressure-three-wire", "FRP", "FRP:2", "FRP:3", "FRP:1", "ECU:A2", []string{"open ECU:A2>C5:5", "open C5:5>FRP:2"}},
		{"throttle-potentiometer", "TPS", "TPS:C", "TPS:A", "TPS:B", "ECM:34", []string{"open ECM:34>C12:2", "short-to-ground C12:2>TPS:C 0"}},
		{"shared-reference", "FRP", "FRP:2", "FRP:3", "FRP:1", "ECM:A6", []string{"open C4:2>FRP:2", "short-to-voltage ECM:A6>C1:6 0"}},
	} {
		apart := fromLibrary(t, c.circuit).apart(c.device)
		// Whatever is wrong with the sensor, the wiring answers at both ends of the range.
		for _, fault := range []string{"healthy", "device " + c.device + ": open inside", "device " + c.device + ": shorted inside"} {
			within(t, c.circuit+" "+fault+": signal to return", apart.under(fault).jumper(c.signal, c.ret).scan(c.pin), 0, 0.01)
			within(t, c.circuit+" "+fault+": signal to reference", apart.under(fault).jumper(c.signal, c.supply).scan(c.pin), 5, 0.02)
		}
		// With the signal wire at fault, one of the two fails.
		for _, fault := range c.wiring {
			bad := apart.under(fault)
			low, high := bad.jumper(c.signal, c.ret).scan(c.pin), bad.jumper(c.signal, c.supply).scan(c.pin)
			if low < 0.5 && high > 4.5 {
				t.Errorf("%s %s: the jumpers bring %g V and %g V, as with sound wiring", c.circuit, fault, low, high)
			}
		}
	}
	// A two-wire sensor has one jumper: signal to return.
	for _, c := range []struct{ circuit, device, a, b, pin string }{{"coolant-temperature", "ECT", "ECT:1", "ECT:2", "ECU:A12"}, {"intake-air-temperature", "IAT", "IAT:1", "IAT:2", "ECU:44"}} {
		s := fromLibrary(t, c.circuit).apart(c.device)
		within(t, c.circuit+" joined", s.jumper(c.a, c.b).scan(c.pin), 0, 0.005)
		between(t, c.circuit+" unplugged", s.scan(c.pin), 4.98, 5)
	}
}

// A wire with no path to B- has no voltage. Between two such wires the answer is words, not a confident 0 V; and a list of
// voltages leaves them out. A meter to B- ties the wire down itself, whatever its input resistance: 0 V, and a known resistor
// to either post settles it.
func TestFloatingIsAnAnswer(t *testing.T) {
	for _, c := range []struct {
		circuit, connector string
		near, wire, other  string // the half towards the module; a wire beyond, and one that the part joins it to
		part               string
	}{
		{"coolant-temperature", "C101", "C101:7/cabin", "C101:7/engine", "C101:8/engine", "ECT"},
		{"intake-air-temperature", "C88", "C88:1/loom", "C88:1/airbox", "C88:2/airbox", "IAT"},
		{"pressure-three-wire", "C5", "C5:4/main", "C5:4/rail", "C5:6/rail", "FRP"},
	} {
		in := fromLibrary(t, c.circuit)
		s := in.apart(c.connector)
		for _, meter := range []float64{10e6, 1e6, 3e3} {
			within(t, c.circuit+": to B-", s.through(meter).volts(c.wire), 0, 1e-9)
			within(t, c.circuit+": across the part on it", s.through(meter).volts(c.wire, c.other), 0, 1e-9)
			if o := s.apart(c.part).through(meter).outcome(circuits.Volts, c.wire, c.other); o.Why.Kind != Floating {
				t.Errorf("%s: two loose wires read %g %+v between them with %g Ω, want floating", c.circuit, o.Value, o.Why, meter)
			}
		}
		within(t, c.circuit+": with a resistor to B-", s.load(c.wire, "B-", 1000).volts(c.wire), 0, 1e-9)
		within(t, c.circuit+": with a resistor to B+", s.load(c.wire, "B+", 1000).volts(c.wire), in.volts("B+"), 0.002)
		listed := func(s stand, at string) (volts float64, ok bool) {
			all, steady := Voltages(s.c, s.state, s.set, s.fault)
			if !steady {
				t.Fatalf("%s is not steady", c.circuit)
			}
			volts, ok = all[s.point(at)]
			return volts, ok
		}
		if v, ok := listed(s, c.wire); ok {
			t.Errorf("%s: the loose wire %s is listed with %g V", c.circuit, c.wire, v)
		}
		if v, ok := listed(s, c.near); !ok || math.Abs(v-5) > 0.05 {
			t.Errorf("%s: the module's side %s is listed with %g V (%v), want 5", c.circuit, c.near, v, ok)
		}
		// An open contact with the part unplugged cuts the same wire off; plugged in, the part still holds it.
		cut := in.under("open " + in.point(c.wire).Terminal().String())
		if v, ok := listed(cut.apart(c.part), c.wire); ok {
			t.Errorf("%s: behind an open, part unplugged, %s is listed with %g V", c.circuit, c.wire, v)
		}
		if v, ok := listed(cut, c.wire); !ok || v > 0.1 {
			t.Errorf("%s: behind an open, part plugged in, %s is listed with %g V (%v), want its return's 0 V", c.circuit, c.wire, v, ok)
		}
		if v, ok := listed(cut.apart(c.part), c.near); !ok || math.Abs(v-5) > 0.05 {
			t.Errorf("%s: before the open %s is listed with %g V (%v), want 5", c.circuit, c.near, v, ok)
		}
	}
}
