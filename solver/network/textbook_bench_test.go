package network

import (
	"fmt"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// textbook is a circuit of a textbook: nodes by name, resistors between them, sources. Node "+" is the battery's positive
// post, "0" its negative post and the zero of every voltage.
//
// It becomes a circuit file. Textbooks draw wires and joints without resistance; the contract gives every mated contact
// 5 mΩ. So wires have no length, and what its contacts add is taken off each resistor: from harness side to harness side
// an element is exactly the resistor of the book, and no tolerance has to allow for the contacts.
type textbook struct {
	volts      float64 // of the battery
	sourceOhms float64
	others     []sourceAt // sources beside the battery
	resistors  []resistorAt
}

// sourceAt is an ideal source from B- to a node. The contract has one battery; a module's return pin held off ground is a
// source that gives and takes current.
type sourceAt struct {
	node  string
	volts float64
}

type resistorAt struct {
	name, a, b string
	ohms       float64
}

// text is the circuit file; metered, if not empty, is the resistor whose first contact an ammeter stands in for: its
// 20 mΩ are taken off too, and so the ammeter is the ideal one of the book.
func (b textbook) text(metered string) string {
	var out strings.Builder
	fmt.Fprintf(&out, "format = 1\n[battery]\nvolts = %g\nsource_ohms = %g\n[module.S]\n", b.volts, b.sourceOhms)
	for i, s := range b.others {
		fmt.Fprintf(&out, "pins.%d = { kind = \"return\", ohms = 0, offset_volts = %g }\n", i+1, s.volts)
	}
	if len(b.others) == 0 {
		fmt.Fprintf(&out, "pins.1 = { kind = \"return\" }\n")
	}
	var runs strings.Builder
	for _, r := range b.resistors {
		ohms := r.ohms - 2*models.ContactOhms
		if r.name == metered {
			ohms -= circuits.AmmeterOhms - models.ContactOhms
		}
		for _, end := range []string{r.a, r.b} {
			if strings.HasPrefix(b.point(end), "S:") {
				ohms -= models.ContactOhms
			}
		}
		fmt.Fprintf(&out, "[device.%s]\nkind = \"resistor\"\nterminals = { a = \"1\", b = \"2\" }\nohms = %.9f\n", r.name, ohms)
		fmt.Fprintf(&runs, "[[run]]\npath = [%q, \"%s:1\"]\nlength_m = 0\n[[run]]\npath = [\"%s:2\", %q]\nlength_m = 0\n", b.point(r.a), r.name, r.name, b.point(r.b))
	}
	return out.String() + runs.String()
}

// point is what a node is called in the circuit file.
func (b textbook) point(node string) string {
	switch node {
	case "+":
		return "B+"
	case "0":
		return "B-"
	}
	for i, s := range b.others {
		if s.node == node {
			return fmt.Sprintf("S:%d", i+1)
		}
	}
	return node
}

// page is a textbook circuit with at most one of its resistors opened or shorted.
type page struct {
	t     testing.TB
	book  textbook
	fault string
	meter float64
}

// idealMeter draws next to nothing: 1 PΩ across 1 MΩ is a part in 10⁹.
const idealMeter = 1e15

func (b textbook) on(t testing.TB) page { return page{t: t, book: b, meter: idealMeter} }

func (p page) resistor(name string) resistorAt {
	p.t.Helper()
	for _, r := range p.book.resistors {
		if r.name == name {
			return r
		}
	}
	p.t.Fatalf("no resistor %s", name)
	return resistorAt{}
}

// opened opens the wire before a resistor.
func (p page) opened(name string) page {
	p.fault = "open " + p.wire(name, 1)
	return p
}

// shorted joins the wires on either side of a resistor.
func (p page) shorted(name string) page {
	p.fault = fmt.Sprintf("short-between %s %s 0", p.wire(name, 1), p.wire(name, 2))
	return p
}

// wire is the wire at one end of a resistor, as fault names write it.
func (p page) wire(name string, end int) string {
	p.t.Helper()
	r := p.resistor(name)
	node := p.book.point([]string{r.a, r.b}[end-1])
	if end == 1 {
		return fmt.Sprintf("%s>%s:1", node, name)
	}
	return fmt.Sprintf("%s:2>%s", name, node)
}

func (p page) stand(metered string) stand {
	p.t.Helper()
	s := built(p.t, p.book.text(metered)).through(p.meter)
	if p.fault != "" {
		s = s.under(p.fault)
	}
	return s
}

// node is the voltage of a node against B-.
func (p page) node(name string) float64 {
	p.t.Helper()
	return p.stand("").volts(p.book.point(name))
}

// drop is the voltage along a resistor, between its nodes: an open resistor is read across, as the book does.
func (p page) drop(name string) float64 {
	p.t.Helper()
	r := p.resistor(name)
	return p.stand("").volts(p.book.point(r.a), p.book.point(r.b))
}

// milliamps is the current through a resistor, from its first node to its second.
func (p page) milliamps(name string) float64 {
	p.t.Helper()
	return 1000 * p.stand(name).amps(name+":1")
}

// deadOhms is the resistance between two nodes with every source silenced: what Thevenin's theorem asks for.
func (p page) deadOhms(a, b string) float64 {
	p.t.Helper()
	s := p.stand("")
	n := build(s.c, building{state: s.state, stimuli: nominal(nil), fault: faultsOf(s.fault)})
	x, y := n.nodeOf(s.point(a)), n.nodeOf(s.point(b))
	source := n.slot(x, y)
	answer, steady := n.solve(newPattern(n))
	if !steady {
		p.t.Fatal("no steady state")
	}
	silence(answer.values)
	answer.values.branches[source].amps = -1
	answer.f.factor(answer.values)
	return answer.volt(x) - answer.volt(y)
}

// alone gives the drops along resistors with one source at work and the others shorted, each at no resistance of its
// own: 0 is the battery, i the i-th of the others.
func (p page) alone(source int, names ...string) []float64 {
	p.t.Helper()
	s := p.stand("")
	n := build(s.c, building{state: s.state, stimuli: nominal(nil)})
	answer, steady := n.solve(newPattern(n))
	if !steady {
		p.t.Fatal("no steady state")
	}
	keep := 0 // the battery's branch is the first
	if source > 0 {
		keep = n.begins.pins[0][source-1].branch
	}
	for i := range answer.values.branches {
		if i != keep {
			answer.values.branches[i].emf = 0
		}
	}
	answer.f.factor(answer.values)
	var out []float64
	for _, name := range names {
		from, to := n.nodeOf(circuits.Point{Place: name, Cavity: "1"}), n.nodeOf(circuits.Point{Place: name, Cavity: "2"})
		out = append(out, answer.volt(from)-answer.volt(to))
	}
	return out
}

// seen is the resistance that the battery sees: its volts over the current of all resistors at its negative post.
func (p page) seen() float64 {
	p.t.Helper()
	total := 0.0
	for _, r := range p.book.resistors {
		if r.b == "0" {
			total += p.milliamps(r.name) / 1000
		}
	}
	return p.book.volts / total
}
