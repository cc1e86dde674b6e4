package main

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/view"
)

// TestRecordingOfAPage reads the demo's recording as the sheet of a page would: a height signal that drops while the mast
// connector is moved.
func TestRecordingOfAPage(t *testing.T) {
	text, err := files.Read("../../testdata/demo/mast-height-wiggle.job.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	j, problems := text.Job()
	if j == nil {
		t.Fatal(problems)
	}
	csv, err := os.ReadFile("../../testdata/demo/mast-height-wiggle.csv")
	if err != nil {
		t.Fatal(err)
	}
	at, err := circuits.ParseLocation("MCU:A2")
	if err != nil {
		t.Fatal(err)
	}
	scan := circuits.Reading{At: at, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
	got, err := recordingOf(j, scan, "drive.csv", csv)
	if err != nil {
		t.Fatal(err)
	}
	says := strings.Join(got.Says, "; ")
	if r := got.Reading; !r.Pair || r.Value > 0.3 || r.High < 2.5 || r.High > 2.9 || !strings.Contains(says, "column Mast height raw") || !strings.Contains(says, "jumps") {
		t.Errorf("%s; %s", view.Read(got.Reading), says)
	}
	for _, c := range []struct {
		quantity circuits.Quantity
		csv      string
		want     string
	}{
		{circuits.Ohms, string(csv), "no column holds ohms"},
		{circuits.Volts, "Time (s),a (V),b (V)\n0,1,2\n1,1,2\n2,1,2\n", "which column is it?"},
		{circuits.Volts, "Time (s),a (V)\n0,1\n1,1\n2,1\n", "its 3 values of \"a (V)\" keep to no level that could be a reading"},
		{circuits.Volts, "PNG\x00\x01\x02", "x.csv"},
		{circuits.Volts, "", "x.csv"},
	} {
		r := scan
		r.Quantity, r.To = c.quantity, circuits.BNegative
		if got, err := recordingOf(j, r, "x.csv", []byte(c.csv)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.30q in %s: %+v, %v", c.csv, c.quantity, got, err)
		}
	}
	headed := "t (s),MHS:1 (V),b (V)\n"
	for n := range 60 {
		headed += fmt.Sprintf("%d,5.01,2\n", n)
	}
	r := circuits.Reading{Quantity: circuits.Volts, To: circuits.BNegative, State: circuits.State{Key: circuits.KeyOn}}
	if r.At, err = circuits.ParseLocation("MHS:1"); err != nil {
		t.Fatal(err)
	}
	if got, err := recordingOf(j, r, "x.csv", []byte(headed)); err != nil || got.Reading.Pair || got.Reading.Value != 5.01 {
		t.Errorf("a column headed by its point: %+v, %v", got, err)
	}
}
