package reason

import (
	"math"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Faults that come and go, drawn by their weights, are found by the plan, and what it calls with 95 % or more is right; less
// so where one value in twenty is misread.
func TestPlanFindsWhatComesAndGoes(t *testing.T) {
	for _, c := range []struct{ misread, lead, right float64 }{{0, 0.85, 0.95}, {0.05, 0.7, 0.8}} {
		cases, lead, sure, right := 0, 0, 0, 0
		for _, name := range []string{"coolant-temperature", "pressure-three-wire"} {
			for n := range 5 {
				k := RunTrial(circuitNamed(name), name, TrialPlan{Seed: 3, Misread: c.misread, Intermittent: true}, n, BestPerMinute)
				cases++
				lead += count(k.TopRight)
				sure += count(k.Top >= 0.95)
				right += count(k.Top >= 0.95 && k.TopRight)
			}
		}
		t.Logf("misread %g: %d of %d lead, sure in %d, right in %d", c.misread, lead, cases, sure, right)
		if float64(lead) < c.lead*float64(cases) || float64(right) < c.right*float64(sure) || sure < cases/2 {
			t.Errorf("misread %g: %d of %d lead, sure in %d, right in %d", c.misread, lead, cases, sure, right)
		}
	}
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

const coolantAway = "circuit = \"library:coolant-temperature\"\nintermittent = true\n[assume]\nECT = 20\n"

// scans are scan values of the coolant sensor's pin; sound it is 2.5 kΩ on 1 kΩ, 3.57 V at 20 °C, open 4.995 V.
func scans(lines ...string) string {
	text := ""
	for _, l := range lines {
		text += "[[reading]]\nat = \"ECU:A12\"\n" + l + "\n"
	}
	return text
}

// Clean looks make an intermittent fault less likely and never clear it: with the duty unknown, twenty of them leave more
// than a fault that is there for 2 % of the time would keep of its share: 0.2·0.98²⁰ = 0.134.
func TestCleanLooksNeverClear(t *testing.T) {
	var looks []string
	for range 20 {
		looks = append(looks, "scan_volts = 3.57")
	}
	none := Rank(jobOf(t, coolantAway))
	one := Rank(jobOf(t, coolantAway+scans(looks[:1]...)))
	many := Rank(jobOf(t, coolantAway+scans(looks...)))
	const fault = "open C101:7"
	k1, k20 := odds(t, one, fault)/odds(t, none, fault), odds(t, many, fault)/odds(t, none, fault)
	// Mean of 1 − duty over 0.02, 0.05, 0.1, 0.3, 0.6 is 0.786; of its 20th power 0.230.
	if math.Abs(k1-0.786) > 0.02 || math.Abs(k20-0.230) > 0.01 {
		t.Errorf("a clean look multiplies the odds of %s by %.3f, twenty by %.3f; want 0.786 and 0.230", fault, k1, k20)
	}
	there := Rank(jobOf(t, coolantAway+scans("scan_volts = 3.57\nsymptom = \"there\"")))
	if k := odds(t, there, fault) / odds(t, none, fault); k > 0.03 {
		t.Errorf("a sound value while the symptom is there multiplies the odds of %s by %.3f, want it nearly cleared", fault, k)
	}
	away := Rank(jobOf(t, coolantAway+scans("scan_volts = 3.57\nsymptom = \"away\"")))
	if k := odds(t, away, fault) / odds(t, none, fault); math.Abs(k-1) > 0.02 {
		t.Errorf("a sound value while the symptom is away multiplies the odds of %s by %.3f, want 1", fault, k)
	}
}

// A loose contact is never twice the same: two faulty values that no one resistance explains speak for it all the same, and
// not where the fault was there all the time.
func TestResistanceIsFreeAtEachReading(t *testing.T) {
	// 5 V over 1 kΩ and 2.5 kΩ + R: 4.00 V is R = 1.5 kΩ, 4.50 V R = 6.5 kΩ.
	readings := scans("scan_volts = 4.00\nsymptom = \"there\"", "scan_volts = 4.50\nsymptom = \"there\"")
	const fault = "high-resistance C101:7"
	comes := Rank(jobOf(t, coolantAway+readings))
	stays := Rank(jobOf(t, strings.Replace(coolantAway, "true", "false", 1)+readings))
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
	f, err := CheckFault(r.Job, fault)
	if err != nil {
		t.Fatal(err)
	}
	c, ok := r.Find(f)
	if !ok {
		t.Fatalf("no candidate %s", fault)
	}
	return c
}

// The place moved gains by 12 when the value jumps and loses to 0.42 when it stays; what a short wire joins to it gains by
// 4; a long wire gains by the part of it that the hand reaches.
func TestReachOfAHand(t *testing.T) {
	c := circuitNamed("coolant-temperature")
	at := func(name string) circuits.Location {
		l, err := c.Somewhere(name)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	fault := func(name string) circuits.Single {
		f, err := circuits.ParseFault(name)
		if err == nil {
			f, err = c.ResolveFault(f)
		}
		if err != nil {
			t.Fatal(err)
		}
		return f.First
	}
	long := c.Wire(at("C101:7>ECT:1")).LengthM
	share := min(1, reachMetres/long)
	for _, k := range []struct {
		moved, fault string
		want         float64
	}{
		{"C101", "open C101:7", jumpsMoved}, {"C101:7", "open C101:7", jumpsMoved}, {"C101:7", "open C101:8", jumpsElsewhere},
		{"C101", "open ECT:1", jumpsElsewhere}, {"ECT", "device ECT: open inside", jumpsMoved},
		{"C101", "open C101:7>ECT:1", share*jumpsMoved + (1-share)*jumpsElsewhere}, {"C101:7>ECT:1", "open C101:7>ECT:1", jumpsMoved},
		{"C101:7>ECT:1", "open ECT:1", jumpsNear}, {"ECT", "short-between C101:7>ECT:1 C101:8>ECT:2", share*jumpsMoved + (1-share)*jumpsElsewhere},
	} {
		if got := jumps(c, at(k.moved), fault(k.fault)); math.Abs(got-k.want) > 1e-9 {
			t.Errorf("moving %s makes %s show with %.3f, want %.3f (wire of %g m)", k.moved, k.fault, got, k.want, long)
		}
	}
	base := Rank(jobOf(t, coolantAway+scans("scan_volts = 3.57")))
	still := Rank(jobOf(t, coolantAway+scans("scan_volts = 3.57\nwiggle = \"C101\"")))
	k := odds(t, still, "open C101:7") / odds(t, base, "open C101:7")
	if want := (1 - jumpsMoved) / (1 - jumpsElsewhere); math.Abs(k-want) > 0.01 {
		t.Errorf("moving C101 without effect multiplies the odds of open C101:7 by %.3f, want %.3f", k, want)
	}
}

// A code that is set while every reading is sound speaks for a fault that comes and goes beyond the limit, and rank says so.
func TestCodeThatCameAndWent(t *testing.T) {
	head := "circuit = \"library:coolant-temperature\"\ncodes = [\"P0118\"]\n"
	body := "[assume]\nECT = 20\n" + scans("scan_volts = 3.57") + "[[reading]]\nat = \"ECT:1\"\nvolts = 3.56\n"
	r := Rank(jobOf(t, head+body))
	if r.Returning == nil || r.Returning.Probability < 0.5 || !strings.HasPrefix(r.Verdict, "not decided: P0118 is set") {
		t.Errorf("a code without a cause now: %+v, %q", r.Returning, r.Verdict)
	}
	for _, c := range r.Returning.Faults {
		if v := r.w.codes[0].chance(c.Fault, 1e6, r.w, new(network.Prediction)); v < 0.5 && c.Fault.Kind != circuits.HighResistance {
			t.Errorf("%s is named, and cannot set P0118 (%.2f)", c.Name(), v)
		}
	}
	// The same code with a value that explains it: nothing of the kind is said.
	now := Rank(jobOf(t, head+scans("scan_volts = 4.995")))
	if now.Returning != nil {
		t.Errorf("P0118 is explained by 4.995 V, and still: %q", now.Verdict)
	}
	// A job that says so itself is weighed so, and says that the fault was away.
	away := Rank(jobOf(t, "intermittent = true\n"+head+body))
	if !strings.Contains(away.Verdict, "away at every reading") || !strings.Contains(away.Verdict, "P0118 says that it was there once") {
		t.Errorf("the verdict is %q", away.Verdict)
	}
	without := Rank(jobOf(t, "intermittent = true\n"+strings.Replace(head, "codes = [\"P0118\"]\n", "", 1)+body))
	if k := odds(t, away, "open C101:7") / odds(t, without, "open C101:7"); k < 10 {
		t.Errorf("the code multiplies the odds of open C101:7 by %.1f, want more than 10", k)
	}
	// Some half of all resistances set the code. As the worst of five times nearly all do; as it stays, half.
	const high = "high-resistance C101:7"
	comes := odds(t, Rank(jobOf(t, "intermittent = true\n"+head)), high) / odds(t, Rank(jobOf(t, "intermittent = true\n"+strings.Replace(head, "codes = [\"P0118\"]\n", "", 1))), high)
	stays := odds(t, Rank(jobOf(t, head)), high) / odds(t, Rank(jobOf(t, strings.Replace(head, "codes = [\"P0118\"]\n", "", 1))), high)
	if comes < 1.5*stays {
		t.Errorf("the code multiplies the odds of %s by %.1f if it comes and goes, by %.1f if it stays; want the worst of five times to count", high, comes, stays)
	}
	if k := odds(t, away, "short-to-ground C101:7>ECT:1") / odds(t, without, "short-to-ground C101:7>ECT:1"); k > 1.1 {
		t.Errorf("the code multiplies the odds of a short to ground by %.2f; it cannot set P0118", k)
	}
}

// With a symptom that comes and goes the plan moves the harness, and says to what the value would jump.
func TestPlanMovesTheHarness(t *testing.T) {
	r := Rank(jobOf(t, coolantAway+scans("scan_volts = [3.57, 4.995]\nwiggle = \"C101\"")))
	plan := r.Next()
	if len(plan.Suggestions) == 0 || plan.Suggestions[0].Reading.Wiggle != "C101" {
		t.Fatalf("%d suggestions, first of %+v; want C101 moved again", len(plan.Suggestions), plan.Suggestions[0].Reading)
	}
	best := plan.Suggestions[0]
	sum, stays, values := 0.0, 0.0, 0
	for _, b := range best.Outcomes {
		sum += b.Probability
		if b.Words == Stays {
			stays += b.Probability
		}
		if b.Words == "" {
			values++
		}
	}
	if math.Abs(sum-1) > 1e-9 || stays < 0.3 || stays > 0.7 || values < 2 {
		t.Errorf("outcomes %+v: want the chance that it stays near 0.4 and two values that it may jump to", best.Outcomes)
	}
	steady := Rank(jobOf(t, strings.Replace(coolantAway, "true", "false", 1)+scans("scan_volts = 4.995")))
	for _, s := range steady.Next().Suggestions {
		if s.Reading.Wiggle != "" {
			t.Errorf("the symptom stays, and %s is to be moved", s.Reading.Wiggle)
		}
	}
}

// A reading that a fault explains within the tolerances does not speak against it, whether one value was seen or two.
func TestToleranceIsNothingAgainst(t *testing.T) {
	// 1 kΩ pull-up and sensor within 5 %: 3.57 V may be 3.50 V, ten steps of the converter away.
	if c := mustFind(t, Rank(jobOf(t, coolantAway+scans("scan_volts = 3.51"))), "healthy"); len(c.Against()) > 0 {
		t.Errorf("3.51 V is held against healthy, which predicts %.3f (misread %.2f)", c.Predicts[0], c.Misread[0])
	}
	for _, head := range []string{coolantAway, strings.Replace(coolantAway, "true", "false", 1)} {
		r := Rank(jobOf(t, head+scans("scan_volts = [3.51, 4.995]")))
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
		r := Rank(jobOf(t, "circuit = \"library:"+c.circuit+"\"\nintermittent = true\n[[reading]]\nat = \""+c.at+"\"\nto = \""+c.to+
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
		r := Rank(jobOf(t, "circuit = \"library:oxygen-sensor-biased\"\nintermittent = true\ncodes = [\"P0132\"]\n"+
			"[[reading]]\nat = \"PCM:C23\"\nscan_volts = 3.3\n[[reading]]\nat = \"PCM:C24\"\nscan_volts = 2.95\n"+
			"[[reading]]\nat = \"PCM:C23\"\nscan_volts = [3.2, "+high+"]\nwiggle = \"C110\"\n"))
		moved, trunk := probabilityOf(t, r, "open C110:3"), probabilityOf(t, r, "open PCM:C30")
		if moved < 3*trunk || r.Groups[0].Probability > 0.95 {
			t.Errorf("%s V: open C110:3 %.3f, the trunk %.3f, leading group %.3f; want the moved way ahead and nothing decided", high, moved, trunk, r.Groups[0].Probability)
		}
	}
}

// One look at an open circuit that comes and goes leaves a dozen joints alike. That a repair was the wrong one is only seen
// after half an hour, so a reading saves several times the minutes that it takes: without that half hour 1.2 to 1.4 times.
func TestOneLookIsNotEnoughToTryRepairs(t *testing.T) {
	for _, codes := range []string{"", "codes = [\"P0118\"]\n"} {
		r := Rank(jobOf(t, codes+coolantAway+scans("scan_volts = 4.995\nsymptom = \"there\"")))
		plan := r.Next()
		best := 0.0
		for _, s := range plan.Suggestions {
			best = max(best, s.Saves/s.Minutes)
		}
		if plan.Done || best < 3 {
			t.Errorf("%sdone %v (%s), the best reading saves %.1f times its minutes, want 3 or more", codes, plan.Done, plan.Reason, best)
		}
	}
}
