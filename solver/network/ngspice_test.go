package network_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/network"
)

// Two programs that read one contract must give one answer: the solver is compared with ngspice on decks made by an
// independent generator, for every single fault of every circuit.

const (
	agreeAbs     = 1e-6 // V, A or Ω
	agreeRel     = 1e-6
	doublesEach  = 60  // double faults by chance per circuit
	reportedEach = 25  // disagreements written out per circuit
	batchLists   = 400 // faults and states that go to ngspice together; more cost memory and win nothing
)

// String names the question in a failure.
func (q *question) String() string {
	what := "node voltages"
	if q.reading != nil {
		what = fmt.Sprintf("%s at %s", q.reading.Quantity, q.reading.At)
		if !q.reading.To.IsZero() {
			what += " to " + q.reading.To.String()
		}
	}
	return fmt.Sprintf("%s, %q, %s, key %s, %v: %s", q.circuit, q.fault, q.name, q.state.Key, q.stimuli, what)
}

// TestSolverAgreesWithNgspice compares node voltages and readings. Every fault is met at least once, in a state taken
// by a fixed seed, and with one reading beside the scan value; OHMTRAIL_FULL=1 compares every fault in every state.
func TestSolverAgreesWithNgspice(t *testing.T) {
	program := spiceProgram(t)
	all := comparedCircuits()
	if testing.Short() {
		all = all[:1]
	}
	for i, compared := range all {
		t.Run(compared.name, func(t *testing.T) {
			c, err := compared.load()
			if err != nil {
				t.Fatal(err)
			}
			asked, wrong, unsteady, several := 0, 0, 0, 0
			for batch := range slices.Chunk(questionsOf(t, compared.name, c, rand.New(rand.NewPCG(20, uint64(i)))), batchLists) {
				questions := slices.Concat(batch...)
				consult(t, program, questions)
				asked += len(questions)
				for _, q := range questions {
					if !q.settled {
						unsteady++
					}
					if q.several {
						several++
					}
					difference := q.difference()
					if difference == "" {
						continue
					}
					if wrong++; wrong <= reportedEach {
						t.Errorf("%s: %s", q, difference)
					}
				}
			}
			t.Logf("%d questions, %d differences, %d without a steady state, %d with several", asked, wrong, unsteady, several)
		})
	}
}

type comparedCircuit struct {
	name string
	load func() (*circuits.Circuit, error)
}

// comparedCircuits are the library, the demonstration circuit and two circuits with the parts those lack.
func comparedCircuits() []comparedCircuit {
	var out []comparedCircuit
	for _, name := range library.Names() {
		out = append(out, comparedCircuit{name, func() (*circuits.Circuit, error) { return library.Circuit(name) }})
	}
	parse := func(name string, text func() ([]byte, error)) {
		out = append(out, comparedCircuit{name, func() (*circuits.Circuit, error) {
			b, err := text()
			if err != nil {
				return nil, err
			}
			c, problems := read.Circuit(name, b)
			if c == nil {
				return nil, problems.Errors()
			}
			return c, nil
		}})
	}
	parse("mast-height", func() ([]byte, error) { return os.ReadFile("../../testdata/demo/mast-height.circuit.toml") })
	parse("bench", func() ([]byte, error) { return []byte(benchCircuit), nil })
	parse("loops", func() ([]byte, error) { return []byte(loopCircuit), nil })
	return out
}

// questionsOf are the questions to one circuit, a list for each fault and state.
func questionsOf(t *testing.T, name string, c *circuits.Circuit, rng *rand.Rand) [][]*question {
	t.Helper()
	faults := singleFaults(t, c)
	faults = append(faults, doubleFaults(t, c, faults, doublesEach, rng)...)
	var out [][]*question
	for i, f := range faults {
		states := statesOf(c, rng)
		if !full() {
			states = []namedState{pick(rng, states)}
		}
		for _, s := range states {
			nodes := &question{circuit: name, c: c, state: s.state, name: s.name, fault: f, stimuli: stimuliOf(c, rng), meter: circuits.DefaultMeter()}
			list := []*question{nodes}
			for k, r := range readingsOf(c, s.state, f, rng) {
				q := *nodes
				q.reading, q.state = r, r.State
				q.meter.InputOhms = pick(rng, []float64{10e6, 1e6})
				if r.Quantity == circuits.ScanVolts { // the node voltages hold it
					q.with = nodes
				} else if !full() && k != i%3 {
					continue
				}
				list = append(list, &q)
			}
			out = append(out, list)
		}
	}
	return out
}

// full tells whether every fault is to be compared in every state, with a reading of every quantity.
func full() bool { return os.Getenv("OHMTRAIL_FULL") == "1" }

// difference is what the solver says otherwise than ngspice, "" where they agree.
func (q *question) difference() string {
	if q.several {
		return ""
	}
	if q.reading == nil {
		return q.nodeDifference()
	}
	got := network.Read(q.c, q.meter, *q.reading, q.stimuli, q.fault)
	want := q.want
	says := fmt.Sprintf("solver %v (%+v)", got.Value, got.Why)
	switch {
	case want.none && got.Status != network.NoValue:
		return fmt.Sprintf("%s, ngspice none: %s", says, want.why)
	case want.ol && got.Status != network.OverRange:
		return says + ", ngspice OL"
	case !want.none && !want.ol && got.Status != network.Fine:
		return fmt.Sprintf("%s, status %v, ngspice %.9g", says, got.Status, want.value)
	case want.none || want.ol || agree(got.Value, want.value):
		return ""
	case q.reading.Quantity == circuits.ScanVolts && agree(got.Value, want.other):
		return ""
	}
	return fmt.Sprintf("%s, ngspice %.9g", says, want.value)
}

func (q *question) nodeDifference() string {
	got, steady := network.Voltages(q.c, q.state, q.stimuli, q.fault)
	if steady != q.settled {
		return fmt.Sprintf("solver steady %v, ngspice steady %v (%s)", steady, q.settled, q.want.why)
	}
	if !steady {
		return ""
	}
	worst, gap, wrong := "", -1.0, 0
	for _, p := range allPoints(q.c) {
		v, ok := got[p]
		w, stands := q.volts[p]
		if ok == stands && agree(v, w) {
			continue
		}
		wrong++
		says := fmt.Sprintf("%s: solver %.9g V, ngspice %.9g V", p, v, w)
		if ok != stands {
			says = fmt.Sprintf("%s: solver %v (floats %v), ngspice %v (floats %v)", p, v, !ok, w, !stands)
		}
		if d := math.Abs(v - w); d > gap {
			worst, gap = says, d
		}
	}
	if wrong == 0 {
		return ""
	}
	return fmt.Sprintf("%d points, the worst %s", wrong, worst)
}

func agree(a, b float64) bool { return math.Abs(a-b) <= agreeAbs+agreeRel*math.Abs(b) }
