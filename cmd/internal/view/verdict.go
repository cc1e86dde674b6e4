package view

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// Verdict says in a sentence or two what the readings decide, and what they do not. Where file or meter do not fit, that comes
// first.
func Verdict(r *rank.Ranking) string {
	if doubt := fitWords(r); doubt != "" {
		return doubt + ". By the file as it is: " + decision(r)
	}
	return decision(r)
}

func decision(r *rank.Ranking) string {
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
	case len(r.Taken) == 0 && len(r.Codes()) == 0:
		words := "no readings yet: these are only the odds of experience; take the next reading"
		if len(r.Refused) > 0 {
			words = refusedWords(r) + "; without it these are only the odds of experience"
		}
		return words
	case r.Returning != nil && r.Returning.Probability >= 0.5 && (lead.Fault.Kind == circuits.Healthy || lead.Fault.Kind == circuits.Unlisted):
		return "not decided: " + ReturningWords(r.Returning)
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
	if n, _ := g.Members(); n > 2 && lead.Fault.Kind != circuits.Healthy && lead.Fault.Kind != circuits.Unlisted {
		fmt.Fprintf(&b, "; the likeliest of them is %s with %s", lead.Name(), percent(lead.Probability))
	}
	if n := len(r.Unexplained); n > 0 && lead.Fault.Kind != circuits.Unlisted {
		fmt.Fprintf(&b, "; %s %s not fit and should be taken again", readingNames(r, r.Unexplained), does(n))
	}
	if len(r.Refused) > 0 {
		b.WriteString("; " + refusedWords(r))
	}
	if r.Returning != nil {
		b.WriteString(". " + ReturningWords(r.Returning))
	} else if words := awayWords(r); words != "" {
		b.WriteString(". " + words)
	}
	if words := triedWords(r.Job); words != "" {
		b.WriteString(". " + words)
	}
	return b.String()
}

// refusedWords say which ohms readings count for nothing.
func refusedWords(r *rank.Ranking) string {
	return readingNames(r, r.Refused) + " in ohms, taken on a live circuit or with the key on, counts for nothing"
}

// decided names a group: its one fault, or how many no reading so far tells apart. No one of many is put first, for who
// reads in haste would take it for the answer.
func decided(g rank.Group) string {
	name := g.Faults[0].Name()
	if g.Faults[0].Whole().IsDouble() {
		name = "two faults at once, " + name
	}
	if g.Faults[0].Fault.Kind == circuits.Healthy {
		return "no fault shows in the readings so far (healthy, or a fault that they do not reach)"
	}
	n, healthy := g.Members()
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

func readingNames(r *rank.Ranking, indices []int) string {
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

// awayWords say of a symptom that comes and goes that it was never there while somebody measured; "" where it was.
func awayWords(r *rank.Ranking) string {
	if !r.Away() {
		return ""
	}
	text := "The fault was away at every reading, so none of them clears a place"
	if codes := r.Codes(); len(codes) > 0 {
		text += "; " + strings.Join(codes, ", ") + " says that it was there once, beyond the limit"
	}
	return text
}

// ReturningWords say what codes without a cause now mean.
func ReturningWords(r *rank.Returning) string {
	is, them := "is", "it"
	if len(r.Codes) > 1 {
		is, them = "are", "them"
	}
	text := fmt.Sprintf("%s %s set, and nothing that is there now sets %s beside these readings: ", strings.Join(r.Codes, ", "), is, them)
	if r.Probability < 0.5 {
		return text + "an old code, or a fault that comes and goes; clear it and see whether it returns"
	}
	var places []string
	for _, c := range r.Faults {
		places = append(places, c.Name())
	}
	return text + fmt.Sprintf("evidence of a fault that comes and goes and was beyond the limit then; weighed so the likeliest are %s. Write intermittent = true on top of the job, and move the harness section by section",
		strings.Join(places, ", "))
}
