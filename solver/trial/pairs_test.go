package trial

import (
	"math/rand/v2"
	"os"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/rank"
)

// pairJob is a job on a library circuit with these faults in it and readings of the machine, one of which may be altered.
func pairJob(t *testing.T, name, fault string, at []string, alter func(i int, r *circuits.Reading)) *circuits.Job {
	t.Helper()
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	f, err := circuits.ParseFault(fault)
	if err == nil {
		f, err = c.ResolveFault(f)
	}
	if err != nil {
		t.Fatal(err)
	}
	v := NewVehicle(c, f, 0, rand.New(rand.NewPCG(5, 8)))
	j := &circuits.Job{File: "pairs", Circuit: c, Meter: circuits.DefaultMeter(), Assume: v.Stimuli}
	for i, text := range at {
		p, err := circuits.ParsePoint(text)
		if err == nil {
			p, err = c.Resolve(p)
		}
		if err != nil {
			t.Fatal(err)
		}
		r, ok := v.Answer(j.Meter, circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}})
		if !ok {
			t.Fatalf("%s has no value", text)
		}
		alter(i, &r)
		j.Readings = append(j.Readings, r)
	}
	return j
}

// A slip of the pen must not make two faults of one: a pair that fits no reading better than one of its faults alone
// owes for its second place and for the ohms that it was given. The truth is 5 kΩ at X12:3; 14.2 V was written as 1.42.
func TestMisreadingIsNotASecondFault(t *testing.T) {
	const job = "format = 1\ncircuit = \"mixer.circuit.toml\"\ncodes = [\"DRUM-HIGH\"]\n[assume]\nDSS = 1\n" +
		"[[reading]]\nat = \"DCU:B4\"\nscan_volts = 14.14\n[[reading]]\nat = \"DSS:1\"\nvolts = 25.11\n[[reading]]\nat = \"DSS:3\"\nvolts = 1.42\n" +
		"[[reading]]\nat = \"X12:3/drum\"\nvolts = 14.23\n[[reading]]\nat = \"X12:3/chassis\"\nvolts = 0.00\n"
	j, problems := read.Job("mixer.job.toml", []byte(job), func(name string) (string, []byte, error) {
		text, err := os.ReadFile("testdata/" + name)
		return name, text, err
	})
	if j == nil {
		t.Fatal(problems)
	}
	r := rank.Rank(j)
	double := 0.0
	for _, c := range r.Candidates {
		if c.Whole().IsDouble() {
			double += c.Probability
		}
	}
	if lead := r.Candidates[0]; lead.Name() != "high-resistance X12:3" || double > 0.3 {
		t.Errorf("%s leads, pairs hold %.2f of the odds", lead.Name(), double)
	}
	if len(r.Unexplained) != 1 || r.Unexplained[0] != 2 {
		t.Errorf("unexplained are %v, want the third reading", r.Unexplained)
	}
}

// Two faults that no single one mimics are found as a pair.
func TestTwoFaultsAreFound(t *testing.T) {
	j := pairJob(t, "shared-reference", "short-to-ground ECM:A5>C1:5 5 + open TPS:1", []string{"ECM:A5", "C1:5", "ECT:1", "ECM:A4", "TPS:1", "TPS:2", "MAP:1"}, func(int, *circuits.Reading) {})
	r := rank.Rank(j)
	if !r.Groups[0].Faults[0].Whole().IsDouble() {
		t.Errorf("%s leads with %.2f", r.Candidates[0].Name(), r.Candidates[0].Probability)
	}
}
