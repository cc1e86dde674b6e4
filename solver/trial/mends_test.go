package trial

import (
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// Repairing the wrong place is no repair: a wire that ends at C1:1 is not the terminal C1:1, though its name begins with it.
func TestTheWrongPlaceIsNoRepair(t *testing.T) {
	fault := func(name string) circuits.Fault {
		f, err := circuits.ParseFault(name)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	truth := fault("open C1:1 + open ECM:A6")
	for _, c := range []struct{ leads, left string }{
		{"open C1:1>C2:1 + device MAP: open inside", "healthy"}, {"open C1:1>C2:1", "healthy"}, {"open C1:12", "healthy"}, {"short-between C1:1 C1:2", "healthy"},
		{"healthy", "healthy"}, {"unlisted", "healthy"},
		{"high-resistance C1:1", "open ECM:A6"}, {"device MAP: open inside + open ECM:A6", "open C1:1"}, {"open ECM:A6", "open C1:1"},
	} {
		group := rank.Group{Faults: []rank.Candidate{{Hypothesis: hypothesis.Hypothesis{Fault: fault("open C9:9").First}}}}
		if got := leftAfter(hypothesis.PlaceOf(fault(c.leads)), group, truth); (circuits.Fault{First: got}) != fault(c.left) {
			t.Errorf("with the place of %s repaired %s is left, want %s", c.leads, circuits.Fault{First: got}, c.left)
		}
	}
}
