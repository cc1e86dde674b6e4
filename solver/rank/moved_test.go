package rank

import (
	"math"
	"testing"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/internal/given"
)

const sharedAway = "circuit = \"library:shared-reference\"\nintermittent = true\n[assume]\nMAP = 0.5\nTPS = 0.5\nECT = 20\nFRP = 0.5\n"

// A value that a fault does not move says nothing of that fault, whatever is moved by hand: neither that it stayed, nor
// that it jumped, which then is another fault or a misreading.
func TestMovementSaysNothingOfWhatTheValueDoesNotFeel(t *testing.T) {
	watched := func(value, more string) Ranking {
		return Rank(given.Job(t, sharedAway+"[[reading]]\nat = \"ECM:A3\"\nscan_volts = "+value+"\n"+more))
	}
	const moved = "wiggle = \"C3\"\n"
	for _, k := range []struct {
		value, fault string
		want         float64
	}{
		{"2.5", "open C3:2", (1 - evidence.JumpsMoved) / (1 - evidence.JumpsElsewhere)}, // the manifold pressure's own signal
		{"2.5", "open C3:5", 1}, // the throttle's signal, at another pin
		{"[0.0, 2.5]", "open C3:5", 1},
	} {
		r, still := watched(k.value, moved), watched(k.value, "wiggle = \"G1\"\n")
		if got := odds(t, r, k.fault) / odds(t, still, k.fault); math.Abs(got-k.want) > 0.02 {
			t.Errorf("%s while C3 is moved, and not G1, multiplies the odds of %s by %.3f, want %.3f", k.value, k.fault, got, k.want)
		}
	}
	jumped, elsewhere := watched("[0.0, 2.5]", moved), watched("[0.0, 2.5]", "wiggle = \"G1\"\n")
	if got := odds(t, jumped, "open C3:2") / odds(t, elsewhere, "open C3:2"); math.Abs(got-20) > 0.8 {
		t.Errorf("a jump to 0 V while C3 is moved multiplies the odds of open C3:2 by %.3f, want 20", got)
	}
}

// Two values nearer to each other than the meter or the converter tells apart are one value: neither a jump nor none.
func TestNoiseIsNoJump(t *testing.T) {
	for _, k := range []struct{ two, one string }{
		{"scan_volts = [3.57, 3.58]\n", "scan_volts = 3.575\n"}, {"volts = [3.56, 3.58]\n", "volts = 3.57\n"},
	} {
		for _, fault := range []string{"open C101:7", "high-resistance C101:7", "open C101:8"} {
			two := odds(t, Rank(given.Job(t, given.CoolantAway+given.Scans(k.two+"wiggle = \"C101\""))), fault)
			one := odds(t, Rank(given.Job(t, given.CoolantAway+given.Scans(k.one))), fault)
			if math.Abs(two/one-1) > 0.02 {
				t.Errorf("%s of %s: odds of %.4f, of %s %.4f", k.two, fault, two, k.one, one)
			}
		}
	}
}

// Ohms that jumped to OL and that no fault explains may be a misreading as well as a live circuit. A live circuit shows
// anything, and a misreading is rarer by some twenty times, not by the hundred million that a density for OL would make of it.
func TestOhmsToOLMayBeMisread(t *testing.T) {
	reading := "[[reading]]\nat = \"ECT:1\"\nto = \"ECT:2\"\nkey = \"off\"\nohms = [700, \"OL\"]\n"
	for _, head := range []string{given.CoolantAway, "circuit = \"library:coolant-temperature\"\n[assume]\nECT = 20\n"} {
		r := Rank(given.Job(t, head+reading))
		if k := odds(t, r, "short-to-voltage C101:7>ECT:1") / odds(t, Rank(given.Job(t, head)), "short-to-voltage C101:7>ECT:1"); k > 10_000 {
			t.Errorf("%s multiplies the odds of a live circuit by %.3g", reading, k)
		}
	}
}
