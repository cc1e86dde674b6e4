package circuits

// WriteUp is what a report says of a job beside its readings. Every field may be empty: nobody recorded it.
type WriteUp struct {
	Author, Workshop, Customer string
	Date                       string // YYYY-MM-DD
	Reproduced                 Answer // was the complaint seen, and how
	Minutes                    []Work // by kind of work, in the order of the file
}

// Work is minutes spent on one kind of work, in the author's own words for it.
type Work struct {
	Kind    string
	Minutes float64
}

// Repair is what was repaired, and what the technician found on the way.
type Repair struct {
	Line       int
	Fault      Fault    // what was found, where the file names a fault
	At         Location // the place, where the file names one without a fault
	Done       string   // what was cut, joined, replaced; how it was sealed and routed
	WhyFailed  string
	Neighbours Answer   // were the other wires of the bundle looked at
	Retested   Answer   // was the complaint tried again under its own conditions
	CodesAfter []string // codes that were set after the repair
	CodesRead  bool     // the codes were read after the repair, whether or not any was set
}

// Recorded tells whether the file says anything of a repair.
func (r Repair) Recorded() bool { return r.Line > 0 }

// Place is the place of the repair: of its fault, or as it was named; zero where none was.
func (r Repair) Place() Location {
	if !r.At.IsZero() {
		return r.At
	}
	return r.Fault.First.At
}

// Answer is yes, no, or words that say how; the zero Answer is none.
type Answer struct {
	Given bool
	Yes   bool   // where there are no words
	Words string // "" for a plain yes or no
}
