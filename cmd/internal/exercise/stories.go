package exercise

import (
	"math/rand/v2"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
)

// visible is the chance that a fault leaves something to be seen: many breaks lie inside sound insulation.
const visible = 0.4

// damage is what may be seen at a fault of a kind; nil where nothing is.
func damage(f circuits.Single) []string {
	switch f.Kind {
	case circuits.Open:
		if f.At.IsWire() {
			return []string{"chafed"}
		}
		return []string{"pulled", "spread"}
	case circuits.HighResistance:
		if f.At.IsWire() {
			return []string{"repaired"}
		}
		return []string{"corroded", "loose", "burnt"}
	case circuits.ShortToGround, circuits.ShortToVoltage:
		return []string{"chafed"}
	case circuits.ShortBetween:
		if f.At.IsWire() {
			return []string{"chafed"}
		}
		return []string{"wet", "corroded"}
	case circuits.Swapped:
		return []string{"repaired"}
	}
	return nil
}

// harmless is damage that does nothing, seen at another place.
var harmless = []string{"corroded", "chafed", "wet", "repaired", "loose"}

// tell fills in what is to be seen and what the operator answers.
func tell(x *Exercise, others, sensor string, random *rand.Rand) {
	h := &x.Hidden
	var truths []string
	for _, f := range []circuits.Single{h.Fault.First, h.Fault.Second} {
		if f.Kind == circuits.Healthy {
			continue
		}
		truths = append(truths, f.At.String(), f.To.String())
		if all := damage(f); all != nil && random.Float64() < visible {
			h.Seen = append(h.Seen, circuits.Inspection{At: f.At, Seen: all[random.IntN(len(all))]})
		}
	}
	var elsewhere []circuits.Location
	for _, k := range x.Circuit.Contacts {
		elsewhere = append(elsewhere, k.Location)
	}
	for _, w := range x.Circuit.Wires {
		elsewhere = append(elsewhere, w.Location)
	}
	elsewhere = slices.DeleteFunc(elsewhere, func(l circuits.Location) bool { return slices.Contains(truths, l.String()) })
	decoy := circuits.Location{}
	if len(elsewhere) > 0 {
		decoy = elsewhere[random.IntN(len(elsewhere))]
		h.Seen = append(h.Seen, circuits.Inspection{At: decoy, Seen: harmless[random.IntN(len(harmless))]})
	}
	a := answers{x: x, random: random, decoy: decoy, others: others, sensor: sensor}
	for _, q := range words.Question {
		answer, useful := a.answer(q)
		x.Questions = append(x.Questions, q.Ask)
		h.Answers, h.Useful = append(h.Answers, answer), append(h.Useful, useful)
	}
}

// answers are the operator's.
type answers struct {
	x      *Exercise
	random *rand.Rand
	decoy  circuits.Location
	others string
	sensor string // the part that the complaint is about, by name; "" where it is about none
}

// answer answers one question truly; useful where the answer speaks of the fault.
func (a answers) answer(q questionWords) (answer string, useful bool) {
	truth := a.x.Hidden.Fault.First
	fill := func(words, key, value string) string { return strings.ReplaceAll(words, key, value) }
	draw := a.random.Float64() // drawn for each, so that the next answer does not hang on this one
	switch q.About {
	case "comes":
		if a.x.Intermittent {
			return q.Yes, true
		}
		return q.No, false
	case "work":
		switch {
		case truth.Kind == circuits.Swapped || draw < 0.3:
			return fill(q.Yes, "{place}", view.Place(a.x.Circuit, circuits.PointLocation(circuits.Point{Place: truth.At.From.Place}))), true
		case draw < 0.6 && !a.decoy.IsZero():
			return fill(q.Yes, "{place}", view.Place(a.x.Circuit, circuits.PointLocation(circuits.Point{Place: a.decoy.From.Place}))), false
		}
		return q.No, false
	case "parts":
		if a.sensor != "" && draw < 0.5 && !inside(a.x.Hidden.Fault, a.sensor) {
			return fill(q.Yes, "{label}", a.x.Circuit.Label(a.sensor)), true
		}
		return q.No, false
	case "others":
		if a.others != "" {
			return fill(q.Yes, "{others}", a.others), true
		}
	}
	return q.No, false
}

// inside tells whether a fault is inside a part.
func inside(f circuits.Fault, device string) bool {
	part := circuits.PointLocation(circuits.Point{Place: device})
	return slices.Contains(hypothesis.PlaceOf(f).Locations(), part)
}
