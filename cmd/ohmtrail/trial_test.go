package main

import (
	"bytes"
	"encoding/json"
	"math"
	"path/filepath"
	"runtime"
	"slices"
	"testing"

	"ohmtrail/cmd/internal/view"
)

const oneSensor = `format = 1
[module.M]
pins.1 = { kind = "input", pull_up_ohms = "2k2" }
pins.2 = { kind = "return" }
[device.T1]
kind = "thermistor"
terminals = { a = "1", b = "2" }
ohms_25 = "2k2"
beta = 3500
[[run]]
path = ["M:1", "T1:1"]
[[run]]
path = ["M:2", "T1:2"]
`

// TestTrialCounts: every order meets the same faults, each fault is drawn anew, the sums are those of the cases, and
// neither the number of processors nor the folder changes a byte.
func TestTrialCounts(t *testing.T) {
	try := func() []byte {
		path := filepath.Join(t.TempDir(), "one.circuit.toml")
		mustWrite(t, path, oneSensor)
		var out, errs bytes.Buffer
		if status := run([]string{"trial", path, "--n", "4", "--misread", "0.1", "--json"}, nil, &out, &errs); status != done || errs.Len() > 0 {
			t.Fatalf("status %d\n%s", status, errs.String())
		}
		return bytes.ReplaceAll(out.Bytes(), []byte(path), []byte("one.circuit.toml"))
	}
	first := try()
	processors := runtime.GOMAXPROCS(1)
	second := try()
	runtime.GOMAXPROCS(processors)
	if !bytes.Equal(first, second) {
		t.Errorf("one processor counts otherwise than %d: %s", processors, difference(first, second))
	}

	var got view.TriedJSON
	if err := json.Unmarshal(first, &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Cases) != 12 || len(got.Orders) != 3 {
		t.Fatalf("%d cases of %d orders", len(got.Cases), len(got.Orders))
	}
	var faults []string
	for i, c := range got.Cases {
		if i%3 == 0 {
			faults = append(faults, c.Fault)
		}
		if c.Fault != faults[len(faults)-1] || c.Order != got.Orders[i%3].Order {
			t.Errorf("case %d is %q in the order %s", i, c.Fault, c.Order)
		}
	}
	slices.Sort(faults)
	if len(slices.Compact(faults)) < 3 {
		t.Errorf("the four faults are %q", faults)
	}
	for k, o := range got.Orders {
		right, place, misread, minutes := 0, 0, 0, 0.0
		for i := k; i < len(got.Cases); i += 3 {
			c := got.Cases[i]
			if c.TopRight {
				right++
			}
			if c.PlaceRight {
				place++
			}
			misread += c.Misread
			minutes += c.Minutes / 4
		}
		if o.Cases != 4 || o.Group.Count != right || o.Place.Count != place || o.Misread != misread || math.Abs(float64(o.Minutes)-minutes) > 1e-9 {
			t.Errorf("%s: %+v, and the cases give %d, %d, %d, %g", o.Order, o, right, place, misread, minutes)
		}
		if ratio := float64(got.Orders[0].Minutes / o.Minutes); k > 0 && math.Abs(float64(got.MinuteRatio[string(o.Order)])-ratio) > 1e-9 {
			t.Errorf("%s: ratio %v, and the means give %g", o.Order, got.MinuteRatio[string(o.Order)], ratio)
		}
	}
}
