package circuits_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/made"
	"ohmtrail/circuits/read"
)

func point(t testing.TB, s string) circuits.Point {
	t.Helper()
	p, err := circuits.ParsePoint(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func demo(t testing.TB) *circuits.Circuit {
	t.Helper()
	text, err := os.ReadFile("../testdata/demo/mast-height.circuit.toml")
	if err != nil {
		t.Fatal(err)
	}
	c, problems := read.Circuit("demo", text)
	if c == nil {
		t.Fatal(problems)
	}
	return c
}

func shared(t testing.TB) *circuits.Circuit {
	t.Helper()
	c, err := library.Circuit("shared-reference")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func harness(t testing.TB, seed uint64, wires int) *circuits.Circuit {
	t.Helper()
	c, problems := read.Circuit("made", []byte(made.Harness(seed, wires)))
	if c == nil {
		t.Fatal(problems)
	}
	return c
}

func places(joints []circuits.Joint) string {
	out := ""
	for i, j := range joints {
		if i > 0 {
			out += " "
		}
		out += j.At.String()
	}
	return out
}

// The throttle's reference of the library's four sensors, read off its runs: ECM:A1 > C1:1 > C2:1 > S1 > C3:4 > C5:1 >
// TPS:1, of 1.2, 0.9, 0.4, 0.5, 0.4 and 0.2 m.
func TestWayFromModuleToPart(t *testing.T) {
	k := shared(t).Copper()
	from, to := point(t, "ECM:A1"), point(t, "TPS:1")
	const want = "ECM:A1>C1:1 C1:1 C1:1>C2:1 C2:1 C2:1>S1 S1>C3:4 C3:4 C3:4>C5:1 C5:1 C5:1>TPS:1"
	var way []circuits.Joint
	for _, s := range k.Way(from, to) {
		way = append(way, s.Joint)
	}
	if got := places(way); got != want {
		t.Errorf("the way is %s, want %s", got, want)
	}
	if last := k.Way(from, to)[9].To; last != to {
		t.Errorf("the way ends at %s", last)
	}
	if got := places(k.Cuts(from, to)); got != want {
		t.Errorf("a lone way is cut at each of its places, not at %s", got)
	}
	if got := places(k.Between(from, to)); len(k.Between(from, to)) != 10 {
		t.Errorf("between them lie %s", got)
	}
	if got, ok := k.LengthM(from, to); !ok || math.Abs(got-3.6) > 1e-9 {
		t.Errorf("the way is %g m long, want 3.6", got)
	}
	if _, ok := k.LengthM(from, point(t, "TPS:2")); ok || k.Way(from, point(t, "TPS:2")) != nil {
		t.Error("there is a way from the reference to the signal")
	}
}

// Beyond S1 hang the three branches of the reference, the throttle's last for it has one connector more; beyond C3:4 its alone.
func TestWhatHangsBeyond(t *testing.T) {
	k := shared(t).Copper()
	for _, c := range []struct {
		at    string
		parts []string
	}{{"S1", []string{"MAP:1", "FRP:3", "TPS:1"}}, {"C3:4/intake", []string{"TPS:1"}}, {"TPS:1", nil}} {
		var parts []string
		for _, p := range k.Beyond(point(t, "ECM:A1"), point(t, c.at)) {
			switch p.Place {
			case "MAP", "TPS", "FRP", "ECT", "ECM":
				parts = append(parts, p.String())
			}
		}
		if !slices.Equal(parts, c.parts) {
			t.Errorf("beyond %s hang %v, want %v", c.at, parts, c.parts)
		}
	}
}

// Two grounds on one splice share a way: neither ground wire cuts the module off, the trunk does. Read off the library's
// module with its feeds and grounds: GCU:A3 > SG < GCU:A4, SG > P1:3 > G1.
func TestWaysRound(t *testing.T) {
	c, err := library.Circuit("module-feeds-and-grounds")
	if err != nil {
		t.Fatal(err)
	}
	// inside the module the two pins are one metal
	k := circuits.Join(append(c.Harness(), circuits.Joint{A: point(t, "GCU:A3"), B: point(t, "GCU:A4")}))
	if got, want := places(k.Cuts(point(t, "GCU:A3"), point(t, "G1"))), "P1:3>SG P1:3 G1>P1:3"; got != want {
		t.Errorf("cut off by %s, want %s", got, want)
	}
	if got := len(k.Between(point(t, "GCU:A3"), point(t, "G1"))); got != 6 {
		t.Errorf("between the pin and the stud lie %d places, want both wires, the joint inside and three of the trunk", got)
	}
}

func TestCopperInAState(t *testing.T) {
	c := demo(t)
	inside := func(s string) circuits.Point { return point(t, s+"/device") }
	if k := circuits.Join(c.Joints(nil)); !k.Joined(inside("MCU:A1"), inside("MHS:1")) {
		t.Error("the reference does not reach the sensor")
	}
	if k := circuits.Join(c.Joints([]string{"C7"})); k.Joined(inside("MCU:A1"), inside("MHS:1")) {
		t.Error("the reference reaches the sensor with C7 apart")
	}
}

func TestBundles(t *testing.T) {
	c := demo(t)
	for _, b := range c.Bundles() {
		for _, i := range b {
			for j := range c.Wires {
				a, w := c.Wires[i], c.Wires[j]
				same := a.From.Place == w.From.Place && a.To.Place == w.To.Place || a.From.Place == w.To.Place && a.To.Place == w.From.Place
				if same != slices.Contains(b, j) {
					t.Errorf("%s beside %s: %v", a.Location, w.Location, same)
				}
			}
		}
	}
}

// reach walks from a point over all joints but those left out, in no clever way.
func reach(joints []circuits.Joint, from circuits.Point, without func(int) bool, shut func(circuits.Point) bool) map[circuits.Point]bool {
	met := map[circuits.Point]bool{from: true}
	for grown := true; grown; {
		grown = false
		for i, j := range joints {
			if without != nil && without(i) {
				continue
			}
			for _, e := range [2][2]circuits.Point{{j.A, j.B}, {j.B, j.A}} {
				if met[e[0]] && !met[e[1]] && (shut == nil || !shut(e[1])) {
					met[e[1]], grown = true, true
				}
			}
		}
	}
	return met
}

// simpleWays lists the joints that lie on any way between two points which meets no point twice, by trying them all.
func simpleWays(joints []circuits.Joint, at, to circuits.Point, met map[circuits.Point]bool, used []int, on map[int]bool) {
	if at == to {
		for _, i := range used {
			on[i] = true
		}
		return
	}
	met[at] = true
	for i, j := range joints {
		for _, e := range [2][2]circuits.Point{{j.A, j.B}, {j.B, j.A}} {
			if e[0] == at && !met[e[1]] {
				simpleWays(joints, e[1], to, met, append(slices.Clone(used), i), on)
			}
		}
	}
	delete(met, at)
}

// What the graph answers is what trying everything gives, on tangles of 14 joints among 9 points: two joints between the
// same points, rings, loose ends and pieces without a way among them.
func TestCopperAgainstTryingAll(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 5))
	cut, round := 0, 0
	for range 400 {
		var joints []circuits.Joint
		for i := range 14 - random.IntN(8) {
			a, b := random.IntN(9), random.IntN(9)
			if a == b {
				continue
			}
			joints = append(joints, circuits.Joint{A: circuits.Point{Place: fmt.Sprint("P", a)}, B: circuits.Point{Place: fmt.Sprint("P", b)},
				At: circuits.PointLocation(circuits.Point{Place: fmt.Sprint("J", i)}), LengthM: 0.1 + random.Float64()})
		}
		k := circuits.Join(joints)
		a, b := circuits.Point{Place: "P0"}, circuits.Point{Place: "P1"}
		from := reach(joints, a, nil, nil)
		if k.Joined(a, b) != from[b] {
			t.Fatalf("joined %v: %v", from[b], joints)
		}
		if !from[b] {
			continue
		}
		on := map[int]bool{}
		simpleWays(joints, a, b, map[circuits.Point]bool{}, nil, on)
		var between, cuts []circuits.Joint
		for i, j := range joints {
			if on[i] {
				between = append(between, j)
			}
			if !reach(joints, a, func(n int) bool { return n == i }, nil)[b] {
				cuts = append(cuts, j)
			}
		}
		if got := k.Between(a, b); !slices.Equal(got, between) {
			t.Fatalf("between: %s, want %s, in %v", places(got), places(between), joints)
		}
		got := k.Cuts(a, b)
		slices.SortFunc(got, func(x, y circuits.Joint) int { return slices.Index(joints, x) - slices.Index(joints, y) })
		if !slices.Equal(got, cuts) {
			t.Fatalf("cuts: %s, want %s, in %v", places(got), places(cuts), joints)
		}
		for _, p := range k.Net(a) {
			if p == a {
				continue
			}
			still := reach(joints, a, nil, func(q circuits.Point) bool { return q == p })
			var want []circuits.Point
			for _, q := range k.Net(a) {
				if q != p && !still[q] {
					want = append(want, q)
				}
			}
			if got := k.Beyond(a, p); !slices.Equal(got, want) {
				t.Fatalf("beyond %s: %v, want %v, in %v", p, got, want, joints)
			}
		}
		cut, round = cut+len(cuts), round+len(between)-len(cuts)
	}
	if cut < 50 || round < 50 {
		t.Errorf("%d cuts and %d ways round: the tangles test little", cut, round)
	}
}

// On harnesses the way is a way, as short as trying all steps finds, and each of its lone places parts its ends.
func TestWaysOfHarnesses(t *testing.T) {
	for seed := range uint64(3) {
		c := harness(t, seed, 163)
		joints := c.Harness()
		k := c.Copper()
		for _, net := range k.Nets() {
			from := net[0]
			far := reach(joints, from, nil, nil)
			if len(far) != len(net) {
				t.Fatalf("%d points are joined to %s, the net has %d", len(far), from, len(net))
			}
			to := net[len(net)-1]
			at := from
			length := 0.0
			for _, s := range k.Way(from, to) {
				if s.A != at && s.B != at || s.A != s.To && s.B != s.To {
					t.Fatalf("%s to %s: the step %s does not begin at %s", from, to, s.At, at)
				}
				at, length = s.To, length+s.LengthM
			}
			if at != to {
				t.Fatalf("the way from %s ends at %s, not %s", from, at, to)
			}
			if metres, ok := k.LengthM(from, to); !ok || metres > length+1e-9 {
				t.Errorf("%s to %s: %g m by the shortest way, %g by the one with fewest joints", from, to, metres, length)
			}
		}
	}
}

func BenchmarkCopper(b *testing.B) {
	for _, wires := range []int{313, 1014, 3013, 10000} {
		c := harness(b, 1, wires)
		b.Run(fmt.Sprint(wires), func(b *testing.B) {
			for b.Loop() {
				k := c.Copper()
				net := k.Nets()[0]
				k.Cuts(net[0], net[len(net)-1])
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(wires), "ns/wire")
		})
	}
}
