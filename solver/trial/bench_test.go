package trial

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// sharedCircuit is a made-up harness of that many sensors on one reference and return, through two in-line connectors
// and splices: about 6.4 wires a sensor.
func sharedCircuit(tb testing.TB, sensors int) *circuits.Circuit {
	var b strings.Builder
	b.WriteString("format = 1\n[module.M]\npins.A1 = { kind = \"reference\", limit_ma = 150 }\npins.A2 = { kind = \"return\" }\npins.B1 = { kind = \"power\" }\npins.B2 = { kind = \"ground\" }\n")
	for i := range sensors {
		fmt.Fprintf(&b, "pins.C%d = { kind = \"input\", pull_up_ohms = \"47k\", below = { volts = 0.25, code = \"L%d\" }, above = { volts = 4.75, code = \"H%d\" } }\n", i+1, i, i)
	}
	for i := range sensors {
		kind := []string{"kind = \"ratiometric\"\nterminals = { supply = \"1\", output = \"2\", return = \"3\" }",
			"kind = \"potentiometer\"\nohms = 5000\nterminals = { supply = \"1\", wiper = \"2\", return = \"3\" }"}[i%2]
		fmt.Fprintf(&b, "[device.S%d]\n%s\n", i, kind)
	}
	b.WriteString("[device.F1]\nkind = \"fuse\"\namps = 10\nterminals = { a = \"1\", b = \"2\" }\n[ground.G1]\n")
	b.WriteString("[[run]]\npath = [\"B+\", \"F1:1\"]\n[[run]]\npath = [\"F1:2\", \"M:B1\"]\n[[run]]\npath = [\"M:B2\", \"G1\"]\n")
	b.WriteString("[[run]]\npath = [\"M:A1\", \"X1:1\", \"SR\"]\n[[run]]\npath = [\"M:A2\", \"X1:2\", \"SG\"]\n")
	for i := range sensors {
		fmt.Fprintf(&b, "[[run]]\npath = [\"SR\", \"X2:%d\", \"S%d:1\"]\n[[run]]\npath = [\"M:C%d\", \"X2:%d\", \"S%d:2\"]\n[[run]]\npath = [\"SG\", \"X2:%d\", \"S%d:3\"]\n",
			3*i+1, i, i+1, 3*i+2, i, 3*i+3, i)
	}
	c, problems := read.Circuit("shared", []byte(b.String()))
	if c == nil {
		tb.Fatal(problems)
	}
	return c
}

// sharedJob is five readings on such a circuit with a high resistance in a return.
func sharedJob(tb testing.TB, sensors int) *circuits.Job {
	c := sharedCircuit(tb, sensors)
	f, err := circuits.ParseFault("high-resistance X2:3 700")
	if err != nil {
		tb.Fatal(err)
	}
	v := NewVehicle(c, f, 0, rand.New(rand.NewPCG(1, 2)))
	j := &circuits.Job{File: "bench", Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}, Codes: []string{"H0"}}
	for _, at := range []string{"M:C1", "S0:2", "S0:1", "S0:3", "X2:3/b"} {
		p, err := circuits.ParsePoint(at)
		if err != nil {
			tb.Fatal(err)
		}
		p, err = c.Resolve(p)
		if err != nil {
			tb.Fatal(err)
		}
		r := circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
		if at == "M:C1" {
			r.Quantity = circuits.ScanVolts
		}
		r, _ = v.Answer(j.Meter, r)
		j.Readings = append(j.Readings, r)
	}
	return j
}

func BenchmarkRank(b *testing.B) {
	for _, sensors := range []int{4, 6, 12} {
		j := sharedJob(b, sensors)
		b.Run(fmt.Sprintf("%d wires", len(j.Circuit.Wires)), func(b *testing.B) {
			for b.Loop() {
				rank.Rank(j)
			}
			b.ReportMetric(float64(len(hypothesis.Hypotheses(j.Circuit, hypothesis.DefaultWeights(), nil))), "hypotheses")
		})
	}
}

func BenchmarkNext(b *testing.B) {
	for _, sensors := range []int{6, 12} {
		r := rank.Rank(sharedJob(b, sensors))
		b.Run(fmt.Sprintf("%d wires", len(r.Job.Circuit.Wires)), func(b *testing.B) {
			for b.Loop() {
				plan.Next(&r)
			}
		})
	}
}
