package evidence

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// The place moved gains by 12 when the value jumps and loses to 0.42 when it stays; what a short wire joins to it gains by
// 4; a long wire gains by the part of it that the hand reaches.
func TestReachOfAHand(t *testing.T) {
	c, err := library.Circuit("coolant-temperature")
	if err != nil {
		t.Fatal(err)
	}
	at := func(name string) circuits.Location {
		l, err := c.Somewhere(name)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	fault := func(name string) circuits.Single {
		f, err := circuits.ParseFault(name)
		if err == nil {
			f, err = c.ResolveFault(f)
		}
		if err != nil {
			t.Fatal(err)
		}
		return f.First
	}
	long := c.Wire(at("C101:7>ECT:1")).LengthM
	share := min(1, reachMetres/long)
	for _, k := range []struct {
		moved, fault string
		want         float64
	}{
		{"C101", "open C101:7", JumpsMoved}, {"C101:7", "open C101:7", JumpsMoved}, {"C101:7", "open C101:8", JumpsElsewhere},
		{"C101", "open ECT:1", JumpsElsewhere}, {"ECT", "device ECT: open inside", JumpsMoved},
		{"C101", "open C101:7>ECT:1", share*JumpsMoved + (1-share)*JumpsElsewhere}, {"C101:7>ECT:1", "open C101:7>ECT:1", JumpsMoved},
		{"C101:7>ECT:1", "open ECT:1", 0.20}, {"ECT", "short-between C101:7>ECT:1 C101:8>ECT:2", share*JumpsMoved + (1-share)*JumpsElsewhere},
	} {
		if got := JumpChance(c, at(k.moved), fault(k.fault)); math.Abs(got-k.want) > 1e-9 {
			t.Errorf("moving %s makes %s show with %.3f, want %.3f (wire of %g m)", k.moved, k.fault, got, k.want, long)
		}
	}
}
