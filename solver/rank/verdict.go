package rank

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
)

// verdict says in a sentence or two what the readings decide, and what they do not.
func (r Ranking) verdict() string {
	if len(r.Groups) == 0 {
		return "no fault is possible here"
	}
	g := r.Groups[0]
	lead := g.Faults[0]
	percent := func(p float64) string {
		if p > 0.995 {
			return "over 99 %"
		}
		return fmt.Sprintf("%.0f %%", 100*p)
	}
	var b strings.Builder
	switch {
	case len(r.Taken) == 0 && len(r.w.Codes()) == 0:
		words := "no readings yet: these are only the odds of experience; take the next reading"
		if len(r.Refused) > 0 {
			words = r.refusedWords() + "; without it these are only the odds of experience"
		}
		return words
	case r.Returning != nil && r.Returning.Probability >= 0.5 && (lead.Fault.Kind == circuits.Healthy || lead.Fault.Kind == circuits.Unlisted):
		return "not decided: " + r.Returning.Words()
	case lead.Fault.Kind == circuits.Unlisted:
		fmt.Fprintf(&b, "nothing listed explains the readings, no fault or pair of faults of this circuit (%s): check the circuit file against the machine, and take the readings again", percent(g.Probability))
	case g.Probability >= 0.95:
		fmt.Fprintf(&b, "%s: %s", decided(g), percent(g.Probability))
	case g.Probability >= 0.6 && lead.Fault.Kind == circuits.Healthy:
		fmt.Fprintf(&b, "%s: %s; not decided yet", decided(g), percent(g.Probability))
	case g.Probability >= 0.6:
		fmt.Fprintf(&b, "likely %s: %s; not decided yet", decided(g), percent(g.Probability))
	case lead.Fault.Kind == circuits.Healthy:
		fmt.Fprintf(&b, "the readings do not decide: that nothing is wrong, or nothing that they reach, is likeliest with %s", percent(g.Probability))
	default:
		fmt.Fprintf(&b, "the readings do not decide: the likeliest is %s with %s", decided(g), percent(g.Probability))
	}
	if n, _ := members(g); n > 2 && lead.Fault.Kind != circuits.Healthy && lead.Fault.Kind != circuits.Unlisted {
		fmt.Fprintf(&b, "; the likeliest of them is %s with %s", lead.Name(), percent(lead.Probability))
	}
	if n := len(r.Unexplained); n > 0 && lead.Fault.Kind != circuits.Unlisted {
		fmt.Fprintf(&b, "; %s %s not fit and should be taken again", r.readingNames(r.Unexplained), does(n))
	}
	if len(r.Refused) > 0 {
		b.WriteString("; " + r.refusedWords())
	}
	if r.Returning != nil {
		b.WriteString(". " + r.Returning.Words())
	} else if words := r.away(); words != "" {
		b.WriteString(". " + words)
	}
	return b.String()
}

// refusedWords say which ohms readings count for nothing.
func (r Ranking) refusedWords() string {
	return r.readingNames(r.Refused) + " in ohms, taken on a live circuit or with the key on, counts for nothing"
}

// members is how many faults of a group hold its probability, but for the last hundredth, and whether healthy is one of
// them, which is not counted.
func members(g Group) (faults int, healthy bool) {
	sum := 0.0
	for i, f := range g.Faults {
		if i > 0 && sum >= 0.99*g.Probability {
			break
		}
		sum += f.Probability
		if f.Fault.Kind == circuits.Healthy {
			healthy = true
		} else {
			faults++
		}
	}
	return faults, healthy
}

// decided names a group: its one fault, or how many no reading so far tells apart. No one of many is put first, for who
// reads in haste would take it for the answer.
func decided(g Group) string {
	name := g.Faults[0].Name()
	if g.Faults[0].full.IsDouble() {
		name = "two faults at once, " + name
	}
	if g.Faults[0].Fault.Kind == circuits.Healthy {
		return "no fault shows in the readings so far (healthy, or a fault that they do not reach)"
	}
	n, healthy := members(g)
	switch {
	case n <= 1 && healthy:
		return name + ", or nothing at all"
	case n <= 1:
		return name
	case healthy:
		return fmt.Sprintf("one of %d faults that no reading so far tells apart (or from a sound machine)", n)
	case n == 2:
		return name + " or one more that no reading so far tells apart"
	default:
		return fmt.Sprintf("one of %d faults that no reading so far tells apart", n)
	}
}

func (r Ranking) readingNames(indices []int) string {
	var out []string
	for _, i := range indices {
		out = append(out, fmt.Sprintf("reading %d (%s)", i+1, r.Job.Readings[i].At))
	}
	if n := len(out); n > 1 {
		return strings.Join(out[:n-1], ", ") + " and " + out[n-1]
	}
	return strings.Join(out, "")
}

func does(count int) string {
	if count == 1 {
		return "does"
	}
	return "do"
}

// away says of a symptom that comes and goes that it was never there while somebody measured.
func (r Ranking) away() string {
	if !r.Job.Intermittent || len(r.Taken) == 0 {
		return ""
	}
	healthy, ok := r.Find(circuits.Fault{})
	if !ok {
		return ""
	}
	for i := range r.Taken {
		if r.w.Moved(i) || math.IsNaN(healthy.Gap[i]) || math.Abs(healthy.Gap[i]) > evidence.Apart {
			return ""
		}
	}
	text := "The fault was away at every reading, so none of them clears a place"
	if codes := r.w.Codes(); len(codes) > 0 {
		text += "; " + strings.Join(codes, ", ") + " says that it was there once, beyond the limit"
	}
	return text
}
