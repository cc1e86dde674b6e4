package main

import (
	"fmt"

	"ohmtrail/circuits"
)

// What is kept of a job while it is weighed, or while every fault is gone through, grows with its wires times its readings: each
// reading has the whole circuit solved in a handful of settings of its own. Measured with ten readings (made harnesses, peak of the
// process): `expect --fault all` 147 MB at 313 wires, 338 MB at 1 014; `rank` 176 MB at 313 and over 300 MB at 1 014. So it is
// some 30 kB for a wire and a reading, and the limit is some three gigabytes.
const (
	mostWeighed  = 100_000 // wires times readings
	bytesWeighed = 30_000  // of each
)

// weighable refuses a job that is too large to be weighed, before anything is begun.
func weighable(j *circuits.Job, name string) error {
	wires, readings := len(j.Circuit.Wires), len(j.Readings)
	if wires*readings <= mostWeighed {
		return nil
	}
	gigabytes := float64(wires*readings*bytesWeighed) / 1e9
	if most := mostWeighed / wires; most > 0 {
		return fmt.Errorf("%s: %d readings on %d wires are too many to be weighed at once, they would take some %.0f GB of memory; keep the %d readings that tell most, "+
			"or leave modules out of the circuit that have nothing to do with the complaint", name, readings, wires, gigabytes, most)
	}
	return fmt.Errorf("%s: a circuit of %d wires is too large to be weighed, %d is the most; leave modules out of it that have nothing to do with the complaint", name, wires, mostWeighed)
}
