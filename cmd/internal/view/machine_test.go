package view

import (
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/network"
	"ohmtrail/solver/rank"
)

// What a file has wrongly is said as a correction; what it has rightly, and what is so today only, is not.
func TestLearnedSaysWhereTheFileIsWrong(t *testing.T) {
	learned := func(place, key string, nominal, low, high float64) evidence.Learned {
		at, err := circuits.ParsePoint(place)
		if err != nil {
			t.Fatal(err)
		}
		return evidence.Learned{What: place + " " + key, Parameter: network.Parameter{Place: at, Key: key}, Nominal: nominal, Low: low, High: high}
	}
	for _, k := range []struct {
		learned evidence.Learned
		want    string
	}{
		{learned("ECU:A12", "pull_up_ohms", 2200, 3800, 4300), "ECU:A12 pull_up_ohms is 3.80 to 4.30 kΩ, not 2.20 kΩ: the file should say so"},
		{learned("ECU:A12", "pull_up_ohms", 2200, 950, 2300), "ECU:A12 pull_up_ohms is 950 Ω to 2.30 kΩ (2.20 kΩ in the file)"},
		{learned("B+", "volts", 12.6, 12.1, 12.3), "B+ volts is 12.1 to 12.3 V today (12.6 V in the file)"},
	} {
		if got := Learned(k.learned); got != k.want {
			t.Errorf("got %q, want %q", got, k.want)
		}
	}
}

// A poor fit is said before any fault, in the verdict; a good one, or no reading, is not spoken of.
func TestAPoorFitIsSaidFirst(t *testing.T) {
	r := rank.Ranking{Job: &circuits.Job{Circuit: &circuits.Circuit{}, Readings: []circuits.Reading{{Taken: true, At: circuits.PointLocation(circuits.BPositive)}}}, Taken: []int{0}, Misread: []float64{0}, Fit: 0.004}
	r.Groups = []rank.Group{{Probability: 1, Faults: []rank.Candidate{{Probability: 1}}}}
	const doubt = "the file or the meter does not fit this machine"
	if got := Verdict(&r); !strings.HasPrefix(got, doubt) || !strings.Contains(got, "no fault shows") {
		t.Errorf("a fit of 0.004 says %q", got)
	}
	if r.Fit = 0.02; strings.Contains(Verdict(&r), doubt) {
		t.Error("a fit of 0.02 is doubted")
	}
	if r.Fit, r.Taken = 0, nil; strings.Contains(Verdict(&r), doubt) {
		t.Error("no reading is doubted")
	}
}
