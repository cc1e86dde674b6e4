package circuits

import "ohmtrail/models"

// Quantity is what a reading measures.
type Quantity string

// The quantities of a reading.
const (
	Volts     Quantity = "volts"
	Ohms      Quantity = "ohms"
	Amps      Quantity = "amps"
	ScanVolts Quantity = "scan_volts"
)

// Quantities lists the quantities in the order of the contract.
func Quantities() []string { return []string{"volts", "ohms", "amps", "scan_volts"} }

// Unit is the unit's symbol.
func (q Quantity) Unit() string {
	switch q {
	case Ohms:
		return "Ω"
	case Amps:
		return "A"
	}
	return "V"
}

// Key is the position of the ignition or main key.
type Key string

// The positions of the key.
const (
	KeyOff Key = "off"
	KeyOn  Key = "on"
	KeyRun Key = "run"
)

// Job is one machine's complaint, codes and readings on a circuit.
type Job struct {
	File         string
	CircuitName  string // as the file names it
	Circuit      *Circuit
	Machine      string
	Complaint    string
	Codes        []string
	Intermittent bool
	AsDrawn      bool // the machine is built from the diagram: its numbers are off by their tolerances alone, as an exercise's are
	Meter        Meter
	Assume       map[string]float64 // stimuli known for this job, by device
	Readings     []Reading
	Inspections  []Inspection
	Posts        PostVolts // the battery of Circuit has them already
	Moves        []string  // devices whose stimulus is free at each reading
	Tried        []Tried
	WriteUp      WriteUp
	Repair       Repair
	Verification []Reading // taken after the repair; nothing weighs them
}

// Meter is the instrument in use, with its bounds of error.
type Meter struct {
	InputOhms float64
	Volts     models.Accuracy
	Ohms      models.Accuracy
	Amps      models.Accuracy
	MaxOhms   float64 // beyond it the meter shows OL
}

// DefaultMeter is the hand meter of the contract.
func DefaultMeter() Meter {
	return Meter{InputOhms: 10e6, Volts: models.Accuracy{Pct: 0.5, Plus: 0.01}, Ohms: models.Accuracy{Pct: 0.9, Plus: 0.3},
		Amps: models.Accuracy{Pct: 1.5, Plus: 0.01}, MaxOhms: 40e6}
}

// Accuracy is the bound of error that goes with a quantity; a scan value has none beyond its step.
func (m Meter) Accuracy(q Quantity) models.Accuracy {
	switch q {
	case Volts:
		return m.Volts
	case Ohms:
		return m.Ohms
	case Amps:
		return m.Amps
	}
	return models.Accuracy{}
}

// State is what the machine is put into for a reading.
type State struct {
	Key       Key
	Unplugged []string    // connectors apart, as the job names them
	Jumpers   [][2]Point  // each JumperOhms
	Loads     []LoadLead  // test resistors or lamps
	Set       []SetDevice // stimuli for this reading, by device name in rising order
}

// JumperOhms is the resistance of a jumper lead.
const JumperOhms = 0.02

// AmmeterOhms is the resistance of the meter in a current reading.
const AmmeterOhms = 0.02

// LoadLead is a test load between two points.
type LoadLead struct {
	From, To Point
	Ohms     float64
}

// SetDevice is a known stimulus of one device.
type SetDevice struct {
	Device string
	Set    float64
	Moved  bool    // during the reading, from Set to To: what was seen are the two ends
	To     float64 // where Moved
}

// Symptom says whether an intermittent fault was there at a reading.
type Symptom string

// What a reading can say of an intermittent symptom.
const (
	SymptomUnknown Symptom = ""
	SymptomThere   Symptom = "there"
	SymptomAway    Symptom = "away"
)

// Reading is one measurement, taken or planned.
type Reading struct {
	Line     int
	At       Location // a point; for Amps the contact or wire that the meter stands in for
	To       Point    // black lead; not used by Amps and ScanVolts
	Quantity Quantity
	State    State
	Taken    bool
	Value    float64 // the value read, or the lower of the two seen
	High     float64 // the higher of the two seen; equal to Value where only one was
	Pair     bool    // two values were seen while Wiggle was moved or by themselves
	OL       bool    // an ohms reading beyond the meter's range
	Wiggle   string
	Symptom  Symptom
	Sound    bool // taken on another machine of the same kind, which works
	Note     string
}

// Point is the reading's red lead.
func (r Reading) Point() Point { return r.At.From }

// Inspection is something seen or felt at a place.
type Inspection struct {
	Line int
	At   Location
	Seen string
}

// SeenWords lists what an inspection can have seen.
func SeenWords() []string {
	return []string{"clean", "spread", "loose", "corroded", "wet", "chafed", "burnt", "pulled", "repaired"}
}

// Sweep is from where to where a device's stimulus was moved during the reading.
func (r Reading) Sweep(device string) (from, to float64, moved bool) {
	for _, s := range r.State.Set {
		if s.Device == device && s.Moved {
			return s.Set, s.To, true
		}
	}
	return 0, 0, false
}

// Tried is something that was done about the symptom, and what came of it.
type Tried struct {
	Line   int
	At     Location
	Done   string
	Result Result
}

// Result is what the symptom did after something was tried.
type Result string

// What a symptom can do.
const (
	ResultRemains Result = "remains"
	ResultGone    Result = "gone"
	ResultChanged Result = "changed"
)

// Results lists the results.
func Results() []string {
	return []string{string(ResultRemains), string(ResultGone), string(ResultChanged)}
}

// PostVolts is what the meter showed between the battery's posts today, with the key on and with the engine running; 0
// where nobody looked.
type PostVolts struct{ Volts, RunningVolts float64 }

// Known are the stimuli that a job knows at a reading, by device.
func (j *Job) Known(r Reading) map[string]float64 {
	out := map[string]float64{}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if v, ok := j.SetOf(r, d); ok && d.Kind.HasStimulus() {
			out[d.Name] = v
		}
	}
	return out
}

// SetOf is the stimulus of a device in a reading of this job: the reading's own, else the job's, else the circuit's;
// ok is false where nobody knows it. Of a stimulus that was moved during the reading it is where it began.
func (j *Job) SetOf(r Reading, d *Device) (set float64, ok bool) {
	for _, s := range r.State.Set {
		if s.Device == d.Name {
			return s.Set, true
		}
	}
	if v, known := j.Assume[d.Name]; known && !r.Sound {
		return v, true
	}
	return d.Set, d.HasSet
}
