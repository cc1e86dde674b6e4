package rank

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/internal/given"
)

// Clean looks make an intermittent fault less likely and never clear it: with the duty unknown, twenty of them leave more
// than a fault that is there for 2 % of the time would keep of its share: 0.2·0.98²⁰ = 0.134.
func TestCleanLooksNeverClear(t *testing.T) {
	var looks []string
	for range 20 {
		looks = append(looks, "scan_volts = 3.57")
	}
	none := Rank(given.Job(t, given.CoolantAway))
	one := Rank(given.Job(t, given.CoolantAway+given.Scans(looks[:1]...)))
	many := Rank(given.Job(t, given.CoolantAway+given.Scans(looks...)))
	const fault = "open C101:7"
	k1, k20 := odds(t, one, fault)/odds(t, none, fault), odds(t, many, fault)/odds(t, none, fault)
	// Mean of 1 − duty over 0.02, 0.05, 0.1, 0.3, 0.6 is 0.786; of its 20th power 0.230.
	if math.Abs(k1-0.786) > 0.02 || math.Abs(k20-0.230) > 0.01 {
		t.Errorf("a clean look multiplies the odds of %s by %.3f, twenty by %.3f; want 0.786 and 0.230", fault, k1, k20)
	}
	there := Rank(given.Job(t, given.CoolantAway+given.Scans("scan_volts = 3.57\nsymptom = \"there\"")))
	if k := odds(t, there, fault) / odds(t, none, fault); k > 0.03 {
		t.Errorf("a sound value while the symptom is there multiplies the odds of %s by %.3f, want it nearly cleared", fault, k)
	}
	away := Rank(given.Job(t, given.CoolantAway+given.Scans("scan_volts = 3.57\nsymptom = \"away\"")))
	if k := odds(t, away, fault) / odds(t, none, fault); math.Abs(k-1) > 0.02 {
		t.Errorf("a sound value while the symptom is away multiplies the odds of %s by %.3f, want 1", fault, k)
	}
}

// A loose contact is never twice the same: two faulty values that no one resistance explains speak for it all the same, and
// not where the fault was there all the time.
func TestResistanceIsFreeAtEachReading(t *testing.T) {
	// 5 V over 1 kΩ and 2.5 kΩ + R: 4.00 V is R = 1.5 kΩ, 4.50 V R = 6.5 kΩ.
	readings := given.Scans("scan_volts = 4.00\nsymptom = \"there\"", "scan_volts = 4.50\nsymptom = \"there\"")
	const fault = "high-resistance C101:7"
	comes := Rank(given.Job(t, given.CoolantAway+readings))
	stays := Rank(given.Job(t, strings.Replace(given.CoolantAway, "true", "false", 1)+readings))
	for i, m := range mustFind(t, comes, fault).Misread {
		if m > 0.05 {
			t.Errorf("coming and going, %s takes reading %d for a misreading with %.2f", fault, i+1, m)
		}
	}
	c := mustFind(t, stays, fault)
	if worst := c.Misread[0] + c.Misread[1]; worst < 0.9 { // one of the two, and nobody knows which
		t.Errorf("staying, %s explains 4.00 and 4.50 V by one resistance (misread %.2f)", fault, worst)
	}
	if o := mustFind(t, comes, fault).Ohms; o.Low > 1500 || o.High < 6500 {
		t.Errorf("its resistance is given as %.0f to %.0f Ω; it was 1500 and 6500", o.Low, o.High)
	}
}

func mustFind(t *testing.T, r Ranking, fault string) Candidate {
	t.Helper()
	f, err := hypothesis.CheckFault(r.Job, fault)
	if err != nil {
		t.Fatal(err)
	}
	c, ok := r.Find(f)
	if !ok {
		t.Fatalf("no candidate %s", fault)
	}
	return c
}

// A place that is moved without effect loses to 0.42.
func TestMovedWithoutEffect(t *testing.T) {
	base := Rank(given.Job(t, given.CoolantAway+given.Scans("scan_volts = 3.57")))
	still := Rank(given.Job(t, given.CoolantAway+given.Scans("scan_volts = 3.57\nwiggle = \"C101\"")))
	k := odds(t, still, "open C101:7") / odds(t, base, "open C101:7")
	if want := (1 - evidence.JumpsMoved) / (1 - evidence.JumpsElsewhere); math.Abs(k-want) > 0.01 {
		t.Errorf("moving C101 without effect multiplies the odds of open C101:7 by %.3f, want %.3f", k, want)
	}
}

// A code that is set while every reading is sound speaks for a fault that comes and goes beyond the limit, and rank says so.
func TestCodeThatCameAndWent(t *testing.T) {
	head := "circuit = \"library:coolant-temperature\"\ncodes = [\"P0118\"]\n"
	body := "[assume]\nECT = 20\n" + given.Scans("scan_volts = 3.57") + "[[reading]]\nat = \"ECT:1\"\nvolts = 3.56\n"
	r := Rank(given.Job(t, head+body))
	if r.Returning == nil || r.Returning.Probability < 0.5 || !slices.Equal(r.Returning.Codes, []string{"P0118"}) {
		t.Errorf("a code without a cause now: %+v", r.Returning)
	}
	for _, c := range r.Returning.Faults {
		if c.Fault.Kind != circuits.HighResistance && !r.SetsAllCodes(c.Fault.WithOhms(1e6)) {
			t.Errorf("%s is named, and cannot set P0118", c.Name())
		}
	}
	// The same code with a value that explains it: nothing of the kind is said.
	now := Rank(given.Job(t, head+given.Scans("scan_volts = 4.995")))
	if now.Returning != nil {
		t.Errorf("P0118 is explained by 4.995 V, and still: %+v", now.Returning)
	}
	// A job that says so itself is weighed so, and says that the fault was away.
	away := Rank(given.Job(t, "intermittent = true\n"+head+body))
	if !away.Away() || !slices.Equal(away.Codes(), []string{"P0118"}) {
		t.Errorf("away at every reading is %t, with the codes %q", away.Away(), away.Codes())
	}
	without := Rank(given.Job(t, "intermittent = true\n"+strings.Replace(head, "codes = [\"P0118\"]\n", "", 1)+body))
	if k := odds(t, away, "open C101:7") / odds(t, without, "open C101:7"); k < 10 {
		t.Errorf("the code multiplies the odds of open C101:7 by %.1f, want more than 10", k)
	}
	// Some half of all resistances set the code. As the worst of five times nearly all do; as it stays, half.
	const high = "high-resistance C101:7"
	comes := odds(t, Rank(given.Job(t, "intermittent = true\n"+head)), high) / odds(t, Rank(given.Job(t, "intermittent = true\n"+strings.Replace(head, "codes = [\"P0118\"]\n", "", 1))), high)
	stays := odds(t, Rank(given.Job(t, head)), high) / odds(t, Rank(given.Job(t, strings.Replace(head, "codes = [\"P0118\"]\n", "", 1))), high)
	if comes < 1.5*stays {
		t.Errorf("the code multiplies the odds of %s by %.1f if it comes and goes, by %.1f if it stays; want the worst of five times to count", high, comes, stays)
	}
	if k := odds(t, away, "short-to-ground C101:7>ECT:1") / odds(t, without, "short-to-ground C101:7>ECT:1"); k > 1.1 {
		t.Errorf("the code multiplies the odds of a short to ground by %.2f; it cannot set P0118", k)
	}
}

// A reading that a fault explains within the tolerances does not speak against it, whether one value was seen or two.
func TestToleranceIsNothingAgainst(t *testing.T) {
	// 1 kΩ pull-up and sensor within 5 %: 3.57 V may be 3.50 V, ten steps of the converter away.
	if c := mustFind(t, Rank(given.Job(t, given.CoolantAway+given.Scans("scan_volts = 3.51"))), "healthy"); len(c.Against()) > 0 {
		t.Errorf("3.51 V is held against healthy, which predicts %.3f (misread %.2f)", c.Predicts[0], c.Misread[0])
	}
	for _, head := range []string{given.CoolantAway, strings.Replace(given.CoolantAway, "true", "false", 1)} {
		r := Rank(given.Job(t, head+given.Scans("scan_volts = [3.51, 4.995]")))
		if c := mustFind(t, r, "open C101:7"); len(c.Against()) > 0 {
			t.Errorf("3.51 to 4.995 V is held against open C101:7, which predicts %.3f to %.3f (misread %.2f)", c.Predicts[0], c.High[0], c.Misread[0])
		}
		if c := mustFind(t, r, "healthy"); len(c.Against()) != 1 {
			t.Errorf("3.51 to 4.995 V is not held against healthy")
		}
	}
}

// A joint that reads 0.4 Ω and then OL when it is moved is one place at fault: loose, and parting altogether.
func TestALooseJointPartsAltogether(t *testing.T) {
	for _, c := range []struct{ circuit, at, to, unplug, place, fault string }{
		{"coolant-temperature", "ECU:A12", "ECT:1", `"ECU.A", "ECT"`, "C101", "high-resistance C101:7"},
		{"pressure-three-wire", "ECU:A2", "FRP:2", `"ECU.A", "FRP"`, "C5", "high-resistance C5:5"},
	} {
		r := Rank(given.Job(t, "circuit = \"library:"+c.circuit+"\"\nintermittent = true\n[[reading]]\nat = \""+c.at+"\"\nto = \""+c.to+
			"\"\nohms = [6.5, \"OL\"]\nkey = \"off\"\nunplugged = ["+c.unplug+"]\nwiggle = \""+c.place+"\"\n"))
		k := mustFind(t, r, c.fault)
		if k.Misread[0] > 0.5 || r.Candidates[0].Name() != c.fault {
			t.Errorf("%s: 6.5 Ω to OL is a misreading to %s (%.2f), %s leads with %.2f", c.circuit, c.fault, k.Misread[0], r.Candidates[0].Name(), r.Candidates[0].Probability)
		}
	}
}

// The value of a biased oxygen sensor jumps close to 5 V while its connector is moved. By the drawing an open way of that
// connector reads 4.84 V and the lost trunk of both sensors 4.84 to 5 V; a few hundredths of a volt must not outweigh the hand.
func TestTheHandOutweighsHundredths(t *testing.T) {
	for _, high := range []string{"4.84", "4.90", "4.95"} {
		r := Rank(given.Job(t, "circuit = \"library:oxygen-sensor-biased\"\nintermittent = true\ncodes = [\"P0132\"]\n"+
			"[[reading]]\nat = \"PCM:C23\"\nscan_volts = 3.3\n[[reading]]\nat = \"PCM:C24\"\nscan_volts = 2.95\n"+
			"[[reading]]\nat = \"PCM:C23\"\nscan_volts = [3.2, "+high+"]\nwiggle = \"C110\"\n"))
		moved, trunk := probabilityOf(t, r, "open C110:3"), probabilityOf(t, r, "open PCM:C30")
		if moved < 3*trunk || r.Groups[0].Probability > 0.95 {
			t.Errorf("%s V: open C110:3 %.3f, the trunk %.3f, leading group %.3f; want the moved way ahead and nothing decided", high, moved, trunk, r.Groups[0].Probability)
		}
	}
}
