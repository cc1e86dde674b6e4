package trial

import (
	"math/rand/v2"
	"slices"
)

// Extra is something about a machine that no file and no width knows, beside its fault.
type Extra string

// The extras that a share of the machines of a trial have. How much each is off is ours.
const (
	NoExtra        Extra = ""
	MeterOff       Extra = "meter 2 % off"
	PoorContacts   Extra = "every contact 0.1 Ω"
	UndrawnSplice  Extra = "an undrawn splice of 1 Ω"
	MovingStimulus Extra = "a stimulus that moves"
)

// extras are those that are drawn from.
var extras = []Extra{MeterOff, PoorContacts, UndrawnSplice, MovingStimulus}

// movesShare is how far a stimulus that moves is off at each reading, up or down, as a share of its range.
const movesShare = 0.05

// give gives a machine a share of which have one an extra.
func (v *Vehicle) give(share float64, random *rand.Rand) {
	if random.Float64() >= share {
		return
	}
	v.Extra = extras[random.IntN(len(extras))]
	own := *v.circuit
	own.Contacts, own.Wires = slices.Clone(own.Contacts), slices.Clone(own.Wires)
	v.circuit = &own
	switch v.Extra {
	case MeterOff:
		v.gain = []float64{0.98, 1.02}[random.IntN(2)]
	case PoorContacts:
		for i := range own.Contacts {
			own.Contacts[i].Ohms += 0.1
		}
	case UndrawnSplice:
		if len(own.Wires) > 0 {
			own.Wires[random.IntN(len(own.Wires))].Ohms++
		}
	}
}

// moved are the stimuli at a reading of a machine where they move: nobody has set them, and each is somewhere near.
func (v *Vehicle) moved(stimuli map[string]float64) map[string]float64 {
	for i := range v.circuit.Devices {
		d := &v.circuit.Devices[i]
		if set, there := stimuli[d.Name]; there && set == v.Stimuli[d.Name] && !d.HasSet && !d.Kind.TwoState() {
			by := (2*v.random.Float64() - 1) * movesShare * (d.Range[1] - d.Range[0])
			stimuli[d.Name] = min(max(set+by, d.Range[0]), d.Range[1])
		}
	}
	return stimuli
}
