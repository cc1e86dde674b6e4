// Package walks leads simulated machines through flow charts, and lets the plan find the same faults reading by reading.
package walks

import (
	"math/rand/v2"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
	"ohmtrail/solver/trial"
)

// Machine is a circuit with a hidden fault, every number drawn from its width, and the job as it comes in.
type Machine struct {
	Vehicle *trial.Vehicle
	Job     *circuits.Job
}

// Draw is the n-th machine of a seed; misread is the share of readings that are not what they say. The same machine comes as often as it
// is asked for, and it answers the same readings in the same order alike.
func Draw(c *circuits.Circuit, seed, n uint64, misread float64) Machine {
	random := rand.New(rand.NewPCG(seed, n))
	hs := hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil)
	v := trial.NewVehicle(c, circuits.Fault{First: trial.DrawFault(hs, c, random)}, misread, random)
	j, assumed := plan.FlowJob(&circuits.Job{Circuit: c, Meter: circuits.DefaultMeter()})
	for _, set := range assumed {
		v.Stimuli[set.Device] = set.Set // whoever follows a chart sees to that first
	}
	j.Codes = v.Codes()
	return Machine{v, j}
}

// Found is what a way of measuring comes to.
type Found struct {
	Minutes  float64
	Readings int
	AtEnd    bool    // the chart led to an end of its own
	First    bool    // the place that is put right first is the fault's
	Among    bool    // it is one of those that are left alike: the leading group of a ranking, the places of an end that hold a tenth
	Holds    float64 // what those hold together
}

// mostReadings bounds a way: whoever has not found it by then gives up.
const mostReadings = 25

// Walk leads a machine through a chart. A value that lies in no branch is measured again; where that helps nothing, and where the chart
// leaves off, the plan goes on with all readings taken.
func (m Machine) Walk(chart plan.FlowChart) Found {
	var f Found
	at := 0
	for chart.Nodes[at].Kind == plan.FlowReading {
		next, ok := m.follow(&f, chart, at)
		if !ok {
			next, ok = m.follow(&f, chart, at)
		}
		if !ok {
			m.goOn(&f, false)
			return f
		}
		at = next
	}
	if chart.Nodes[at].Kind == plan.FlowOneByOne {
		m.goOn(&f, false)
		return f
	}
	f.AtEnd = true
	const alike = 0.1
	for i, p := range chart.Nodes[at].Places {
		mends := p.Place.Mends(m.truth())
		f.First = f.First || i == 0 && mends
		if i == 0 || p.Probability >= alike {
			f.Holds += p.Probability
			f.Among = f.Among || mends
		}
	}
	return f
}

func (m Machine) truth() circuits.Single { return m.Vehicle.Fault.First.WithoutOhms() }

// follow takes a node's reading.
func (m Machine) follow(f *Found, chart plan.FlowChart, at int) (next int, ok bool) {
	answer, shown := m.take(f, chart.Nodes[at].Reading)
	if !shown {
		return chart.FollowNone(at)
	}
	return chart.Follow(at, answer)
}

// take takes a reading into the job, and counts its minutes.
func (m Machine) take(f *Found, r circuits.Reading) (answer circuits.Reading, shown bool) {
	f.Minutes += m.Job.Circuit.Minutes(r, m.Job.Reached())
	f.Readings++
	if answer, shown = m.Vehicle.Answer(m.Job.Meter, r); shown {
		m.Job.Readings = append(m.Job.Readings, answer)
	}
	return answer, shown
}

// Plan lets the plan find the fault, by its own suggestions or by the reading that tells most whatever it costs (half-split).
func (m Machine) Plan(halfSplit bool) Found {
	var f Found
	m.goOn(&f, halfSplit)
	return f
}

func (m Machine) goOn(f *Found, halfSplit bool) {
	nothing := map[string]bool{}
	for {
		r := rank.Rank(m.Job)
		p := plan.Next(&r)
		reading, ok := choose(p, halfSplit, nothing)
		if p.Done || !ok || f.Readings >= mostReadings {
			f.judge(&r, m.truth())
			return
		}
		if _, shown := m.take(f, reading); !shown {
			nothing[circuits.ReadingKey(reading)] = true
		}
	}
}

func choose(p plan.Plan, halfSplit bool, nothing map[string]bool) (circuits.Reading, bool) {
	if halfSplit && p.Telling != nil && !nothing[circuits.ReadingKey(p.Telling.Reading)] {
		return p.Telling.Reading, true
	}
	for _, s := range p.Suggestions {
		if !nothing[circuits.ReadingKey(s.Reading)] {
			return s.Reading, true
		}
	}
	return circuits.Reading{}, false
}

// judge holds a ranking against the truth.
func (f *Found) judge(r *rank.Ranking, truth circuits.Single) {
	f.First = r.Places()[0].Place.Mends(truth)
	for _, k := range r.Groups[0].Faults {
		f.Among = f.Among || k.Place().Mends(truth)
	}
	f.Holds = r.Groups[0].Probability
}
