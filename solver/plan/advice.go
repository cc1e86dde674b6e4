package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/rank"
)

// Advice is what a good technician would also say about a job as it stands, computed and in words: what explains all
// codes at once, which codes are innocent, in which order to part a collapsed supply, how to load a suspect feed,
// whether a resistance matters here, what has been disturbed, what must not be replaced yet, what to look at.
func Advice(r *rank.Ranking) []string {
	if r.Job.Circuit.Pyrotechnic {
		return nil // the caution says all that may be said
	}
	var out []string
	for _, part := range []func(*rank.Ranking) []string{commonCause, innocentCodes, collapsedSupply, loadTest, matters, disturbed,
		notYet, lookAt, comesAndGoes, readAgain} {
		out = append(out, part(r)...)
	}
	return out
}

// lead is the likeliest fault that is one, with at least that much probability.
func lead(r *rank.Ranking, least float64) (rank.Candidate, bool) {
	for _, c := range r.Candidates {
		if c.Fault.Kind != circuits.Healthy && c.Fault.Kind != circuits.Unlisted {
			return c, c.Probability >= least
		}
	}
	return rank.Candidate{}, false
}

// worstOhms is the fault's resistance to reckon with: what the readings leave, else its worst.
func worstOhms(c rank.Candidate) circuits.Single {
	f := c.Fault
	switch {
	case !f.Kind.TakesOhms():
		return f
	case c.Ohms != nil && c.Probability > 0.05:
		return f.WithOhms(c.Ohms.Best)
	case f.Kind == circuits.HighResistance:
		return f.WithOhms(1e5)
	}
	return f.WithOhms(0)
}

// commonCause names the places that would explain all codes at once.
func commonCause(r *rank.Ranking) []string {
	if len(r.Codes()) < 2 {
		return nil
	}
	var names []string
	for _, c := range r.Candidates[:min(len(r.Candidates), 60)] {
		f := worstOhms(c)
		if c.Whole().IsDouble() || f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted {
			continue
		}
		if r.SetsAllCodes(f) {
			names = append(names, c.Name())
		}
		if len(names) == 3 {
			break
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("One place would explain all %d codes at once: %s. Look at what the sensors share (supply, return, splice) before the sensors.",
		len(r.Job.Codes), strings.Join(names, ", or "))}
}

// innocentCodes says which codes the leading fault sets, and that they may name a sensor which is good.
func innocentCodes(r *rank.Ranking) []string {
	c, ok := lead(r, 0.3)
	if !ok || c.Whole().IsDouble() || len(r.Job.Circuit.Codes()) == 0 {
		return nil
	}
	sets := r.CodesSetBy(worstOhms(c))
	if len(sets) == 0 {
		return []string{fmt.Sprintf("%s sets no code here: that no code is set clears nothing.", c.Name())}
	}
	lines := conductors(r.Job.Circuit)
	var innocent []string
	for _, m := range r.Job.Circuit.Modules {
		for _, p := range m.Pins {
			for _, l := range []*circuits.Limit{p.Below, p.Above} {
				if l != nil && sets[l.Code] && !onLine(lines, p.Point(), c.Fault, r.Job.Circuit) {
					innocent = append(innocent, l.Code)
				}
			}
		}
	}
	if len(innocent) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%s sets %s although the sensors that these codes name are good.", c.Name(), strings.Join(innocent, ", "))}
}

// onLine tells whether a fault lies on the conductor of a pin, or in a part that it leads to.
func onLine(lines map[circuits.Point]*conductor, pin circuits.Point, f circuits.Single, c *circuits.Circuit) bool {
	k := lines[pin]
	if k == nil {
		return false
	}
	for _, t := range k.terminals {
		if f.At.From.Place == t.Place && (f.Kind == circuits.DeviceInside || f.At.From.Terminal() == t) || f.At.IsWire() && f.At.To == t {
			return true
		}
	}
	for _, r := range c.Runs {
		mine := false
		for _, p := range r.Path {
			mine = mine || p == pin
		}
		for _, w := range r.Wires {
			if mine && (c.Wires[w].Location == f.At || c.Wires[w].Location == f.To) {
				return true
			}
		}
		for _, p := range r.Path {
			if mine && !f.At.IsWire() && f.At.From.Terminal() == p {
				return true
			}
		}
	}
	return false
}

// disturbed names the connectors parted in this job: a wiped contact may look good now.
func disturbed(r *rank.Ranking) []string {
	var names []string
	for _, reading := range r.Job.Readings {
		for _, u := range reading.State.Unplugged {
			if reading.Taken && !slices.Contains(names, u) {
				names = append(names, u)
			}
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("Parted in this job, so disturbed and still suspect even if all is well now: %s. Break and make them again before you call it repaired.", strings.Join(names, ", "))}
}

// notYet warns of replacing a part or module while a wire of it is not cleared.
func notYet(r *rank.Ranking) []string {
	c, ok := lead(r, 0.1)
	if !ok || c.Fault.Kind != circuits.DeviceInside && c.Fault.Kind != circuits.ModuleInside {
		return nil
	}
	place := c.Fault.At.From.Place
	if r.Places()[0].Probability > confirmed {
		return nil
	}
	open := 0.0
	for _, k := range r.Candidates {
		if (k.Fault.At.From.Place == place || k.Fault.At.To.Place == place) && k.Fault.Kind != circuits.DeviceInside && k.Fault.Kind != circuits.ModuleInside {
			open += k.Probability
		}
	}
	if open > 0.02 {
		return []string{fmt.Sprintf("Do not replace %s yet: its own wires and contacts still hold %.0f %% of the odds. Clear both ends of each first.", place, 100*open)}
	}
	return nil
}

// lookAt suggests what to look at: the cheapest of the leading places whose fault can be seen or felt.
func lookAt(r *rank.Ranking) []string {
	if r.Job.Circuit.Pyrotechnic {
		return nil
	}
	for _, p := range r.Places() {
		if p.Probability < 0.1 || p.Probability > proven {
			continue
		}
		at := p.Place.Locations()
		if len(at) != 1 || at[0].From.Cavity == "" && !at[0].IsWire() {
			continue
		}
		l := at[0]
		minutes := r.Job.Circuit.AccessMin(l.From.Place)
		if r.Job.Reached()[l.From.Place] {
			minutes = 0
		}
		if minutes > 6 || inspected(r, l) {
			continue
		}
		what := "spread or pushed-out terminals, crust, water"
		if l.IsWire() {
			what = "rubbed or stretched insulation, recent work, a hard bend"
		}
		return []string{fmt.Sprintf("Look at %s first (%s, %.0f %% of the odds): %s. Enter what you see as an [[inspection]].", p.Place, minutesText(minutes+1), 100*p.Probability, what)}
	}
	return nil
}

func minutesText(m float64) string {
	if m == 1 {
		return "1 minute"
	}
	return fmt.Sprintf("%g minutes", m)
}

func inspected(r *rank.Ranking, l circuits.Location) bool {
	for _, i := range r.Job.Inspections {
		if i.At == l || i.At.From.Place == l.From.Place && i.At.From.Cavity == "" {
			return true
		}
	}
	return false
}

// comesAndGoes says how often one must look at an intermittent fault.
func comesAndGoes(r *rank.Ranking) []string {
	if r.Returning != nil && r.Returning.Probability >= 0.5 {
		words := r.Returning.Words()
		return []string{strings.ToUpper(words[:1]) + words[1:] + "."}
	}
	if !r.Job.Intermittent {
		return nil
	}
	return []string{fmt.Sprintf("The symptom comes and goes: a clean look does not clear a place. A fault that is there 5 %% of the time needs %d looks for a 95 %% chance of one catch; watch the value while the harness is moved section by section instead.", LooksFor(0.05, 0.95))}
}

// readAgain names the readings that are likelier misread than not.
func readAgain(r *rank.Ranking) []string {
	var out []string
	for i, n := range r.Taken {
		if r.Misread[i] > 0.5 {
			reading := r.Job.Readings[n]
			hint := "take it again"
			if reading.Quantity != circuits.ScanVolts && (math.Abs(reading.Value) < 0.05 || reading.OL) {
				hint = "take it again, with the same probe on a point you know first: a probe that missed shows this too"
			}
			out = append(out, fmt.Sprintf("Reading %d (%s, %s) fits nothing else: %s.", n+1, reading.At, shownValue(reading), hint))
		}
	}
	return out
}

// shownValue is a reading's value in words.
func shownValue(r circuits.Reading) string {
	switch {
	case r.OL && !r.Pair:
		return "OL"
	case r.Quantity == circuits.Volts || r.Quantity == circuits.ScanVolts:
		return models.Volts(r.Value)
	}
	return models.SI(r.Value, r.Quantity.Unit())
}
