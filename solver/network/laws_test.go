package network

import (
	"math"
	"math/rand/v2"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// Laws that every network obeys, on all circuits of the library under random faults, states and stimuli by a fixed seed.

// randomNetworks solves that many networks of every circuit of the library.
func randomNetworks(t *testing.T, each int, check func(what string, n *netlist, a *pattern, s *solution, random *rand.Rand)) {
	t.Helper()
	random := rand.New(rand.NewPCG(11, 7))
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		all := someFaults(c)
		for range each {
			b := building{state: circuits.State{Key: []circuits.Key{circuits.KeyOn, circuits.KeyRun, circuits.KeyOff}[random.IntN(3)]}, joints: random.IntN(2) == 0}
			b.fault = faults{all[random.IntN(len(all))], all[random.IntN(len(all))]}
			if random.IntN(2) == 0 {
				b.fault = b.fault[:1]
			}
			if plugs := c.Plugs(); random.IntN(3) == 0 {
				b.state.Unplugged = []string{plugs[random.IntN(len(plugs))]}
			}
			set := map[string]float64{}
			for _, d := range c.Devices {
				if d.Kind.TwoState() {
					set[d.Name] = float64(random.IntN(2))
				} else {
					set[d.Name] = d.Range[0] + random.Float64()*(d.Range[1]-d.Range[0])
				}
			}
			b.stimuli = nominal(set)
			n := build(c, b)
			// A meter somewhere, and now and then an ammeter's worth of load.
			from, to := int32(random.IntN(len(n.points))), int32(random.IntN(len(n.points)+1))-1
			n.resistor(from, to, []float64{10e6, 330}[random.IntN(2)])
			for range probeSlots {
				n.slot(int32(random.IntN(len(n.points))), ground)
			}
			a := newPattern(n)
			s, steady := n.solve(a)
			if !steady {
				continue
			}
			what := name
			for _, f := range b.fault {
				what += ", " + f.String()
			}
			check(what, n, a, s, random)
		}
	}
}

// Kirchhoff's current law at every node with a path to B-: what flows away through the branches and output stages sums to
// nothing. An error of 1 pV at either end of a branch is allowed for: that is what 1e-13 of 12 V comes to.
func TestCurrentsSumToNothingAtEveryNode(t *testing.T) {
	nodes, met := 0, 0
	randomNetworks(t, 12, func(what string, n *netlist, _ *pattern, s *solution, _ *rand.Rand) {
		met++
		away, allowed := make([]float64, len(n.points)), make([]float64, len(n.points))
		flow := func(i int32, amps, siemens float64) {
			if i >= 0 {
				away[i] += amps
				allowed[i] += siemens*1e-12 + math.Abs(amps)*1e-12
			}
		}
		for _, b := range s.values.branches {
			if b.a == b.b {
				continue
			}
			amps := b.siemens*(s.volt(b.a)-s.volt(b.b)-b.emf) + b.amps
			flow(b.a, amps, b.siemens)
			flow(b.b, -amps, b.siemens)
		}
		for _, g := range s.values.gains {
			amps := g.siemens * (s.volt(g.out) - s.volt(g.ret) - g.share*(s.volt(g.sup)-s.volt(g.ret)))
			flow(g.out, amps, g.siemens)
			flow(g.ret, -amps, g.siemens)
		}
		for i := range away {
			if s.f.at(int32(i)) >= 0 {
				continue // floating: its last node stands for its zero
			}
			nodes++
			if !(math.Abs(away[i]) <= allowed[i]+1e-15) {
				t.Errorf("%s: %g A are left over at %s (%g allowed)", what, away[i], n.points[i], allowed[i])
			}
		}
	})
	if met < 300 || nodes < 10000 {
		t.Errorf("only %d networks with %d nodes", met, nodes)
	}
	t.Logf("%d nodes of %d networks", nodes, met)
}

// Superposition: with the states of all pieces held, every voltage is the sum of what each source makes alone.
func TestSourcesAddUp(t *testing.T) {
	sources := 0
	randomNetworks(t, 8, func(what string, n *netlist, a *pattern, s *solution, _ *rand.Rand) {
		whole := append([]float64(nil), s.f.volts...)
		sum := make([]float64, len(whole))
		all := s.values
		for i, b := range all.branches {
			if b.siemens*b.emf == 0 && b.amps == 0 {
				continue
			}
			sources++
			s.values = all.clone()
			silence(s.values)
			s.values.branches[i] = b
			s.f.factor(s.values)
			for k := range sum {
				sum[k] += s.f.volts[k]
			}
		}
		for k := range sum {
			if s.f.at(int32(k)) < 0 && !(math.Abs(sum[k]-whole[k]) <= 1e-9*(1+math.Abs(whole[k]))) {
				t.Errorf("%s: %s is at %.12g V, and its sources add up to %.12g V", what, n.points[k], whole[k], sum[k])
			}
		}
	})
	if sources < 400 {
		t.Errorf("only %d sources", sources)
	}
}

// probeSlots are the slots to B- that a random network ends with, at nodes drawn at random.
const probeSlots = 8

// Reciprocity: without output stages, one ampere into node i lifts node j by what one ampere into j lifts i. With output
// stages it does not hold; there the weights of the circuit reduced to the two nodes give
// the same number.
func TestReciprocity(t *testing.T) {
	symmetric, skewed := 0, 0
	randomNetworks(t, 12, func(what string, n *netlist, a *pattern, s *solution, random *rand.Rand) {
		works := false
		for _, g := range s.values.gains {
			works = works || g.siemens != 0
		}
		silence(s.values)
		s.f.factor(s.values)
		var slots []int // at nodes with a path to B-
		for i := len(n.values.branches) - probeSlots; i < len(n.values.branches); i++ {
			if s.f.at(n.values.branches[i].a) < 0 {
				slots = append(slots, i)
			}
		}
		node := func(slot int) int32 { return n.values.branches[slot].a }
		lift := func(in, out int) float64 {
			s.values.branches[in].amps = -1
			s.f.factor(s.values)
			s.values.branches[in].amps = 0
			return s.f.volts[node(out)]
		}
		for at := range slots {
			i, j := slots[at], slots[(at+1)%len(slots)]
			there := lift(i, j)
			same := func(what2 string, back float64) {
				t.Helper()
				if !(math.Abs(there-back) <= 1e-9*(math.Abs(there)+math.Abs(back))+1e-12) {
					t.Errorf("%s: %s to %s is %.12g Ω, %s %.12g Ω", what, n.points[node(i)], n.points[node(j)], there, what2, back)
				}
			}
			var r reduced
			var few few
			r.begin(s.f, nil, &patch{})
			from, to := r.keep(node(i)), r.keep(node(j))
			d := a.desk()
			r.reckon(d, n, &s.values)
			few.take(&r, 0, true)
			few.in[from] = 1
			few.solve()
			few.weigh(to, ground)
			same("reduced to the two", few.volt(to))
			same("transposed", few.weight(from))
			if works {
				skewed++
				continue
			}
			symmetric++
			same("back", lift(j, i))
		}
	})
	if symmetric < 200 || skewed < 100 {
		t.Errorf("only %d symmetric and %d skewed pairs", symmetric, skewed)
	}
	t.Logf("%d symmetric and %d skewed pairs", symmetric, skewed)
}
