package plan

import (
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/rank"
)

// Of a pyrotechnic circuit nothing is advised.
func TestNoAdviceOnPyrotechnics(t *testing.T) {
	c, err := library.Circuit("squib")
	if err != nil {
		t.Fatal(err)
	}
	r := rank.Rank(&circuits.Job{File: "squib", Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}})
	if advice := Advise(&r); len(advice) > 0 {
		t.Errorf("advised %+v", advice)
	}
	for _, s := range Next(&r).Suggestions {
		if s.Reading.Quantity != circuits.ScanVolts || len(s.Reading.State.Unplugged)+len(s.Reading.State.Jumpers)+len(s.Reading.State.Loads) > 0 {
			t.Errorf("suggested %s at %s", s.Reading.Quantity, s.Reading.At)
		}
	}
}
