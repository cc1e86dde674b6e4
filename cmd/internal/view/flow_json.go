package view

import (
	"math"

	"ohmtrail/circuits"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// FlowJSON is a chart for programs; nodes are numbered from 1, as they are drawn.
type FlowJSON struct {
	Title   string             `json:"title"`
	Minutes float64            `json:"minutes"` // of readings, on the average
	Set     map[string]float64 `json:"set"`     // what the chart assumes of switches and the like
	Nodes   []FlowNodeJSON     `json:"nodes"`
}

// FlowNodeJSON is a reading ("reading"), an end ("repair"), or where the chart leaves off ("one by one").
type FlowNodeJSON struct {
	Number   int                 `json:"number"`
	Kind     string              `json:"kind"`
	Share    float64             `json:"share"`
	Minutes  float64             `json:"minutes"`
	ToGo     float64             `json:"minutes_to_go"`
	Reading  *PlannedReadingJSON `json:"reading,omitempty"`
	Undo     *UndoJSON           `json:"undo,omitempty"`
	Says     []string            `json:"says"`
	Branches []FlowBranchJSON    `json:"branches,omitempty"`
	Places   []RemainingJSON     `json:"places"`
	Proof    []string            `json:"proof,omitempty"`
}

// FlowBranchJSON is an outcome of a reading.
type FlowBranchJSON struct {
	Outcome string  `json:"outcome"` // value, OL, none
	Low     Amount  `json:"low"`
	High    Amount  `json:"high"`
	Good    bool    `json:"good"` // as a sound machine
	Share   float64 `json:"share"`
	Next    int     `json:"next"`
	Says    string  `json:"says"`
}

// FlowJSONOf is a chart for programs.
func FlowJSONOf(r *rank.Ranking, chart plan.FlowChart, assumed []circuits.SetDevice) FlowJSON {
	words := FlowOf(r, chart, assumed)
	out := FlowJSON{Title: words.Title, Set: map[string]float64{}, Nodes: []FlowNodeJSON{}}
	for _, set := range assumed {
		out.Set[set.Device] = set.Set
	}
	for i, n := range chart.Nodes {
		card := words.Cards[i]
		one := FlowNodeJSON{Number: i + 1, Kind: "reading", Share: n.Share, Minutes: n.Minutes, ToGo: n.ToGo, Says: card.Steps, Proof: card.Proof,
			Places: []RemainingJSON{}}
		for _, p := range n.Places {
			one.Places = append(one.Places, RemainingJSON{p.Place.String(), p.Probability, p.Leading.String()})
		}
		switch n.Kind {
		case plan.FlowRepair:
			one.Kind = "repair"
		case plan.FlowOneByOne:
			one.Kind = "one by one"
		default:
			reading := plannedReadingJSON(n.Reading)
			one.Reading, one.Undo = &reading, undoJSON(r.Job.Circuit, n.Left, n.Reading)
		}
		for k, b := range n.Branches {
			one.Branches = append(one.Branches, flowBranchJSON(r.Job, n.Reading, b, card.Rows[k].Shows))
		}
		out.Nodes = append(out.Nodes, one)
	}
	if len(chart.Nodes) > 0 {
		out.Minutes = chart.Nodes[0].ToGo
	}
	return out
}

func flowBranchJSON(j *circuits.Job, r circuits.Reading, b plan.Branch, says string) FlowBranchJSON {
	out := FlowBranchJSON{Outcome: "value", Low: Amount(b.Low), High: Amount(b.High), Good: b.Sound, Share: b.Share, Next: b.Node + 1, Says: says}
	if r.Quantity == circuits.Ohms {
		out.Low, out.High = Amount(math.Exp(b.Low)), Amount(math.Exp(b.High))
		if b.OL {
			out.High = Amount(math.Inf(1))
		}
		if b.OL && math.Exp(b.Low) > j.Meter.MaxOhms {
			out.Outcome, out.Low = "OL", Amount(math.Inf(1))
		}
	}
	if b.None {
		out.Outcome, out.Low, out.High = "none", Amount(math.NaN()), Amount(math.NaN())
	}
	return out
}
