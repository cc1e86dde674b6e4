package network

import (
	"fmt"
	"testing"

	"ohmtrail/circuits"
)

// Circuits of textbooks, with the values that the books print. LIEC is Tony Kuphaldt's Lessons in Electric Circuits,
// volume DC (repository FauxFaux/lessons-in-electric-circuits), by chapter file; its tables are pictures of the HTML
// edition, by number. A tolerance is half a unit of the last digit printed.

// E1, LIEC s_and_p.sml: 9 V over 3 kΩ, 10 kΩ and 5 kΩ.
func TestSeries(t *testing.T) {
	p := textbook{volts: 9, resistors: []resistorAt{{"R1", "+", "n2", 3e3}, {"R2", "n2", "n3", 10e3}, {"R3", "n3", "0", 5e3}}}.on(t)
	within(t, "R1 in V", p.drop("R1"), 1.5, 0.05)
	within(t, "R2 in V", p.drop("R2"), 5.0, 0.05)
	within(t, "R3 in V", p.drop("R3"), 2.5, 0.05)
	within(t, "current in mA", p.milliamps("R2"), 0.500, 0.0005)
	within(t, "node 2", p.node("n2"), 7.5, 0.05)
	within(t, "node 3", p.node("n3"), 2.5, 0.05)
	// All of them are exact: 9 V/18 kΩ = 0.5 mA.
	within(t, "node 2 exactly", p.node("n2"), 7.5, 1e-9)
	within(t, "node 3 exactly", p.node("n3"), 2.5, 1e-9)
}

// E2, LIEC divider.sml, tables 00106 and 10099: 45 V over 5 kΩ, 10 kΩ and 7.5 kΩ. (The book goes on with 180 V; a circuit
// file above 60 V is refused.)
func TestDivider(t *testing.T) {
	p := textbook{volts: 45, resistors: []resistorAt{{"R1", "+", "n2", 5e3}, {"R2", "n2", "n3", 10e3}, {"R3", "n3", "0", 7.5e3}}}.on(t)
	within(t, "R1 in V", p.drop("R1"), 10, 1e-7)
	within(t, "R2 in V", p.drop("R2"), 20, 1e-7)
	within(t, "R3 in V", p.drop("R3"), 15, 1e-7)
	within(t, "current in mA", p.milliamps("R1"), 2, 1e-7)
}

// E3, LIEC s_and_p.sml, "Component failure analysis", tables 10089 to 10091: 100 Ω, 300 Ω and 50 Ω on 9 V, healthy, with
// R2 shorted, with R2 open.
func TestSeriesWithFailedPart(t *testing.T) {
	p := textbook{volts: 9, resistors: []resistorAt{{"R1", "+", "n2", 100}, {"R2", "n2", "n3", 300}, {"R3", "n3", "0", 50}}}.on(t)
	for _, c := range []struct {
		name       string
		page       page
		v1, v2, v3 float64
		milliamps  float64
	}{
		{"healthy", p, 2, 6, 1, 20},
		{"R2 shorted", p.shorted("R2"), 6, 0, 3, 60},
		{"R2 open", p.opened("R2"), 0, 9, 0, 0},
	} {
		within(t, c.name+": R1 in V", c.page.drop("R1"), c.v1, 1e-6)
		within(t, c.name+": R2 in V", c.page.drop("R2"), c.v2, 1e-6)
		within(t, c.name+": R3 in V", c.page.drop("R3"), c.v3, 1e-6)
		within(t, c.name+": current in mA", c.page.milliamps("R1"), c.milliamps, 1e-4)
	}
	// The contract's own short inside a part is 0.5 Ω across it: 9 V/(150 + 0.5‖299.99 + 0.01) Ω. By hand:
	// 0.5‖299.99 = 0.499168 Ω, so 9/150.509168 = 59.79702 mA.
	inside := p
	inside.fault = "device R2: shorted inside"
	within(t, "shorted inside: current in mA", inside.milliamps("R1"), 59.79702, 5e-6)
	inside.fault = "device R2: open inside"
	within(t, "open inside: R2 in V", inside.drop("R2"), 9, 1e-6)
	within(t, "open inside: R3 in V", inside.drop("R3"), 0, 1e-6)
}

// E4, LIEC s_and_p.sml, tables 10092, 10093 and 10095: 90 Ω, 45 Ω and 180 Ω side by side on 9 V.
func TestParallelWithFailedPart(t *testing.T) {
	book := textbook{volts: 9, resistors: []resistorAt{{"R1", "+", "0", 90}, {"R2", "+", "0", 45}, {"R3", "+", "0", 180}}}
	currents := func(p page, want1, want2, want3 float64) {
		t.Helper()
		sum := 0.0
		for _, r := range []struct {
			name string
			want float64
		}{{"R1", want1}, {"R2", want2}, {"R3", want3}} {
			got := p.milliamps(r.name)
			within(t, p.fault+": "+r.name+" in mA", got, r.want, 1e-4)
			sum += got
		}
		within(t, p.fault+": total in mA", sum, want1+want2+want3, 3e-4)
	}
	p := book.on(t)
	currents(p, 100, 200, 50)
	within(t, "total ohms", p.seen(), 25.714, 0.0005)
	open := p.opened("R2")
	currents(open, 100, 0, 50)
	within(t, "total ohms with R2 open", open.seen(), 60, 0.0005)
	for _, r := range []string{"R1", "R3"} {
		within(t, "R2 open: "+r+" in V", open.drop(r), 9, 1e-6)
	}
	// E4c, table 10095: R2 shorted, and a source with an internal resistance. The book says in words: every branch voltage
	// low, the total current high.
	book.sourceOhms = 0.5
	weak, short := book.on(t), book.on(t).shorted("R2")
	for _, r := range []string{"R1", "R2", "R3"} {
		if before, after := weak.drop(r), short.drop(r); before < 8.5 || after > 0.01 {
			t.Errorf("R2 shorted: %s falls from %g V to %g V, want nearly all of it gone", r, before, after)
		}
	}
	// 9 V/0.5 Ω less next to nothing flows in the battery: its post is at 0 V.
	within(t, "R2 shorted: battery post", short.node("+"), 0, 1e-6)
}

// E5, LIEC s_p.sml: 24 V over (100 Ω ‖ 250 Ω) and (350 Ω ‖ 200 Ω), and what the chapter's failure section says in words of
// one resistor of the upper pair shorted.
func TestSeriesParallel(t *testing.T) {
	p := textbook{volts: 24, resistors: []resistorAt{{"R1", "+", "n2", 100}, {"R2", "+", "n2", 250}, {"R3", "n2", "0", 350}, {"R4", "n2", "0", 200}}}.on(t)
	within(t, "upper pair in V", p.drop("R1"), 8.627, 0.0005)
	within(t, "lower pair in V", p.drop("R3"), 15.37, 0.005)
	for _, r := range []struct {
		name string
		want float64
	}{{"R1", 86.27}, {"R2", 34.51}, {"R3", 43.92}, {"R4", 76.86}} {
		within(t, r.name+" in mA", p.milliamps(r.name), r.want, 0.005)
	}
	within(t, "total in mA", p.milliamps("R1")+p.milliamps("R2"), 120.78, 0.005)
	within(t, "total ohms", p.seen(), 198.70, 0.005)
	short := p.shorted("R1")
	if a, b := short.seen(), p.seen(); !(a < b) {
		t.Errorf("R1 shorted: total ohms go from %g to %g, want down", b, a)
	}
	if a, b := short.milliamps("R3")+short.milliamps("R4"), p.milliamps("R3")+p.milliamps("R4"); !(a > b) {
		t.Errorf("R1 shorted: the total current goes from %g mA to %g mA, want up", b, a)
	}
	if a, b := short.drop("R3"), p.drop("R3"); !(a > b) {
		t.Errorf("R1 shorted: the other pair goes from %g V to %g V, want up", b, a)
	}
	if a, b := short.drop("R1"), p.drop("R1"); !(a < b) {
		t.Errorf("R1 shorted: its own pair goes from %g V to %g V, want down", b, a)
	}
	if a, b := short.milliamps("R2"), p.milliamps("R2"); !(a < b) {
		t.Errorf("R1 shorted: its partner's current goes from %g mA to %g mA, want down", b, a)
	}
}

// E6, LIEC dcmeter.sml: two 250 MΩ resistors on 24 V. A meter of 10 MΩ across the lower one shows 0.8889 V for 12 V, and
// leaves 23.1111 V on the upper one.
func TestVoltmeterLoads(t *testing.T) {
	p := textbook{volts: 24, resistors: []resistorAt{{"R1", "+", "n2", 250e6}, {"R2", "n2", "0", 250e6}}}.on(t)
	within(t, "without a meter", p.node("n2"), 12, 0.00001)
	p.meter = circuits.DefaultMeter().InputOhms // 10 MΩ, a job's meter unless it says otherwise
	within(t, "with the meter", p.node("n2"), 0.8889, 0.00005)
	within(t, "left for the upper one", 24-p.node("n2"), 23.1111, 0.00005)
	// 250 MΩ ‖ 10 MΩ = 9.615 MΩ.
	within(t, "what the meter makes of R2, in MΩ", 250*p.node("n2")/(24-p.node("n2")), 9.615, 0.0005)
}

// twoSources is E7, LIEC dcnet.sml: 28 V behind 4 Ω, 7 V behind 1 Ω, and 2 Ω from the node between them.
var twoSources = textbook{volts: 28, others: []sourceAt{{"v7", 7}},
	resistors: []resistorAt{{"R1", "+", "n", 4}, {"R2", "n", "0", 2}, {"R3", "n", "v7", 1}}}

// E7, by branch currents, and the same by Millman's theorem.
func TestTwoSources(t *testing.T) {
	p := twoSources.on(t)
	within(t, "node by Millman", p.node("n"), 8, 1e-6)
	for _, r := range []struct {
		name           string
		volts, current float64
	}{{"R1", 20, 5}, {"R2", 8, 4}, {"R3", 1, 1}} {
		if r.name != "R3" { // R3 ends behind the source's own contact
			within(t, r.name+" in V", p.drop(r.name), r.volts, 1e-6)
		}
		within(t, r.name+" in A", p.milliamps(r.name)/1000, r.current, 1e-6)
	}
	within(t, "R3 in V", p.node("n")-7, 1, 1e-6)
}

// E7 by superposition, tables 10192 and 10193: 28 V alone gives 24, 4 and 4 V, 7 V alone 4, 4 and 3 V (the 4 V and 24 V of
// R1 oppose each other), and the sum 20, 8 and 1 V.
func TestSuperpositionOfTwoSources(t *testing.T) {
	p := twoSources.on(t)
	first, second := p.alone(0, "R1", "R2"), p.alone(1, "R1", "R2")
	within(t, "28 V alone: R1", first[0], 24, 1e-6)
	within(t, "28 V alone: R2", first[1], 4, 1e-6)
	within(t, "28 V alone: R3", first[1], 4, 1e-6) // it lies between the node and the shorted 7 V
	within(t, "7 V alone: R1", second[0], -4, 1e-6)
	within(t, "7 V alone: R2", second[1], 4, 1e-6)
	within(t, "7 V alone: R3", 7-second[1], 3, 1e-6)
	within(t, "sum: R1", first[0]+second[0], p.drop("R1"), 1e-9)
	within(t, "sum: R2", first[1]+second[1], p.drop("R2"), 1e-9)
	within(t, "sum: R1 in the book", first[0]+second[0], 20, 1e-6)
	within(t, "sum: R2 in the book", first[1]+second[1], 8, 1e-6)
}

// E7 by Thevenin and Norton at the 2 Ω load: 11.2 V behind 0.8 Ω, 14 A beside 0.8 Ω; the load gets 8 V and 4 A.
func TestThevenin(t *testing.T) {
	p := twoSources.on(t)
	without := p.opened("R2")
	within(t, "open voltage", without.node("n"), 11.2, 1e-6)
	within(t, "source ohms", without.deadOhms("n", "B-"), 0.8, 1e-6)
	within(t, "load in V", p.node("n"), 11.2*2/2.8, 1e-6)
	within(t, "load in A", p.milliamps("R2")/1000, 4, 1e-6)
	// Norton's 14 A: what flows to the node while it is joined to ground, 28/4 and 7/1.
	dead := p
	dead.fault = "short-to-ground n>R2:1 0"
	within(t, "short-circuit current", (dead.milliamps("R1")-dead.milliamps("R3"))/1000, 14, 1e-6)
}

// unbalanced is E8, LIEC dcnet.sml: a bridge on 24 V.
var unbalanced = textbook{volts: 24, resistors: []resistorAt{
	{"R12", "+", "n2", 150}, {"R13", "+", "n3", 50}, {"R23", "n3", "n2", 100}, {"R20", "n2", "0", 300}, {"R30", "n3", "0", 250}}}

// E8, and by Thevenin at the 100 Ω (C in the collection, from the printed values): 20 − 16 = 4 V behind 41.667 + 100 Ω.
func TestUnbalancedBridge(t *testing.T) {
	p := unbalanced.on(t)
	within(t, "node 2", p.node("n2"), 17.655, 0.0005)
	within(t, "node 3", p.node("n3"), 19.310, 0.0005)
	within(t, "between them", p.drop("R23"), 1.655, 0.0005)
	for _, r := range []struct {
		name string
		want float64
	}{{"R12", 42.299}, {"R13", 93.793}, {"R23", 16.552}, {"R20", 58.851}, {"R30", 77.241}} {
		within(t, r.name+" in mA", p.milliamps(r.name), r.want, 0.0005)
	}
	within(t, "total in mA", p.milliamps("R12")+p.milliamps("R13"), 136.092, 0.001) // of two sums
	open := p.opened("R23")
	within(t, "bridge open: node 3", open.node("n3"), 20, 1e-6)
	within(t, "bridge open: node 2", open.node("n2"), 16, 1e-6)
	within(t, "bridge open: across the gap", open.stand("").volts("n3", "n2"), 4.0, 1e-6)
	// 150‖300 + 50‖250 = 100 + 41.667.
	within(t, "bridge open: source ohms", open.deadOhms("n3", "n2"), 141.667, 0.0005)
}

// E9, LIEC dcnet.sml, Δ–Y conversions: a bridge on 10 V.
func TestDeltaWyeBridge(t *testing.T) {
	p := textbook{volts: 10, resistors: []resistorAt{
		{"R12", "+", "n2", 12}, {"R13", "+", "n3", 18}, {"R23", "n2", "n3", 6}, {"R20", "n2", "0", 18}, {"R30", "n3", "0", 12}}}.on(t)
	for _, r := range []struct {
		name string
		want float64
		tol  float64
	}{{"R12", 4.706, 0.0005}, {"R13", 5.294, 0.0005}, {"R23", 0.5882, 0.00005}, {"R20", 5.294, 0.0005}, {"R30", 4.706, 0.0005}} {
		within(t, r.name+" in V", p.drop(r.name), r.want, r.tol)
	}
}

// E10, LIEC dcnet.sml, node voltages: 10 V and −4 V (the prose has I2 = +4 A; the solved system uses −4).
func TestNodeVoltages(t *testing.T) {
	p := textbook{volts: 10, others: []sourceAt{{"v4", -4}}, resistors: []resistorAt{
		{"R1", "+", "n1", 2}, {"R2", "n1", "0", 4}, {"R3", "n1", "n2", 2.5}, {"R4", "n2", "0", 5}, {"R5", "n2", "v4", 1}}}.on(t)
	within(t, "node 1", p.node("n1"), 3.809524, 0.0000005)
	within(t, "node 2", p.node("n2"), -1.547619, 0.0000005)
}

// E11, LIEC Ref/src/spice.sml: 24 V and 15 V; the printed source currents are SPICE's, positive into the source.
func TestTwoSourcesOfTheSpiceChapter(t *testing.T) {
	p := textbook{volts: 24, others: []sourceAt{{"v15", 15}}, resistors: []resistorAt{
		{"R1", "+", "n2", 10e3}, {"R2", "v15", "n2", 8.1e3}, {"R3", "n2", "0", 4.7e3}}}.on(t)
	within(t, "node 2", p.node("n2"), 9.7470, 0.00005)
	first, second := -p.milliamps("R1"), -p.milliamps("R2")
	within(t, "24 V source in mA", first, -1.425, 0.0005)
	within(t, "15 V source in mA", second, -0.6485, 0.00005)
	within(t, "power in mW", -24*first-15*second, 43.9, 0.05)
}

// E12, same chapter: 15 V with 2.2 kΩ across it, and 3.3 kΩ with 150 Ω (the prose says 150 kΩ; the listing's 150 Ω is
// what the printed results belong to).
func TestLoadedDividerOfTheSpiceChapter(t *testing.T) {
	p := textbook{volts: 15, resistors: []resistorAt{{"R1", "+", "0", 2.2e3}, {"R2", "+", "n2", 3.3e3}, {"R3", "n2", "0", 150}}}.on(t)
	within(t, "node 2", p.node("n2"), 0.6522, 0.00005)
	total := p.milliamps("R1") + p.milliamps("R2")
	within(t, "current in mA", total, 11.17, 0.005)
	within(t, "power in W", 15*total/1000, 0.167, 0.0005)
}

// E14, LIEC conduct.sml, table 10229: 14 V through two wires of 15 Ω to 250 Ω.
func TestWireResistance(t *testing.T) {
	p := textbook{volts: 14, resistors: []resistorAt{{"W1", "+", "n1", 15}, {"R", "n1", "n2", 250}, {"W2", "n2", "0", 15}}}.on(t)
	within(t, "current in mA", p.milliamps("R"), 50, 1e-4)
	within(t, "load in V", p.drop("R"), 12.5, 1e-6)
	within(t, "first wire in V", p.drop("W1"), 0.75, 1e-6)
	within(t, "second wire in V", p.drop("W2"), 0.75, 1e-6)
}

// E17, OpenStax University Physics m58453: a battery of 12.00 V behind 0.100 Ω, later 0.500 Ω. (The first part prints
// 11.90 V at 1.188 A; its own 12 − 0.1188 is 11.88 V, which is what is held here.) E18, OpenStax College Physics m42360: a
// cell of 1.585 V behind 0.100 Ω read with a 1.00 kΩ voltmeter.
func TestSourceResistance(t *testing.T) {
	for _, c := range []struct {
		source, load, current, volts, tol float64
	}{{0.1, 10, 1.188, 11.88, 0.005}, {0.1, 0.5, 20.00, 10.00, 0.005}, {0.5, 0.5, 12.00, 6.00, 0.005}} {
		p := textbook{volts: 12, sourceOhms: c.source, resistors: []resistorAt{{"R", "+", "0", c.load}}}.on(t)
		what := fmt.Sprintf("%g Ω behind %g Ω", c.load, c.source)
		within(t, what+" in A", p.milliamps("R")/1000, c.current, c.tol)
		within(t, what+" in V", p.node("+"), c.volts, c.tol)
	}
	p := textbook{volts: 1.585, sourceOhms: 0.1, resistors: []resistorAt{{"R", "+", "0", 1e12}}}.on(t)
	p.meter = 1e3
	within(t, "cell in V", p.node("+"), 1.5848, 0.00005)
	within(t, "of the true voltage", p.node("+")/1.585, 0.99990, 0.000005)
}
