package recordings

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/cmd/internal/recorded"
	"ohmtrail/cmd/internal/view"
)

// TestRecordingOfAPage reads the demo's recording as the form of a page would: a height signal that drops while the mast
// connector is moved.
func TestRecordingOfAPage(t *testing.T) {
	text, err := files.Read("../../../testdata/demo/mast-height-wiggle.job.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	j, problems := text.Job()
	if j == nil {
		t.Fatal(problems)
	}
	csv, err := os.ReadFile("../../../testdata/demo/mast-height-wiggle.csv")
	if err != nil {
		t.Fatal(err)
	}
	at, err := circuits.ParseLocation("MCU:A2")
	if err != nil {
		t.Fatal(err)
	}
	scan := circuits.Reading{At: at, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
	got, all, err := One(j, scan, "drive.csv", csv)
	if err != nil {
		t.Fatal(err)
	}
	says := strings.Join(all, "; ")
	if r := got; !r.Pair || r.Value > 0.3 || r.High < 2.5 || r.High > 2.9 || !strings.Contains(says, "column Mast height raw") || !strings.Contains(says, "jumps") {
		t.Errorf("%s; %s", view.Read(got), says)
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
		if got, _, err := One(j, r, "x.csv", []byte(c.csv)); err == nil || !strings.Contains(err.Error(), c.want) {
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
	if got, _, err := One(j, r, "x.csv", []byte(headed)); err != nil || got.Pair || got.Value != 5.01 {
		t.Errorf("a column headed by its point: %+v, %v", got, err)
	}
}

// TestStepOfAScanTool: a scan tool shows a pin in the steps of its module's converter, however finely the table is written,
// whoever hands the recording in.
func TestStepOfAScanTool(t *testing.T) {
	text, err := files.Read("../../../testdata/demo/mast-height-wiggle.job.toml", nil)
	if err != nil {
		t.Fatal(err)
	}
	j, problems := text.Job()
	if j == nil {
		t.Fatal(problems)
	}
	table, err := recorded.Open("x.csv", strings.NewReader("Time (s),a (V)\n0,1.00001\n1,1.00002\n2,1.00003\n"))
	if err != nil {
		t.Fatal(err)
	}
	at := circuits.Point{Place: "MCU", Cavity: "A2"}
	r := circuits.Reading{At: circuits.PointLocation(at), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
	want := j.Circuit.Pin(at).StepVolts()
	if got := NewChannel(j, table, table.Columns[1], r, 0).Step; got != want || want < 1e-3 {
		t.Errorf("the step is %g V, the converter's is %g V", got, want)
	}
	r.Quantity = circuits.Volts
	if got := NewChannel(j, table, table.Columns[1], r, 0).Step; got >= want {
		t.Errorf("a meter's step is %g V", got)
	}
}
