// Package draw turns a circuit, and what a diagnosis found out about it, into a drawing.
//
// The way of a drawing: build reads the circuit into parts and strands, columns says how far to the right each part
// stands, arrange says in which order things stand in a column, place gives them coordinates, and paint turns the
// result into shapes, which SVG and PNG write out. DOT writes the same parts and strands as Graphviz text.
//
// The layout is our own because linking go-graphviz v0.2.10 costs every command of the program, also those that draw
// nothing, about 28 ms and 17 MB at start (0.7 s with a cold cache, which it keeps in a shared temporary folder), and
// because its curves do not keep one row a run. The tests still render the DOT text with it.
//
// Nothing here computes volts or probabilities: Marks carries finished values. The same circuit and marks give the
// same bytes.
package draw

import "ohmtrail/circuits"

// Marks is what is drawn over the bare circuit. The zero Marks draws the circuit alone. A pyrotechnic circuit carries
// its own caution over those given.
type Marks struct {
	Title    string    // a line under the circuit's own title; "" for none
	Suspects []Suspect // the likeliest first; the drawing numbers them 1, 2, …
	Tests    []Test
	Cautions []string          // hot or moving parts, …; each is one line of the caution box
	Legend   bool              // explain the colours and signs in use at the foot of the drawing
	LeftOut  *circuits.LeftOut // what a part of a circuit does not show of the whole; nil where the whole is drawn
}

// Suspect is a place that may be at fault.
type Suspect struct {
	Location    circuits.Location
	Other       circuits.Location // the second place of a short between two, or of two swapped; zero for none
	Probability float64           // 0 to 1, drawn as the filled part of the tag's bar
	Words       string            // such as "open here? 71 %"
}

// Test is a point at which a reading was taken or is planned. Its values are finished text such as "4.98 V"; an
// empty one is left out.
type Test struct {
	Point    circuits.Point
	Measured string
	Healthy  string // what a healthy circuit would show
	Leading  string // what the leading fault would show
}

// pyrotechnicCaution stands on every drawing of such a circuit.
const pyrotechnicCaution = "Pyrotechnic circuit: no ohmmeter, no test lamp, no load. Follow the maker's procedure."

// cautions are the lines of the caution box.
func cautions(c *circuits.Circuit, m Marks) []string {
	if !c.Pyrotechnic {
		return m.Cautions
	}
	return append([]string{pyrotechnicCaution}, m.Cautions...)
}
