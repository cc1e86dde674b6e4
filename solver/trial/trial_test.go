package trial

import (
	"reflect"
	"testing"

	"ohmtrail/circuits/library"
)

// The plan's reading is worth its minutes: over a few hidden faults it takes clearly less work than taking the most telling
// reading whatever it costs, and it names the fault.
func TestPlannedOrderSavesWork(t *testing.T) {
	planned, halved, right, n := 0.0, 0.0, 0, 0
	for _, name := range []string{"level-sender", "oil-pressure-switch", "solenoid-low-side", "intake-air-temperature"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 3 {
			a := Run(c, name, Setup{Seed: 3, Misread: 0.02}, i, BestPerMinute)
			b := Run(c, name, Setup{Seed: 3, Misread: 0.02}, i, HalfSplit)
			if a.Fault != b.Fault {
				t.Fatalf("%s %d: the orders meet %s and %s", name, i, a.Fault, b.Fault)
			}
			t.Logf("%s %d: %s: planned %.1f min and %d readings, half-split %.1f min and %d", name, i, a.Fault, a.Minutes, a.Readings, b.Minutes, b.Readings)
			planned, halved, n = planned+a.Minutes, halved+b.Minutes, n+1
			if a.TopRight {
				right++
			}
			if !a.Done {
				t.Errorf("%s %d: the plan never said that it was done", name, i)
			}
		}
	}
	t.Logf("planned %.1f minutes, half-split %.1f (%.2f); %d of %d named", planned, halved, planned/halved, right, n)
	if planned > 0.85*halved {
		t.Errorf("the planned order takes %.1f minutes, half-split %.1f: want no more than 0.85 of it", planned, halved)
	}
	if right < n-1 {
		t.Errorf("the planned order names %d of %d faults, want all but one at the least", right, n)
	}
}

// Same plan, same machine, same work: what the job knows must not hang on the order of a map either.
func TestTrialsRepeat(t *testing.T) {
	c, err := library.Circuit("shared-reference") // four sensors with a stimulus each
	if err != nil {
		t.Fatal(err)
	}
	for n := range 3 {
		first, job := trialMachine(c, "shared-reference", Setup{Seed: 1}, n)
		for range 10 {
			v, j := trialMachine(c, "shared-reference", Setup{Seed: 1}, n)
			if v.Fault != first.Fault || !reflect.DeepEqual(v.Stimuli, first.Stimuli) || !reflect.DeepEqual(j.Assume, job.Assume) || !reflect.DeepEqual(j.Codes, job.Codes) {
				t.Fatalf("machine %d is %s with %v, %v known, then %s with %v, %v known", n, first.Fault, first.Stimuli, job.Assume, v.Fault, v.Stimuli, j.Assume)
			}
		}
	}
	small, err := library.Circuit("oil-pressure-switch")
	if err != nil {
		t.Fatal(err)
	}
	plan := Setup{Seed: 1, Misread: 0.05}
	if a, b := Run(small, "oil", plan, 0, AtRandom), Run(small, "oil", plan, 0, AtRandom); !reflect.DeepEqual(a, b) {
		t.Errorf("%+v, then %+v", a, b)
	}
}
