package network_test

import (
	"math"
	"testing"

	"ohmtrail/circuits"
)

// This file says what the oracle expects of readings and of node voltages.

// expectation is the oracle's answer to one reading: a value, or over range, or none.
type expectation struct {
	value    float64
	ol, none bool
	other    float64 // a scan value near the middle between two steps may be either
	why      string
}

// question is one reading, or all node voltages (reading nil), of one circuit in one state with one fault.
type question struct {
	circuit string
	c       *circuits.Circuit
	state   circuits.State
	name    string // of the state
	stimuli map[string]float64
	fault   circuits.Fault
	meter   circuits.Meter
	reading *circuits.Reading
	with    *question // an earlier question that the same network answers

	want    expectation                // of the reading
	volts   map[circuits.Point]float64 // node voltages against B-, where reading is nil; floating points are absent
	settled bool                       // there is a steady state
	several bool                       // there are several, and the rounds from the start settle on none of them
}

// consult answers all questions with ngspice.
func consult(t *testing.T, program string, questions []*question) {
	t.Helper()
	jobs := make([]*spiceJob, len(questions)) // of each question
	byQuestion := map[*question]*spiceJob{}
	var all []*spiceJob
	for i, q := range questions {
		if q.with != nil {
			jobs[i] = byQuestion[q.with]
			continue
		}
		k := spiceCase{c: q.c, state: q.state, stimuli: q.stimuli, fault: q.fault}
		if r := q.reading; r != nil {
			switch r.Quantity {
			case circuits.Volts, circuits.Ohms: // ohms: first whether the circuit is live
				k.probe = spiceProbe{kind: 'v', at: r.At.From, to: r.To, ohms: q.meter.InputOhms}
			case circuits.Amps:
				k.probe = spiceProbe{kind: 'a', loc: r.At}
			}
		}
		jobs[i] = newJob(k)
		byQuestion[q] = jobs[i]
		all = append(all, jobs[i])
	}
	settle(t, program, all)
	var ohms []*question
	var nets []*spiceNet
	for i, q := range questions {
		j := jobs[i]
		q.settled, q.several = j.net != nil, j.several
		switch {
		case !q.settled:
			q.want = expectation{none: true, why: j.unsteady}
		case q.reading == nil:
			q.volts = map[circuits.Point]float64{}
			for _, p := range allPoints(q.c) {
				if node := j.node(p); !j.net.floats(node) {
					q.volts[p] = j.net.solution.volts[node]
				}
			}
		case q.reading.Quantity == circuits.Volts:
			q.want = j.voltmeter()
		case q.reading.Quantity == circuits.Amps:
			q.want = expectation{value: j.net.solution.amps[meterName]}
		case q.reading.Quantity == circuits.ScanVolts:
			q.want = j.scan(q.c.Pin(q.reading.At.From))
		case q.reading.Quantity == circuits.Ohms:
			volts := j.net.solution.between(j.node(q.reading.At.From), j.node(q.reading.To))
			if math.Abs(volts) > 0.1 {
				q.want = expectation{none: true, why: "live circuit"}
				continue
			}
			k := j.spiceCase
			k.probe.kind = 'o'
			ohms, nets = append(ohms, q), append(nets, k.build(j.states))
		}
	}
	for i, flaw := range solveNets(t, program, nets) {
		q, n := ohms[i], nets[i]
		if flaw != "" {
			t.Fatalf("%s: %s", q, flaw)
		}
		at, to := spiceCase{c: q.c}.node(q.reading.At.From), spiceCase{c: q.c}.node(q.reading.To)
		r := n.solution.between(at, to)
		q.want = expectation{value: r}
		if !n.solution.joined(at, to) || r > q.meter.MaxOhms {
			q.want = expectation{ol: true}
		}
	}
}

// voltmeter is what a voltmeter shows; it shows nothing of its own where it joins two pieces of which none has B-.
func (j *spiceJob) voltmeter() expectation {
	at, to := j.node(j.probe.at), j.node(j.probe.to)
	apart := j.net.dry.find(at) != j.net.dry.find(to)
	if apart && j.net.floats(at) {
		return expectation{none: true, why: "floating"}
	}
	return expectation{value: j.net.solution.between(at, to)}
}

// scan is what the module reports for its input pin.
func (j *spiceJob) scan(p *circuits.Pin) expectation {
	m := j.c.Module(p.Module)
	if j.state.Key == circuits.KeyOff || j.states["module "+m.Name] != awake {
		return expectation{none: true, why: "module not powered"}
	}
	low, high := p.RangeVolts[0], p.RangeVolts[1]
	step := (high - low) / (math.Pow(2, float64(p.Bits)) - 1)
	above := j.net.solution.between(innerNode(*p), internalGround(m)) - low
	steps := (above*(1+p.ScanGainPct/100) + p.ScanOffsetVolts) / step // with the error of the machine's own converter
	last := math.Pow(2, float64(p.Bits)) - 1
	round := func(x float64) float64 { return low + step*math.Round(math.Min(math.Max(x, 0), last)) }
	return expectation{value: round(steps - 1e-6), other: round(steps + 1e-6)}
}

// allPoints are all points of a circuit that a lead could touch, with their sides.
func allPoints(c *circuits.Circuit) []circuits.Point {
	points := []circuits.Point{circuits.BPositive, circuits.BNegative}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			points = append(points, p.Point(), p.Inside().From)
		}
	}
	for _, d := range c.Devices {
		for _, terminal := range d.Terminals {
			p := circuits.Point{Place: d.Name, Cavity: terminal.Cavity}
			points = append(points, p, circuits.Point{Place: d.Name, Cavity: terminal.Cavity, Side: "device"})
		}
	}
	for _, k := range c.Connectors {
		for _, cavity := range c.Cavities(k.Name) {
			for _, side := range k.Sides {
				points = append(points, circuits.Point{Place: k.Name, Cavity: cavity, Side: side})
			}
		}
	}
	for _, s := range c.Splices {
		points = append(points, circuits.Point{Place: s.Name})
	}
	for _, s := range c.Studs {
		points = append(points, circuits.Point{Place: s.Name})
	}
	return points
}
