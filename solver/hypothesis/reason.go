package hypothesis

import "ohmtrail/circuits"

// Source is what a prior weight is reckoned from.
type Source uint8

// The sources of weights.
const (
	OfHealthy     Source = iota // a fixed share of the whole
	OfUnlisted                  // likewise
	OfWire                      // its length, its risk, its crimps in splices
	OfContact                   // a mated way, at the risk of its loom
	OfStud                      // one ground stud
	OfWiresBeside               // two wires in one bundle
	OfWaysBeside                // two ways of one connector
	OfWaysChanged               // likewise, plugged in the wrong way round
	OfPart                      // a part by itself, or its share of all wiring
	OfPin                       // a module pin's share of all wiring
)

// Reason is what a hypothesis has its prior weight from.
type Reason struct {
	Of      Source
	LengthM float64             // of a wire
	Risk    float64             // by which the weight of a wire or contact is multiplied
	Crimps  []string            // the splices in which a wire ends
	Part    circuits.DeviceKind // of a part
	Share   float64             // of all wiring, shared by all places of this source; 0 where nothing is shared
	Seen    []Seen              // what an eye found there
}

// Seen is what was seen at a place, and by how much it multiplies the weight.
type Seen struct {
	What  string
	Times float64
}
