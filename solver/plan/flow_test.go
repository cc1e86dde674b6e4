package plan_test

import (
	"fmt"
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// flowOf is the chart of a circuit of the library with codes set.
func flowOf(t *testing.T, name string, nodes int, codes ...string) (plan.FlowChart, *circuits.Job) {
	t.Helper()
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}, Codes: codes}
	r := rank.Rank(j)
	return plan.Flow(&r, nodes), j
}

// TestFlowIsAGraphOfReadings: each node leads to later ones, its outcomes lie apart and share all but a few machines, the shares add
// up along the ways, and what is to go is the reading and what the branches have to go.
func TestFlowIsAGraphOfReadings(t *testing.T) {
	const most = 20
	chart, _ := flowOf(t, "coolant-temperature", most, "P0118")
	if n := len(chart.Nodes); n < 8 || n > most+1 {
		t.Fatalf("%d nodes", n)
	}
	shares := make([]float64, len(chart.Nodes))
	shares[0] = 1
	ends := 0.0
	for i, n := range chart.Nodes {
		if math.Abs(n.Share-shares[i]) > 1e-9 {
			t.Errorf("node %d has a share of %g, its ways %g", i+1, n.Share, shares[i])
		}
		sum, toGo := 0.0, n.Minutes
		for k, b := range n.Branches {
			if b.Node <= i || b.Node >= len(chart.Nodes) {
				t.Fatalf("node %d leads to %d", i+1, b.Node+1)
			}
			if !b.None && b.Low >= b.High {
				t.Errorf("node %d, branch %d from %g to %g", i+1, k, b.Low, b.High)
			}
			if k > 0 && !b.None && b.Low <= n.Branches[k-1].High {
				t.Errorf("node %d: a branch from %g begins below %g, where the one before ends", i+1, b.Low, n.Branches[k-1].High)
			}
			shares[b.Node] += n.Share * b.Share
			sum += b.Share
			toGo += b.Share * chart.Nodes[b.Node].ToGo
		}
		if math.Abs(toGo-n.ToGo) > 1e-9 {
			t.Errorf("node %d has %g minutes to go, its branches make it %g", i+1, n.ToGo, toGo)
		}
		switch n.Kind {
		case plan.FlowReading:
			if sum > 1+1e-9 || sum < 0.9 {
				t.Errorf("node %d shares %g", i+1, sum)
			}
		case plan.FlowRepair:
			ends += n.Share
			if len(n.Places) == 0 || len(n.Way) == 0 {
				t.Errorf("end %d has places %v by %v", i+1, n.Places, n.Way)
			}
		}
	}
	if ends < 0.5 {
		t.Errorf("only %.2f of the machines come to an end", ends)
	}
	again, _ := flowOf(t, "coolant-temperature", most, "P0118")
	if fmt.Sprint(chart.Nodes) != fmt.Sprint(again.Nodes) {
		t.Error("the same circuit gives another chart")
	}
}

// TestFlowFollowsAReading: a value within an outcome leads on, one between two outcomes leads nowhere.
func TestFlowFollowsAReading(t *testing.T) {
	chart, _ := flowOf(t, "coolant-temperature", 20, "P0118")
	between := 0
	for i, n := range chart.Nodes {
		ohms := n.Reading.Quantity == circuits.Ohms
		for k, b := range n.Branches {
			if b.None {
				continue
			}
			taken := n.Reading
			taken.Taken = true
			value := func(v float64) circuits.Reading {
				taken.Value = v
				if ohms {
					taken.Value = math.Exp(v)
				}
				return taken
			}
			if next, ok := chart.Follow(i, value((b.Low+b.High)/2)); !ok || next != b.Node {
				t.Errorf("node %d: the middle of branch %d leads to %d %v", i+1, k, next+1, ok)
			}
			if k == 0 || n.Branches[k-1].None {
				continue
			}
			between++
			if next, ok := chart.Follow(i, value((n.Branches[k-1].High+b.Low)/2)); ok {
				t.Errorf("node %d: between branches %d and %d it goes to %d", i+1, k-1, k, next+1)
			}
		}
	}
	if between == 0 {
		t.Error("no two branches were tried")
	}
}

// TestFlowOfWhatHasNoChart: a symptom that comes and goes and a squib circuit have none.
func TestFlowOfWhatHasNoChart(t *testing.T) {
	if chart, _ := flowOf(t, "squib", 20); len(chart.Nodes) != 0 {
		t.Errorf("a chart of a squib circuit: %d nodes", len(chart.Nodes))
	}
	_, j := flowOf(t, "coolant-temperature", 3)
	j.Intermittent = true
	r := rank.Rank(j)
	if chart := plan.Flow(&r, 20); len(chart.Nodes) != 0 {
		t.Errorf("a chart of a symptom that comes and goes: %d nodes", len(chart.Nodes))
	}
}

// TestFlowJobSettlesSwitches: what a switch stands at is not left open, for each reading of it would be another toss of a coin; what is
// known stays, and so does the job that was handed in.
func TestFlowJobSettlesSwitches(t *testing.T) {
	c, err := library.Circuit("oil-pressure-switch")
	if err != nil {
		t.Fatal(err)
	}
	j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
	own, assumed := plan.FlowJob(j)
	if want := []circuits.SetDevice{{Device: "OPS", Set: 1}}; fmt.Sprint(assumed) != fmt.Sprint(want) || own.Assume["OPS"] != 1 || len(j.Assume) != 0 {
		t.Errorf("assumed %v in %v, want %v; the job has %v", assumed, own.Assume, want, j.Assume)
	}
	j.Assume["OPS"] = 0
	if own, assumed := plan.FlowJob(j); len(assumed) != 0 || own.Assume["OPS"] != 0 {
		t.Errorf("assumed %v although the job knows it: %v", assumed, own.Assume)
	}
}
