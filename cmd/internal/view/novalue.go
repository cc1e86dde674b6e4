package view

import (
	"fmt"

	"ohmtrail/models"
	"ohmtrail/solver/network"
)

// NoValue says why a reading has no value, and nothing where it has one.
func NoValue(r network.Reason) string {
	switch r.Kind {
	case network.Floating:
		return "floating: nothing ties these points to B-"
	case network.Unpowered:
		return "module not powered"
	case network.Unsteady:
		return "no steady value: the circuit keeps switching"
	case network.Live:
		return fmt.Sprintf("live circuit: %s between the leads", models.Volts(r.Volts))
	case network.KeyOn:
		return "ohms with the key on count for nothing"
	}
	return ""
}
