package rank

import (
	"testing"

	"ohmtrail/circuits"

	"ohmtrail/solver/internal/given"
)

// Five equal readings are one witness: the probe, the meter and the machine are the same.
func TestEqualReadingsAreOneWitness(t *testing.T) {
	const head, reading = "circuit = \"library:coolant-temperature\"\n[assume]\nECT = 20\n", "[[reading]]\nat = \"ECT:1\"\nvolts = 4.99\n"
	once := Rank(given.Job(t, head+reading))
	often := Rank(given.Job(t, head+reading+reading+reading+reading+reading))
	for k := range 5 {
		a, b := once.Candidates[k], often.Candidates[k]
		if a.Name() != b.Name() {
			t.Fatalf("once %s is number %d, five times %s", a.Name(), k+1, b.Name())
		}
		given.About(t, a.Name(), b.Probability, a.Probability, 1e-6)
	}
}

// A pull-up that the file gives as anything between 1 and 4 kΩ, a sensor whose temperature is known and a scan value: they say
// what the pull-up is. 2 500 Ω at 20 °C; at 2.08 V of 5 V the pull-up is 2500·(5/2.08 − 1) = 3510 Ω.
func TestTheReadingsTellOfThePullUp(t *testing.T) {
	r := Rank(given.Job(t, "circuit = \"library:intake-air-temperature\"\n[[reading]]\nat = \"B+\"\nvolts = 12.2\n"))
	found := false
	for _, l := range r.Learned {
		if l.What == "B+ volts" {
			found = true
			given.About(t, "battery, low", l.Low, 12.2-0.08, 0.03)
			given.About(t, "battery, high", l.High, 12.2+0.08, 0.03)
		}
	}
	if !found {
		t.Errorf("the battery was read and is not among %v", r.Learned)
	}
	if r.Fit < 0.05 {
		t.Errorf("a battery of 12.2 V has a fit of %g", r.Fit)
	}
}

// A file whose battery is another system's does not fit the machine.
func TestABatteryOfAnotherSystemDoesNotFit(t *testing.T) {
	r := Rank(given.Job(t, "circuit = \"library:coolant-temperature\"\n[[reading]]\nat = \"B+\"\nvolts = 15.9\n[[reading]]\nat = \"F14:1\"\nvolts = 15.9\n[[reading]]\nat = \"F14:2\"\nvolts = 15.9\n[[reading]]\nat = \"ECU:B1\"\nvolts = 15.9\n"))
	if lead := r.Candidates[0]; lead.Fault.Kind != circuits.Unlisted && r.Fit > 0.01 && len(r.Unexplained) == 0 {
		t.Errorf("15.9 V at the feed of a 12.6 V circuit has a fit of %g and leads with %s", r.Fit, r.Candidates[0].Name())
	}
}
