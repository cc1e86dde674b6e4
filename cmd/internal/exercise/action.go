package exercise

import "ohmtrail/circuits"

// Kind is what a student does.
type Kind string

// The kinds of action.
const (
	Measure Kind = "reading" // one reading with a meter or the scan tool
	Look    Kind = "look"    // look at or feel a place
	Ask     Kind = "ask"     // ask the operator one of the exercise's questions
	Repair  Kind = "repair"  // put a place right (a part: replace it) and try the machine
	Find    Kind = "find"    // name the fault: this ends the play
)

// Action is one thing that a student wants to do. Parse makes one of a line; a page may fill one in, with places that
// the circuit resolves.
type Action struct {
	Kind     Kind
	Reading  circuits.Reading  // Measure: without a value
	Watch    bool              // Measure: watched for its lowest and highest value
	Lamp     bool              // Measure: one of its loads is a lamp
	At       circuits.Location // Look, Repair
	Question int               // Ask: index into Exercise.Questions
	Fault    circuits.Fault    // Find: without ohms
	Remedy   string            // Find: what is to be done about it, in the student's own words
	Reason   string            // why it is done, in the student's own words; may be empty, and is marked
	Line     string            // as it would be typed; a play is kept as these lines
}

// Reply is what came of an action.
type Reply struct {
	Refused string           // why a workshop would not let it be done; "" where it was done
	Unsafe  bool             // refused because it could hurt somebody or something
	Taken   bool             // Measure: there is a value, in Reading
	Reading circuits.Reading // Measure: with its value
	Words   string           // what came of it, in words: "4.98 V"
	Minutes float64          // that it took; nothing where it was refused
	Total   float64          // minutes of the play so far, this one included
	Cured   bool             // Repair: the fault, or one of two, is gone
}

// Step is an action and what came of it.
type Step struct {
	Action Action
	Reply  Reply
}
