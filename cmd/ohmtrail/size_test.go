package main

import (
	"strings"
	"testing"

	"ohmtrail/circuits"
)

// A size that cannot be done is refused with the reason and with what to do; the largest that can be is not.
func TestTooLargeIsRefused(t *testing.T) {
	job := func(wires, readings int) *circuits.Job {
		return &circuits.Job{Circuit: &circuits.Circuit{Wires: make([]circuits.Wire, wires)}, Readings: make([]circuits.Reading, readings)}
	}
	for _, x := range []struct {
		wires, readings int
		want            string
	}{
		{3013, 33, ""},
		{3013, 34, "large.job.toml: 34 readings on 3013 wires are too many to be weighed at once, they would take some 3 GB of memory; keep the 33 readings that tell most, "},
		{200_000, 1, "large.job.toml: a circuit of 200000 wires is too large to be weighed, 100000 is the most; leave modules out"},
		{200_000, 0, ""},
	} {
		switch err := weighable(job(x.wires, x.readings), "large.job.toml"); {
		case x.want == "" && err != nil:
			t.Errorf("%d wires, %d readings: %v", x.wires, x.readings, err)
		case x.want != "" && (err == nil || !strings.HasPrefix(err.Error(), x.want)):
			t.Errorf("%d wires, %d readings: %v, want %q", x.wires, x.readings, err, x.want)
		}
	}
}
