package circuits_test

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ohmtrail/circuits"
)

// Read off the library's four sensors on one reference. Around the manifold pressure's output: its signal back to ECM:A3, its
// supply and its return back to ECM:A1 and A2, and the throttle's signal, which lies beside its own from ECM to C3 (C1:3 and
// C1:4, C2:3 and C2:4, C3:2 and C3:5 are next to each other among the wires of their bundles). Around the throttle's branch
// of the reference in C3: the branch, the throttle's other leads, and the first wire of the splice's other branches.
func TestAroundAPoint(t *testing.T) {
	c := shared(t)
	for _, test := range []struct {
		at   string
		runs []string
		left circuits.LeftOut
	}{
		{"MAP:2", []string{"ECM:A1 C1:1 C2:1 S1", "S1 C3:1 MAP:1", "ECM:A2 C1:2 C2:2 S2", "S2 C3:3 MAP:3", "ECM:A3 C1:3 C2:3 C3:2 MAP:2", "ECM:A4 C1:4 C2:4 C3:5"},
			circuits.LeftOut{Wires: 25, Devices: []string{"TPS", "ECT", "FRP", "F3"}, GoesOn: []circuits.Point{{Place: "S1"}, {Place: "S2"}}}},
		{"C3:4/intake", []string{"ECM:A1 C1:1 C2:1 S1", "S1 C3:1", "S1 C3:4 C5:1 TPS:1", "S1 C4:1", "ECM:A2 C1:2 C2:2 S2", "S2 C3:6 C5:3 TPS:3", "ECM:A4 C1:4 C2:4 C3:5 C5:2 TPS:2"},
			circuits.LeftOut{Wires: 23, Devices: []string{"MAP", "ECT", "FRP", "F3"}, GoesOn: []circuits.Point{{Place: "S2"}}}},
		{"G1", []string{"ECM:B2 G1"}, circuits.LeftOut{Wires: 41, Devices: []string{"MAP", "TPS", "ECT", "FRP", "F3"}}},
	} {
		part, left := c.Around(point(t, test.at))
		var runs []string
		for _, r := range part.Runs {
			var path []string
			for _, p := range r.Path {
				path = append(path, p.String())
			}
			runs = append(runs, strings.Join(path, " "))
		}
		if !slices.Equal(runs, test.runs) {
			t.Errorf("around %s stand %q, want %q", test.at, runs, test.runs)
		}
		if !reflect.DeepEqual(left, test.left) {
			t.Errorf("around %s is left out %+v, want %+v", test.at, left, test.left)
		}
	}
}

// The throttle's signal has the manifold pressure's on one side and the coolant's on the other, in C1 and C2.
func TestNeighboursOnBothSides(t *testing.T) {
	part, _ := shared(t).Around(point(t, "TPS:2"))
	for _, wire := range []string{"ECM:A3>C1:3", "C1:3>C2:3", "ECM:A5>C1:5", "C1:5>C2:5"} {
		if l, _ := circuits.ParseLocation(wire); part.Wire(l) == nil {
			t.Errorf("%s lies beside the signal and is left out", wire)
		}
	}
}

// A neighbour that ends at a connector is mated with nothing there that the part shows.
func TestContactsOfAPart(t *testing.T) {
	part, _ := shared(t).Around(point(t, "C3:4/intake"))
	if part.Contact(circuits.PointLocation(point(t, "C3:4"))) == nil || part.Contact(circuits.PointLocation(point(t, "C3:1"))) != nil {
		t.Errorf("the part has the contacts %v", part.Contacts)
	}
}

// With all its wires a part is the whole, but for the pins that have none.
func TestOnlyOfAll(t *testing.T) {
	c := harness(t, 2, 313)
	all := c.Only(func(int) bool { return true })
	if !reflect.DeepEqual(all.Wires, c.Wires) || !reflect.DeepEqual(all.Contacts, c.Contacts) || !reflect.DeepEqual(all.Runs, c.Runs) {
		t.Error("the wires, contacts or runs are others")
	}
	if !reflect.DeepEqual(all.Splices, c.Splices) || !reflect.DeepEqual(all.Connectors, c.Connectors) || !reflect.DeepEqual(all.Devices, c.Devices) || !slices.Equal(all.Names(), c.Names()) {
		t.Error("the parts are others")
	}
	if none := c.Only(func(int) bool { return false }); len(none.Wires)+len(none.Contacts)+len(none.Modules)+len(none.Devices)+len(none.Connectors)+len(none.Splices)+len(none.Studs) > 0 {
		t.Errorf("without wires something is left: %+v", none)
	}
}

// Around any point of a harness stands the point itself with its way home, a small part of the whole that adds up with what
// is left out, and whose wires are found by their names.
func TestAroundAnyPointOfAHarness(t *testing.T) {
	c := harness(t, 4, 1014)
	random := rand.New(rand.NewPCG(8, 8))
	for range 40 {
		w := c.Wires[random.IntN(len(c.Wires))]
		part, left := c.Around(w.From)
		if left.Wires+len(part.Wires) != len(c.Wires) || left.Wires < 800 {
			t.Errorf("around %s stand %d wires and %d are left out, of %d", w.From, len(part.Wires), left.Wires, len(c.Wires))
		}
		if w.From != circuits.BPositive && w.From != circuits.BNegative && len(part.Copper().Net(w.From)) < 2 {
			t.Errorf("no wire of the part around %s ends there", w.From)
		}
		if again, _ := c.Around(w.From); !reflect.DeepEqual(again, part) {
			t.Errorf("another part around %s", w.From)
		}
		for i := range part.Wires {
			kept := &part.Wires[i]
			if whole := c.Wire(kept.Location); part.Wire(kept.Location) != kept || whole.Ohms != kept.Ohms || whole.From != kept.From {
				t.Errorf("around %s: the wire %s is another", w.From, kept.Location)
			}
			if !slices.Contains(part.Runs[kept.Run].Wires, i) {
				t.Errorf("around %s: %s is not in its run", w.From, kept.Location)
			}
		}
	}
}
