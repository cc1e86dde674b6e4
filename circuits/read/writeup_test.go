package read

import (
	"reflect"
	"testing"

	"ohmtrail/circuits"
)

const plainJob = `format = 1
circuit = "mast.circuit.toml"
complaint = "drops out"
codes = ["DTC-b"]

[[reading]]
at = "MHS:1"
volts = 5.0

[[inspection]]
at = "C7:3"
seen = "wet"
`

const reportKeys = `
[writeup]
author = "A. Example"
workshop = "Yard 3"
customer = "Quay Ltd"
date = 2026-11-25
reproduced = "mast raised twice"
minutes = { repair = 15, diagnosis = 20.5 }

[repair]
fault = "high-resistance C7:3 300"
done = "terminal replaced"
why_failed = "spread"
neighbours = true
retested = false
codes_after = []

[[verification]]
at = "MHS:1"
volts = 4.99
unplugged = ["MHS"]

[[reading]]
at = "MHS:2"
volts = 2.5
`

// jobOf parses a job on the contract's circuit.
func jobOf(t *testing.T, text string) *circuits.Job {
	t.Helper()
	j, problems := Job("x.job.toml", []byte(text), openMast(t))
	if j == nil || len(problems) > 0 {
		t.Fatal(problems)
	}
	return j
}

func openMast(t *testing.T) Opener {
	return func(name string) (string, []byte, error) { return name, mastText(t), nil }
}

func TestReportKeys(t *testing.T) {
	j := jobOf(t, plainJob+reportKeys)
	want := circuits.WriteUp{Author: "A. Example", Workshop: "Yard 3", Customer: "Quay Ltd", Date: "2026-11-25",
		Reproduced: circuits.Answer{Given: true, Words: "mast raised twice"}, Minutes: []circuits.Work{{Kind: "repair", Minutes: 15}, {Kind: "diagnosis", Minutes: 20.5}}}
	if !reflect.DeepEqual(j.WriteUp, want) {
		t.Errorf("the write-up is %+v, not %+v", j.WriteUp, want)
	}
	r := j.Repair
	if r.Fault.String() != "high-resistance C7:3 300" || r.Place().String() != "C7:3" || r.Done != "terminal replaced" || r.WhyFailed != "spread" ||
		r.Neighbours != (circuits.Answer{Given: true, Yes: true}) || r.Retested != (circuits.Answer{Given: true}) || !r.CodesRead || len(r.CodesAfter) != 0 || r.Line != 22 {
		t.Errorf("the repair is %+v", r)
	}
	if len(j.Verification) != 1 || j.Verification[0].Value != 4.99 || len(j.Readings) != 2 || j.Readings[1].Value != 2.5 {
		t.Errorf("verification %v, readings %v", j.Verification, j.Readings)
	}
	other := jobOf(t, plainJob+"\n[repair]\nat = \"C7\"\n")
	if other.Repair.Place().String() != "C7" || other.Repair.CodesRead {
		t.Errorf("the repair is %+v", other.Repair)
	}
}

// TestOldJobsAreUnchanged holds a job without the report's keys against the same job with them: all that was there
// before is the same, and nothing of the report is there.
func TestOldJobsAreUnchanged(t *testing.T) {
	old := jobOf(t, plainJob)
	if !reflect.DeepEqual(old.WriteUp, circuits.WriteUp{}) || !reflect.DeepEqual(old.Repair, circuits.Repair{}) || old.Repair.Recorded() || old.Verification != nil {
		t.Errorf("a job without them has %+v, %+v, %v", old.WriteUp, old.Repair, old.Verification)
	}
	with := jobOf(t, plainJob+reportKeys)
	with.WriteUp, with.Repair, with.Verification = circuits.WriteUp{}, circuits.Repair{}, nil
	with.Readings = with.Readings[:1]
	old.Circuit, with.Circuit = nil, nil
	if !reflect.DeepEqual(old, with) {
		t.Errorf("without the report's keys\n%+v\nwith them\n%+v", old, with)
	}
}
