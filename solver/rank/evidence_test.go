package rank

import (
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/internal/given"
)

// odds is a fault's probability after a job's readings, over that of nothing being wrong.
func odds(t *testing.T, r Ranking, fault string) float64 {
	t.Helper()
	return probabilityOf(t, r, fault) / probabilityOf(t, r, "healthy")
}

func probabilityOf(t *testing.T, r Ranking, fault string) float64 {
	t.Helper()
	f, err := hypothesis.CheckFault(r.Job, fault)
	if err != nil {
		t.Fatal(err)
	}
	c, ok := r.Find(f)
	if !ok {
		t.Fatalf("no candidate %s", fault)
	}
	return c.Probability
}

// A perfect 5 V at the unplugged sensor clears a wire of an open, never of a high resistance: without current it drops
// nothing. The same 5 V under a load clears it of both.
func TestOpenCircuitVoltageClearsNoHighResistance(t *testing.T) {
	for _, c := range []struct{ circuit, device, feed, back, wire, volts, loaded string }{
		{"pressure-three-wire", "FRP", "FRP:3", "FRP:1", "C5:4>FRP:3", "5.00", "4.99"},
		{"throttle-potentiometer", "TPS", "TPS:A", "TPS:B", "ECM:21>C12:1", "5.00", "4.99"},
	} {
		head := "circuit = \"library:" + c.circuit + "\"\n"
		none := Rank(given.Job(t, head))
		idle := Rank(given.Job(t, head+"[[reading]]\nat = \""+c.feed+"\"\nvolts = "+c.volts+"\nunplugged = [\""+c.device+"\"]\n"))
		loaded := Rank(given.Job(t, head+"[[reading]]\nat = \""+c.feed+"\"\nto = \""+c.back+"\"\nvolts = "+c.loaded+"\nunplugged = [\""+c.device+
			"\"]\nload = [{ from = \""+c.feed+"\", to = \""+c.back+"\", ohms = 330 }]\n"))
		high, open := "high-resistance "+c.wire, "open "+c.wire
		if k := odds(t, idle, high) / odds(t, none, high); k < 0.6 {
			t.Errorf("%s: 5 V at the unplugged sensor changes the odds of %s by %.3f; without current it says next to nothing", c.circuit, high, k)
		}
		if k := odds(t, idle, open) / odds(t, none, open); k > 0.05 {
			t.Errorf("%s: 5 V at the unplugged sensor changes the odds of %s by %.3f, want it cleared", c.circuit, open, k)
		}
		// Only a few ohms, which no load of 330 Ω shows, are left of the seven decades: from 0.5 to some 5 Ω.
		if k := odds(t, loaded, high) / odds(t, none, high); k > 0.3 {
			t.Errorf("%s: 5 V under 330 Ω changes the odds of %s by %.3f, want it nearly cleared", c.circuit, high, k)
		}
	}
}

// A reading in mid range is weak evidence where nobody knows the stimulus, and strong where it is known.
func TestUnknownStimulusMakesWeakEvidence(t *testing.T) {
	for _, c := range []struct{ circuit, at, scan, assume, fault string }{
		// 1 kΩ pull-up, 2.5 kΩ at 20 °C: 3.57 V. 3.2 V is a warmer sensor, or a leak across it.
		{"coolant-temperature", "ECU:A12", "3.20", "ECT = 20", "short-to-ground C101:7>ECT:1"},
		{"throttle-potentiometer", "ECM:34", "2.40", "TPS = 0.30", "device TPS: reads wrong"},
	} {
		head := "circuit = \"library:" + c.circuit + "\"\n"
		reading := "[[reading]]\nat = \"" + c.at + "\"\nscan_volts = " + c.scan + "\n"
		unknown := Rank(given.Job(t, head+reading))
		known := Rank(given.Job(t, head+"[assume]\n"+c.assume+"\n"+reading))
		before := Rank(given.Job(t, head))
		weak, strong := odds(t, unknown, c.fault)/odds(t, before, c.fault), odds(t, known, c.fault)/odds(t, before, c.fault)
		if weak < 0.2 || weak > 3 {
			t.Errorf("%s: a mid-range value of an unknown stimulus changes the odds of %s by %.3g, want little", c.circuit, c.fault, weak)
		}
		if strong < 10*weak {
			t.Errorf("%s: with the stimulus known the same value changes the odds of %s by %.3g, unknown by %.3g; want ten times more", c.circuit, c.fault, strong, weak)
		}
	}
}

// A reading that jumps while a place is moved by hand speaks for that place, by both of its values.
func TestIntermittentShowsBothValues(t *testing.T) {
	for _, c := range []struct{ circuit, at, low, high, place, fault, other, cannot string }{
		// Sound it is 2.5 kΩ on 1 kΩ, 3.57 V at 20 °C; open 4.995 V. A touch to ground cannot show the high value.
		{"coolant-temperature", "ECU:A12", "3.57", "4.995", "C101", "open C101:7", "open ECU:A12>C101:7", "short-to-ground C101:7"},
		// Sound a throttle at 0.5 is 2.5 V less the pull-down; open 0 V. A touch to the battery cannot show the low one.
		{"throttle-potentiometer", "ECM:34", "0.0", "2.47", "C12", "open C12:2", "open ECM:34>C12:2", "short-to-voltage C12:2"},
	} {
		head := "circuit = \"library:" + c.circuit + "\"\nintermittent = true\n[assume]\n" + map[string]string{"coolant-temperature": "ECT = 20", "throttle-potentiometer": "TPS = 0.5"}[c.circuit] + "\n"
		r := Rank(given.Job(t, head+"[[reading]]\nat = \""+c.at+"\"\nscan_volts = ["+c.low+", "+c.high+"]\nwiggle = \""+c.place+"\"\n"))
		if healthy := probabilityOf(t, r, "healthy"); healthy > 1e-4 {
			t.Errorf("%s: a value that jumps leaves healthy with %.3g", c.circuit, healthy)
		}
		if lead := r.Candidates[0]; lead.Misread[0] > 0.01 || lead.Fault.Kind == circuits.Unlisted {
			t.Errorf("%s: %s leads, and takes the reading for a misreading with %.3g; want a fault that explains both values", c.circuit, lead.Name(), lead.Misread[0])
		}
		there, elsewhere := probabilityOf(t, r, c.fault), probabilityOf(t, r, c.other)
		if there < 2*elsewhere {
			t.Errorf("%s: moving %s makes the value jump, and %s has %.3f, %s %.3f; want the moved place well ahead", c.circuit, c.place, c.fault, there, c.other, elsewhere)
		}
		if p := probabilityOf(t, r, c.cannot); p > 0.01*there {
			t.Errorf("%s: %s has %.3g, %s %.3g; one of the two values is beyond it", c.circuit, c.cannot, p, c.fault, there)
		}
	}
}

// A code is a bounded reading, at some time: it speaks for what would carry the pin beyond its limit and does not rule the
// rest out; a value now that is well within says only that it is not so now.
func TestCodeIsABoundedReading(t *testing.T) {
	for _, c := range []struct{ circuit, code, sets, not string }{
		{"coolant-temperature", "P0118", "open C101:7>ECT:1", "short-to-ground C101:7>ECT:1"},
		{"pressure-three-wire", "P0192", "open C5:4>FRP:3", "open C5:6>FRP:1"},
		{"throttle-potentiometer", "P0123", "open C12:3>TPS:B", "open C12:2>TPS:C"},
	} {
		head := "circuit = \"library:" + c.circuit + "\"\n"
		none, coded := Rank(given.Job(t, head)), Rank(given.Job(t, "codes = [\""+c.code+"\"]\n"+head))
		k, l := odds(t, coded, c.sets)/odds(t, none, c.sets), odds(t, coded, c.not)/odds(t, none, c.not)
		if k < 10 || k > 1.05/evidence.StaleCode {
			t.Errorf("%s: code %s changes the odds of %s by %.3g, want between 10 and the %.3g that a stale code allows", c.circuit, c.code, c.sets, k, 1/evidence.StaleCode)
		}
		if l < 0.9 || l > 1.1 {
			t.Errorf("%s: code %s changes the odds of %s by %.3g, want none: either may be there with a stale code", c.circuit, c.code, c.not, l)
		}
	}
}
