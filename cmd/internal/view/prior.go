package view

import (
	"fmt"
	"strings"

	"ohmtrail/solver/hypothesis"
)

// priorReason says what a hypothesis has its weight before any reading from.
func priorReason(r hypothesis.Reason) string {
	words := weighedBy(r)
	for _, s := range r.Seen {
		words += fmt.Sprintf(", seen %s ×%g", s.What, s.Times)
	}
	return words
}

func weighedBy(r hypothesis.Reason) string {
	switch r.Of {
	case hypothesis.OfHealthy:
		return "nothing wrong, or not any more"
	case hypothesis.OfUnlisted:
		return "something that no hypothesis describes"
	case hypothesis.OfWire:
		words := fmt.Sprintf("wire, %g m", r.LengthM) + multiplied(", risk", r.Risk)
		return strings.Join(append([]string{words}, r.Crimps...), ", with its crimp at ")
	case hypothesis.OfContact:
		return "connector way" + multiplied(", its loom's risk", r.Risk)
	case hypothesis.OfStud:
		return "ground stud"
	case hypothesis.OfWiresBeside:
		return "wires side by side"
	case hypothesis.OfWaysBeside:
		return "ways of one connector"
	case hypothesis.OfWaysChanged:
		return "two ways changed over, as after work on the plug"
	case hypothesis.OfPin:
		return fmt.Sprintf("module pin, %g of all wiring shared by the pins", r.Share)
	}
	if r.Share == 0 {
		return string(r.Part)
	}
	return fmt.Sprintf("%s, %g of all wiring shared by the sensors and loads", r.Part, r.Share)
}

// multiplied says a factor, and nothing for 1.
func multiplied(what string, by float64) string {
	if by == 1 {
		return ""
	}
	return fmt.Sprintf("%s ×%g", what, by)
}
