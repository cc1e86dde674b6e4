// Package given holds what the solver's tests are given: jobs out of a text, and a comparison of numbers.
package given

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

// jobOf reads a job's text on a circuit of the library.
func Job(t testing.TB, text string) *circuits.Job {
	t.Helper()
	j, problems := read.Job("test.job.toml", []byte("format = 1\n"+text), func(name string) (string, []byte, error) {
		text, err := library.Text(name)
		return name, text, err
	})
	if j == nil {
		t.Fatalf("%v", problems)
	}
	return j
}

func About(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// CoolantAway is a job of the coolant sensor whose symptom comes and goes.
const CoolantAway = "circuit = \"library:coolant-temperature\"\nintermittent = true\n[assume]\nECT = 20\n"

// Scans are scan values of the coolant sensor's pin; sound it is 2.5 kΩ on 1 kΩ, 3.57 V at 20 °C, open 4.995 V.
func Scans(lines ...string) string {
	text := ""
	for _, l := range lines {
		text += "[[reading]]\nat = \"ECU:A12\"\n" + l + "\n"
	}
	return text
}
