package worksheet

import (
	"errors"
	"hash/fnv"
	"math"
	"math/rand/v2"

	"ohmtrail/circuits"
)

// Kind is a kind of task.
type Kind string

// The kinds of task.
const (
	PredictKind Kind = "predict" // what each point reads, healthy and under named faults, and why
	ExplainKind Kind = "explain" // which of some faults explains these readings
	NextKind    Kind = "next"    // which of some readings to take next
)

// Kinds are all kinds, in the order in which they stand on a sheet.
func Kinds() []Kind { return []Kind{PredictKind, ExplainKind, NextKind} }

// Subject is what a sheet is about: a circuit as it stands, and, of an exercise, its fault.
type Subject struct {
	Name  string         // for the trainer, such as the file's
	Job   *circuits.Job  // without readings; stimuli that Assume leaves open are drawn
	Truth circuits.Fault // of an exercise: what its readings come from; healthy for none
}

// Options say what is made.
type Options struct {
	Kinds []Kind
	Seed  uint64
}

// Sheet is one circuit's tasks with their answers.
type Sheet struct {
	Name    string
	Seed    uint64
	Job     *circuits.Job    // with every stimulus known
	Points  []circuits.Point // numbered from 1
	Predict *Predict         // nil for none, as are the others
	Explain *Explain
	Next    *Next
	Lacks   []string // why a kind that was asked for is missing
}

// ErrPyrotechnic says why there is no sheet of a circuit.
var ErrPyrotechnic = errors.New(say("error.pyrotechnic"))

// Make makes the sheet of a subject. It is an error where the circuit gives none of the kinds.
func Make(s Subject, o Options) (Sheet, error) {
	if s.Job.Circuit.Pyrotechnic {
		return Sheet{}, ErrPyrotechnic
	}
	m := newMaker(s, o.Seed)
	sheet := Sheet{Name: s.Name, Seed: o.Seed, Job: m.job, Points: m.points}
	for _, k := range o.Kinds {
		var err error
		switch k {
		case PredictKind:
			sheet.Predict, err = m.predict()
		case ExplainKind:
			sheet.Explain, err = m.explain(s.Job, s.Truth)
		case NextKind:
			sheet.Next, err = m.next()
		}
		if err != nil {
			sheet.Lacks = append(sheet.Lacks, say("error.lacks", "kind", string(k), "why", err.Error()))
		}
	}
	if sheet.Predict == nil && sheet.Explain == nil && sheet.Next == nil {
		if len(sheet.Lacks) == 0 {
			return sheet, errors.New(say("error.no_kind"))
		}
		return sheet, errors.New(sheet.Lacks[0])
	}
	return sheet, nil
}

// maker is a sheet under construction.
type maker struct {
	job     *circuits.Job // without readings, codes and complaint
	circuit *circuits.Circuit
	seed    uint64
	pool    []circuits.Single // faults to be named, with their ohms
	weights []float64         // of the pool: how likely each is before any reading
	points  []circuits.Point
	well    map[circuits.Point]float64 // volts of the healthy machine
	used    map[circuits.Fault]bool    // faults that a task of this sheet has named
}

func newMaker(s Subject, seed uint64) *maker {
	m := &maker{circuit: s.Job.Circuit, seed: seed, used: map[circuits.Fault]bool{}}
	if s.Truth != (circuits.Fault{}) {
		m.used[s.Truth.WithoutOhms()] = true
	}
	m.job = bare(s.Job)
	m.stand()
	m.list()
	m.choosePoints()
	return m
}

// bare is a job without what was found out.
func bare(j *circuits.Job) *circuits.Job {
	out := &circuits.Job{File: j.File, CircuitName: j.CircuitName, Circuit: j.Circuit, Machine: j.Machine, Meter: j.Meter, Assume: map[string]float64{}}
	for k, v := range j.Assume {
		out.Assume[k] = v
	}
	return out
}

// chance is a source of its own for each circuit and use, so that one task does not shift another's.
func (m *maker) chance(use uint64) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(m.circuit.Title))
	return rand.New(rand.NewPCG(m.seed^h.Sum64(), use))
}

// stand draws how the machine stands where nobody says: two-state parts on, the others a round value away from the ends
// of their range.
func (m *maker) stand() {
	random := m.chance(1)
	for i := range m.circuit.Devices {
		d := &m.circuit.Devices[i]
		draw := random.Float64()
		if _, known := m.job.SetOf(circuits.Reading{}, d); known || !d.Kind.HasStimulus() {
			continue
		}
		if d.Kind.TwoState() {
			m.job.Assume[d.Name] = 1
			continue
		}
		width := d.Range[1] - d.Range[0]
		step := 5 * math.Pow(10, math.Floor(math.Log10(width/10)))
		set := math.Round((d.Range[0]+width*(0.25+0.5*draw))/step) * step
		m.job.Assume[d.Name] = min(max(digits(set, 6), d.Range[0]), d.Range[1])
	}
}
