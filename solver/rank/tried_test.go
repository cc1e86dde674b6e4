package rank

import (
	"math"
	"testing"

	"ohmtrail/solver/internal/given"
)

const deadCoolant = "circuit = \"library:coolant-temperature\"\ncodes = [\"P0118\"]\n[assume]\nECT = 20\n[[reading]]\nat = \"ECT:1\"\nvolts = 4.98\n"

func tried(at, result string) string {
	return "[[tried]]\nat = \"" + at + "\"\nresult = \"" + result + "\"\n"
}

// A repair is right nine times in ten: a symptom that remains divides the odds of the place by nine, and to do the same again says
// nothing new; one that goes multiplies them by seventeen.
func TestWhatWasTriedMovesItsPlace(t *testing.T) {
	before := Rank(given.Job(t, deadCoolant))
	for _, k := range []struct {
		done, fault string
		want        float64
	}{
		{tried("C101:7", "remains"), "open C101:7", 0.10 / 0.90},
		{tried("C101:7", "remains") + tried("C101:7", "remains"), "open C101:7", 0.10 / 0.90},
		{tried("C101", "remains"), "open C101:8", 0.10 / 0.90}, // the whole connector
		{tried("C101:7", "remains"), "open C101:8", 1},
		{tried("C101:7", "remains"), "open ECU:A12>C101:7", 1}, // its crimps are the wire's
		{tried("ECT", "remains"), "device ECT: open inside", 0.10 / 0.90},
		{tried("ECT", "remains"), "open ECT:1", 1}, // a new sensor in the old plug
		{tried("C101:7", "gone"), "open C101:7", 0.85 / 0.05},
		{tried("C101:7", "gone"), "open C101:8", 1},
		{"", "open C101:8", 1},
	} {
		after := Rank(given.Job(t, deadCoolant+k.done))
		if got := odds(t, after, k.fault) / odds(t, before, k.fault); math.Abs(got-k.want) > 0.01*k.want {
			t.Errorf("after %q the odds of %s are %.3f of what they were, want %.3f", k.done, k.fault, got, k.want)
		}
	}
}

// A symptom that became another one speaks for two faults, one of which was at the place that was put right.
func TestAChangedSymptomSpeaksForTwo(t *testing.T) {
	holding := func(place, put string) float64 {
		sum := 0.0
		for _, c := range Rank(given.Job(t, deadCoolant+tried(put, "changed"))).Candidates {
			if f := c.Whole(); f.IsDouble() && (f.First.At.String() == place || f.Second.At.String() == place) {
				sum += c.Probability
			}
		}
		return sum
	}
	for _, k := range [][2]string{{"C101:7", "ECT:1"}, {"ECT:1", "C101:7"}} {
		if there, elsewhere := holding(k[0], k[0]), holding(k[0], k[1]); there < 3*elsewhere || there == 0 {
			t.Errorf("pairs with %s hold %.4f when the symptom changed with work there, %.4f with work at %s", k[0], there, elsewhere, k[1])
		}
	}
}
