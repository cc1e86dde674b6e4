package view

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Advice is what a good technician would also say about a ranked job beside its plan, in words.
func Advice(r *rank.Ranking, p plan.Plan) []string {
	var out []string
	for _, a := range plan.AdviseBeside(r, p) {
		out = append(out, adviceWords(r, a))
	}
	return out
}

func adviceWords(r *rank.Ranking, a plan.Advice) string {
	switch a.Kind {
	case plan.CommonCause:
		return fmt.Sprintf("One place would explain all %d codes at once: %s. Look at what the sensors share (supply, return, splice) before the sensors.",
			len(r.Job.Codes), strings.Join(names(a.Faults), ", or "))
	case plan.SetsNoCode:
		return fmt.Sprintf("%s sets no code here: that no code is set clears nothing.", a.Faults[0])
	case plan.InnocentCodes:
		return fmt.Sprintf("%s sets %s although the sensors that these codes name are good.", a.Faults[0], strings.Join(a.Codes, ", "))
	case plan.CollapsedSupply:
		return fmt.Sprintf("The reference at %s is pulled down. Part its branches one at a time and watch it: %s. On parting the guilty branch it comes back to about %s. Then ask the second question: plug in the branch without its sensor; if it collapses again the branch is shorted, if not the sensor is.",
			a.Point, strings.Join(a.Names, ", then "), models.Volts(a.Volts))
	case plan.LoadTest:
		return fmt.Sprintf("Load the feed of %s: unplug %s, put %s (half a watt will do) from %s to B-, and read there: about %s with a good feed, about %s with %s in it. Without the load both read alike. A resistor only, never a lamp on a module's supply.",
			a.Names[0], a.Names[0], models.SI(a.Ohms, "Ω"), a.Point, models.Volts(a.Good), models.Volts(a.Bad), models.SI(a.BadOhms, "Ω"))
	case plan.Matters:
		if len(a.Shifts) == 0 {
			return fmt.Sprintf("%s at %s changes no sensor's value by more than a part in five hundred here: true, but not the complaint.", models.SI(a.Ohms, "Ω"), a.Location)
		}
		return fmt.Sprintf("%s at %s matters here. %s.", models.SI(a.Ohms, "Ω"), a.Location, shiftWords(a.Shifts))
	case plan.FuseGone:
		return fmt.Sprintf("If %s is gone it went for a reason: find the short before the next fuse, which would go at once. Fuse out, key off: ohms from its load side to B-, and unplug what it feeds one part at a time.", a.Names[0])
	case plan.Disturbed:
		return fmt.Sprintf("Parted in this job, so disturbed and still suspect even if all is well now: %s. Break and make them again before you call it repaired.", strings.Join(a.Names, ", "))
	case plan.NotYet:
		return fmt.Sprintf("Do not replace %s yet: its own wires and contacts still hold %.0f %% of the odds. Clear both ends of each first.", a.Names[0], 100*a.Probability)
	case plan.LookAt:
		what := "spread or pushed-out terminals, crust, water"
		if a.Location.IsWire() {
			what = "rubbed or stretched insulation, recent work, a hard bend"
		}
		minutes := fmt.Sprintf("%g minutes", a.Minutes)
		if a.Minutes == 1 {
			minutes = "1 minute"
		}
		return fmt.Sprintf("Look at %s first (%s, %.0f %% of the odds): %s. Enter what you see as an [[inspection]].", a.Location, minutes, 100*a.Probability, what)
	case plan.CameBack:
		words := ReturningWords(r.Returning)
		return strings.ToUpper(words[:1]) + words[1:] + "."
	case plan.ManyLooks:
		return fmt.Sprintf("The symptom comes and goes: a clean look does not clear a place. A fault that is there 5 %% of the time needs %d looks for a 95 %% chance of one catch; watch the value while the harness is moved section by section instead.", plan.LooksFor(0.05, 0.95))
	case plan.ReadAgain:
		reading := r.Job.Readings[a.Reading]
		hint := "take it again"
		if reading.Quantity != circuits.ScanVolts && (math.Abs(reading.Value) < 0.05 || reading.OL) {
			hint = "take it again, with the same probe on a point you know first: a probe that missed shows this too"
		}
		return fmt.Sprintf("Reading %d (%s, %s) fits nothing else: %s.", a.Reading+1, reading.At, readValue(reading), hint)
	}
	panic(fmt.Sprintf("no words for advice of kind %d", a.Kind))
}

// shiftWords say what a resistance makes of the sensors' values, sensor by sensor.
func shiftWords(shifts []plan.Shift) string {
	var parts []string
	for i, s := range shifts {
		words := fmt.Sprintf("%s shows as %s", InOwnUnit(s.Device, s.Set), InOwnUnit(s.Device, s.Shown))
		if s.Lost {
			words = fmt.Sprintf("%s is lost, the module sees %s", InOwnUnit(s.Device, s.Set), models.Volts(s.Volts))
		}
		if i > 0 && shifts[i-1].Device == s.Device {
			parts[len(parts)-1] += ", " + words
		} else {
			parts = append(parts, s.Device.Name+": "+words)
		}
	}
	return strings.Join(parts, "; ")
}

// readValue is a reading's value in words.
func readValue(r circuits.Reading) string {
	switch {
	case r.OL && !r.Pair:
		return "OL"
	case r.Quantity == circuits.Volts || r.Quantity == circuits.ScanVolts:
		return models.Volts(r.Value)
	}
	return models.SI(r.Value, r.Quantity.Unit())
}
