package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// logged is what log says of a recording of ten values a second over 300 s.
func logged(t *testing.T, value func(t float64) float64, flags ...string) string {
	t.Helper()
	var b strings.Builder
	b.WriteString("t (s),V\n")
	for i := range 3000 {
		at := float64(i) / 10
		fmt.Fprintf(&b, "%.1f,%.4f\n", at, value(at)+0.01*math.Sin(float64(i*i%97))) // never twice alike, always the same
	}
	file := filepath.Join(t.TempDir(), "drive.csv")
	if err := os.WriteFile(file, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if status := run(append([]string{"log", "../../testdata/demo/mast-height-wiggle.job.toml", file, "--scan", "MCU:A2"}, flags...), strings.NewReader(""), &out, &out); status != 0 {
		t.Fatalf("status %d:\n%s", status, out.String())
	}
	return strings.Join(strings.Fields(out.String()), " ")
}

// What the recording does not decide is not said as if it did.
func TestLogSaysWhatItDoesNotKnow(t *testing.T) {
	wander := func(t float64) float64 { return 2.7 + 0.8*math.Sin(t/7) }
	lever := func(t float64) float64 { return []float64{1, 2, 3.5, 2.7}[int(t/25)%4] }
	drop := func(t float64) float64 {
		if t > 50 && t < 53 {
			return 0
		}
		return 2.7
	}
	for _, k := range []struct {
		value     func(float64) float64
		flags     []string
		says, not string
	}{
		{wander, []string{"--mark", "45-56=C7"}, "Whether a movement had an effect is not known.", "to 1 against"},
		{lever, []string{"--mark", "45-56=C7"}, "a machine that moved during the recording shows the same", "lies outside"},
		{drop, []string{"--mark", "400-500=C7"}, "No movement lies within the recording (0.0 to 299.9 s)", "give marks"},
		{drop, []string{"--mark", "45-56=C7", "--mark", "400-500=MHS"}, "1 movement lies outside the recording (0.0 to 299.9 s) and counts for nothing, the first of MHS.", "machine that moved"},
	} {
		text := strings.ReplaceAll(logged(t, k.value, k.flags...), nbsp, " ")
		if !strings.Contains(text, k.says) || strings.Contains(text, k.not) {
			t.Errorf("%v: wants %q and not %q:\n%s", k.flags, k.says, k.not, text)
		}
	}
}

const nbsp = "\u00a0"
