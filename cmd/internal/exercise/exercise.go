package exercise

import (
	"ohmtrail/circuits"
)

// Exercise is one machine with a hidden fault. All but Hidden is open: it is what a student sees.
type Exercise struct {
	Name         string // of the file, without its ending: "07"
	Machine      string
	Complaint    string // in an operator's words
	Codes        []string
	Intermittent bool                 // the complaint comes and goes
	Stands       []circuits.SetDevice // how the machine stands: the stimuli of its sensors, which anybody can see
	Questions    []string             // what the operator can be asked; the answers are Hidden
	CircuitName  string               // as the trainer named it, for messages
	CircuitText  string               // the whole circuit file
	Circuit      *circuits.Circuit    // the same, parsed
	Meter        circuits.Meter

	Hidden Hidden
}

// Hidden is what only the machine and the marking know. In a file it is sealed.
type Hidden struct {
	Fault      circuits.Fault // with ohms
	Seed       uint64         // of the machine's tolerances and its meter's errors
	Duty       float64        // share of the time that the fault is there; 1 for one that stays
	Level      int            // 1 to 5, from Difficulty
	Difficulty Difficulty
	Family     string                // exercises of one family look alike from outside and are at fault at different places
	Answers    []string              // by question
	Useful     []bool                // by question: the answer speaks of the fault
	Seen       []circuits.Inspection // where there is anything to see: what the fault left, and harmless damage elsewhere
	Plan       Way                   // the planner's way on this very machine: the proof that it can be found
	HalfSplit  Way                   // the way of somebody who parts the odds most evenly, whatever that costs
}

// Way is how an order of readings came to an end on a machine.
type Way struct {
	Readings    []string // in words: leads and conditions
	Minutes     float64
	Done        bool    // the planner said that no more need be measured
	Right       bool    // the true fault is in the leading group then (both of two, one after the other)
	Left        int     // places that are open at the end, with 2 % or more each: to be tried in order where there are several
	Place       string  // the leading place at the end
	PlaceRight  bool    // it is the true one
	Probability float64 // of the leading group at the end
}

// Difficulty is what makes an exercise hard, computed on its very machine.
type Difficulty struct {
	Readings     int     // that the planner's way takes
	FirstPlaces  float64 // places that are open after the codes and the module's own values: 2 to the power of their entropy
	Hides        bool    // every voltage without load looks healthy, and one under load does not
	Intermittent bool
	Double       bool
}

// Job is an exercise as a job without readings: what a student knows before the first one.
func (x *Exercise) Job() *circuits.Job {
	j := &circuits.Job{File: x.Name, CircuitName: x.CircuitName, Circuit: x.Circuit, Machine: x.Machine, Complaint: x.Complaint, Codes: x.Codes,
		Intermittent: x.Intermittent, AsDrawn: true, Meter: x.Meter, Assume: map[string]float64{}}
	for _, s := range x.Stands {
		j.Assume[s.Device] = s.Set
	}
	return j
}
