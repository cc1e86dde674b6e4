package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/files"
	"ohmtrail/solver/network"
)

const (
	demoJob = "../../testdata/demo/mast-height-wiggle.job.toml"
	demoLog = "../../testdata/demo/mast-height-wiggle.csv"
)

// demoRecording invents the demo's recording: the scan tool's value ten times a second while places are moved by hand, with
// way 1 of C7 loose. While C7 is moved its contact takes other ohms every now and then.
func demoRecording(t *testing.T) []byte {
	t.Helper()
	text, err := files.Read(demoJob, nil)
	if err != nil {
		t.Fatal(err)
	}
	j, problems := text.Job()
	if j == nil {
		t.Fatal(problems)
	}
	at, err := circuits.ParseLocation("C7:1")
	if err != nil {
		t.Fatal(err)
	}
	pin, err := circuits.ParsePoint("MCU:A2")
	if err != nil {
		t.Fatal(err)
	}
	r := circuits.Reading{At: circuits.PointLocation(pin), To: circuits.BNegative, Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
	random := rand.New(rand.NewPCG(17, 4))
	between := func(low, high float64) float64 { return low + (high-low)*random.Float64() }

	type contact struct{ from, to, ohms float64 }
	type movement struct {
		from, to float64
		place    string
	}
	var moved []movement
	var loose []contact
	now := between(6, 9)
	for _, place := range []string{"C7", "MHS", "C7", "MCU", "C7", "MHS", "C7", "MCU", "C7"} {
		end := now + between(4.5, 6.5)
		moved = append(moved, movement{now, end, place})
		for s := now + between(0.4, 1.2); place == "C7" && s < end-0.6; {
			hold := between(0.4, 1.5)
			loose = append(loose, contact{s, min(s+hold, end-0.1), []float64{between(60, 160), between(700, 9000)}[random.IntN(2)]})
			s += hold + between(0.3, 1.4)
		}
		now = end + between(8, 13)
	}
	var b bytes.Buffer
	b.WriteString("Time (s),Mast height raw (V),Moved\n")
	for i := 0; float64(i)/10 < now; i++ {
		s, ohms, place := float64(i)/10, 0.005, ""
		for _, c := range loose {
			if s >= c.from && s < c.to {
				ohms = c.ohms
			}
		}
		for _, m := range moved {
			if s >= m.from && s < m.to {
				place = m.place
			}
		}
		set := map[string]float64{"MHS": 0.55 + 0.001*random.NormFloat64()} // the mast sways a little
		f := circuits.Single{Kind: circuits.HighResistance, At: at}.WithOhms(ohms)
		out := network.Read(j.Circuit, j.Meter, r, set, circuits.Fault{First: f})
		fmt.Fprintf(&b, "%.1f,%.3f,%s\n", s, out.Value, place)
	}
	return b.Bytes()
}

// TestDemoRecording holds the demo's recording against the generator that made it; -update writes it anew.
func TestDemoRecording(t *testing.T) {
	want := demoRecording(t)
	got, err := os.ReadFile(demoLog)
	if err == nil && bytes.Equal(got, want) {
		return
	}
	if !*update {
		t.Fatalf("%s is not what its generator makes (%v)", demoLog, err)
	}
	if err := os.WriteFile(demoLog, want, 0o644); err != nil {
		t.Fatal(err)
	}
}
