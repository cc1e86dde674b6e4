package view

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/safety"
)

// Danger says what would be hurt by a reading, with the current or the volts that would do it.
func Danger(c *circuits.Circuit, d safety.Danger) string {
	amps, most := roughly(d.Amps, "A"), roughly(d.MostAmps, "A")
	switch d.Kind {
	case safety.JumperAmps:
		return fmt.Sprintf("a lead from %s to %s would carry %s: a test lead bears %s", d.Lead[0], d.Lead[1], amps, most)
	case safety.LoadAmps:
		return fmt.Sprintf("%s from %s to %s would draw %s: a test lead bears %s", models.SI(d.Ohms, "Ω"), d.Lead[0], d.Lead[1], amps, most)
	case safety.LoadWatts:
		return fmt.Sprintf("%s from %s to %s would turn %s into heat (%s): take a lamp or resistor that is made for it, or more ohms", models.SI(d.Ohms, "Ω"), d.Lead[0], d.Lead[1], roughly(d.Watts, "W"), amps)
	case safety.MeterAmps:
		return fmt.Sprintf("%s would flow through the meter at %s, which bears %s: put a current clamp round the wire", amps, d.Place, most)
	case safety.FuseAmps:
		return fmt.Sprintf("%s through the %s fuse %s", amps, plainNumber(d.MostAmps)+" A", d.Place.Place)
	case safety.ReferenceAmps:
		return fmt.Sprintf("%s asked of %s, which gives %s", amps, d.Place, most)
	case safety.Unsteady:
		return "with these leads the circuit finds no steady state, so what would flow cannot be reckoned"
	case safety.PinVolts:
		return fmt.Sprintf("%s at the module's pin %s, which is made for %s at the most", roughly(d.Volts, "V"), d.Place, roughly(d.MostVolts, "V"))
	}
	return fmt.Sprintf("%s through the driver %s, which carries %s at the most", amps, d.Place, most)
}

// Dangers is one sentence of all that would be hurt by a reading, without its full stop; "" where nothing would.
func Dangers(c *circuits.Circuit, ds []safety.Danger) string {
	var out []string
	for _, d := range ds {
		out = append(out, Danger(c, d))
	}
	return strings.Join(out, "; ")
}

// roughly is a value with two digits: what would flow depends on leads and battery.
func roughly(x float64, unit string) string {
	if x > 0 {
		step := math.Pow(10, math.Floor(math.Log10(x))-1)
		x = math.Round(x/step) * step
	}
	number, prefixed, _ := strings.Cut(models.SI(x, unit), " ")
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return number + " " + prefixed
}

// Unsafe are the readings of a job that would hurt something, by its circuit as drawn, as problems of the file.
func Unsafe(j *circuits.Job) circuits.Problems {
	var out circuits.Problems
	for i, r := range j.Readings {
		if words := Dangers(j.Circuit, safety.Look(j.Circuit, r, j.Known(r))); words != "" {
			out = append(out, circuits.Problem{File: j.File, Line: r.Line, Where: fmt.Sprintf("reading %d", i+1), What: words, Hint: "take a lead or load off, or more ohms"})
		}
	}
	return out
}
