package view

import (
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Flow is a flow chart in words: what is said once, and a card for each of its nodes.
type Flow struct {
	Title string
	Head  []string // for whom the chart is, how long it takes, how it is read
	Care  []string
	Cards []FlowCard // Cards[0] is where to begin
}

// FlowCard is one node of a chart in words.
type FlowCard struct {
	Kind   plan.FlowKind
	Title  string
	Steps  []string   // what a hand does, one after the other; at an end what is done
	Rows   []FlowRow  // of a reading: its outcomes
	Proof  []string   // of an end: the readings that lead there
	Foot   string     // minutes, and the share of the machines that come here
	Places []FlowOdds // that are left
}

// FlowRow is an outcome: what is shown, how often, where it leads.
type FlowRow struct {
	Shows string
	Share string
	To    int // index of a card
}

// FlowOdds is a place with its share.
type FlowOdds struct{ Place, Share string }

// FlowOf says a chart in words, and the settings that it was worked out for.
func FlowOf(r *rank.Ranking, chart plan.FlowChart, assumed []circuits.SetDevice) Flow {
	j := r.Job
	out := Flow{Title: "Flow chart: " + firstOf(j.Complaint, j.Circuit.Title, j.CircuitName)}
	if words := flowFor(j); words != "" {
		out.Head = append(out.Head, words)
	}
	for _, set := range assumed {
		out.Head = append(out.Head, spaced("First see that "+stimulusTold(j.Circuit, set)+", and keep it so: the chart is for that alone."))
	}
	if len(chart.Nodes) == 0 {
		return out
	}
	out.Head = append(out.Head, "Begin at 1. "+Minutes(chart.Nodes[0].ToGo)+" of readings on the average.",
		"A value that lies between two outcomes, or in none: measure again. The same again: leave the chart, and take the readings one by one (ohmtrail step). So too where it says step.")
	var readings []circuits.Reading
	for i, n := range chart.Nodes {
		out.Cards = append(out.Cards, flowCard(r, chart, i))
		if n.Kind == plan.FlowReading {
			readings = append(readings, n.Reading)
		}
	}
	out.Care = cautionsOf(j.Circuit, readings)
	for i := range out.Care {
		out.Care[i] = spaced(out.Care[i])
	}
	return out
}

func firstOf(words ...string) string {
	for _, w := range words {
		if w != "" {
			return w
		}
	}
	return ""
}

// flowFor says which machines a chart is for.
func flowFor(j *circuits.Job) string {
	var parts []string
	if j.Machine != "" {
		parts = append(parts, "Machine: "+j.Machine)
	}
	if len(j.Codes) > 0 {
		parts = append(parts, "Codes set: "+strings.Join(j.Codes, ", "))
	}
	taken := 0
	for _, r := range j.Readings {
		if r.Taken {
			taken++
		}
	}
	if taken > 0 {
		parts = append(parts, "after "+count(taken, "reading", "readings"))
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, "; ") + "."
}

func flowCard(r *rank.Ranking, chart plan.FlowChart, at int) FlowCard {
	n := chart.Nodes[at]
	out := FlowCard{Kind: n.Kind, Title: itoa(at + 1), Foot: spaced(Percent(n.Share)) + " of machines come here"}
	for _, p := range n.Places {
		out.Places = append(out.Places, FlowOdds{spaced(placeLeft(p)), spaced(Percent(p.Probability))})
	}
	switch n.Kind {
	case plan.FlowOneByOne:
		out.Steps = []string{"Take the readings one by one: ohmtrail step."}
	case plan.FlowRepair:
		out.Steps = []string{repairWords(n.Places)}
		for _, s := range n.Way {
			from := chart.Nodes[s.Node]
			out.Proof = append(out.Proof, spaced(readingWords(r.Job.Circuit, from.Reading)+": "+branchWords(r.Job, from.Reading, from.Branches[s.Branch])))
		}
	default:
		for _, s := range Steps(r.Job.Circuit, n.Left, n.Reading) {
			out.Steps = append(out.Steps, spaced(s))
		}
		for _, b := range n.Branches {
			shows := branchWords(r.Job, n.Reading, b)
			if b.Sound {
				shows += " (good)"
			}
			out.Rows = append(out.Rows, FlowRow{Shows: spaced(shows), Share: spaced(Percent(b.Share)), To: b.Node})
		}
		out.Foot = spaced(Minutes(n.Minutes)+", "+Minutes(n.ToGo)+" to the end; ") + out.Foot
	}
	return out
}

// repairWords says what is done where enough is known.
func repairWords(places []rank.PlaceOdds) string {
	known := 0
	for _, p := range places {
		if p.Place.Known() {
			known++
		}
	}
	switch {
	case len(places) > 0 && places[0].Place.First.Unlisted:
		return "None of the faults that this chart knows."
	case known == 0:
		return "Nothing is wrong here."
	case len(places) == 1:
		return "Put this place right, and check."
	}
	return "Put these places right in this order, and check after each."
}

// branchWords says an outcome's values with both ends: they are what one goes by.
func branchWords(j *circuits.Job, r circuits.Reading, b plan.Branch) string {
	switch {
	case b.None:
		if r.Quantity == circuits.ScanVolts {
			return "no value, the module does not answer"
		}
		return "no value"
	case r.Quantity == circuits.Ohms:
		low, high := math.Exp(b.Low), math.Exp(b.High)
		switch {
		case b.OL && low > j.Meter.MaxOhms:
			return "OL"
		case b.OL:
			return held(models.SI(low, "Ω")) + " and more, or" + nbsp + "OL"
		case low <= flowLeastOhms:
			return "up to " + held(models.SI(high, "Ω"))
		}
		return held(models.SI(low, "Ω")) + " to" + nbsp + held(models.SI(high, "Ω"))
	}
	low, high := b.Low, b.High
	if pin := j.Circuit.Pin(r.Point()); pin != nil && r.Quantity == circuits.ScanVolts {
		low, high = max(low, pin.RangeVolts[0]), min(high, pin.RangeVolts[1])
	}
	return twoDecimals(low) + " to" + nbsp + twoDecimals(high) + nbsp + r.Quantity.Unit()
}

// flowLeastOhms are so few that a meter shows its leads.
const flowLeastOhms = 1

func twoDecimals(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	if s == "-0.00" {
		return "0.00"
	}
	return s
}
