package view

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Text is the plan for a terminal, with at most top readings.
func (v Planned) Text(p Page, top int) string {
	job := v.Ranking.Job
	var b strings.Builder
	b.WriteString(jobText(p, job))
	if job.Circuit.Pyrotechnic {
		b.WriteString("\n" + cautionText(p, Cautions(job)))
	}
	b.WriteString("\n" + v.State(p))
	shown := v.Plan.Suggestions[:min(top, len(v.Plan.Suggestions))]
	if len(shown) > 0 {
		b.WriteString("\n" + p.strong(v.heading()) + "\n")
	}
	var readings []circuits.Reading
	for i, s := range shown {
		b.WriteString(v.Suggestion(p, pad(itoa(i+1), 3, true)+"  ", s))
		readings = append(readings, s.Reading)
	}
	if cautions := cautionsOf(job.Circuit, readings); len(cautions) > 0 && !job.Circuit.Pyrotechnic {
		b.WriteString("\n" + cautionText(p, cautions))
	}
	return b.String()
}

// heading stands over the readings of a plan.
func (v Planned) heading() string {
	if v.Plan.Done {
		return "To be surer still"
	}
	return "Next"
}

// State says whether the plan is done and why, which places are left, and what else a good technician would say.
func (v Planned) State(p Page) string {
	var b strings.Builder
	head := "Still open"
	if v.Plan.Done {
		head = "Done"
	}
	b.WriteString(p.strong(head) + "\n")
	b.WriteString(p.paragraph("  ", reasonText(Reason(&v.Ranking, v.Plan))))
	if words := triedWords(v.Ranking.Job); words != "" {
		b.WriteString(p.paragraph("  ", words+"."))
	}
	for _, a := range v.Advice {
		b.WriteString(p.paragraph("  ", heldPercent(a)))
	}
	if places := v.remaining(p); places != "" {
		b.WriteString("\n" + p.strong("Places left") + "\n" + places)
	}
	return b.String()
}

func heldPercent(s string) string { return strings.ReplaceAll(s, " %", nbsp+"%") }

// reasonText is a plan's reason as a sentence. A fault's name that leads it keeps its letters, so that it can be copied.
func reasonText(s string) string {
	s = heldPercent(strings.TrimSuffix(s, "."))
	first, _, _ := strings.Cut(s, " ")
	if _, err := circuits.ParseFault(first + " X:1"); err == nil {
		return s + "."
	}
	return sentence(s)
}

const (
	shownPlaces   = 5
	shownOutcomes = 5
	leastOutcome  = 0.01 // an outcome that is less likely is counted with the rest
)

// remaining lists the places that hold some probability.
func (v Planned) remaining(p Page) string {
	var b strings.Builder
	rest := 0.0
	for i, place := range v.Plan.Remaining {
		if i >= shownPlaces || i > 0 && place.Probability < shownShare {
			rest += place.Probability
			continue
		}
		b.WriteString(p.paragraph(v.placeHead(place), placeLeft(place)))
	}
	if rest > 0 && b.Len() > 0 {
		head := "  " + pad(Percent(rest), 6, true) + "  "
		if v.Before != nil {
			head = strings.Repeat(" ", width(v.placeHead(v.Plan.Remaining[0]))-width(head)) + head
		}
		b.WriteString(p.paragraph(head, "elsewhere"))
	}
	return b.String()
}

// placeHead is a place's probability, behind what it was before the last reading where that is known.
func (v Planned) placeHead(place rank.PlaceOdds) string {
	now := pad(Percent(place.Probability), 6, true) + "  "
	if v.Before == nil {
		return "  " + now
	}
	before := 0.0
	for _, b := range v.Before {
		if b.Place == place.Place {
			before = b.Probability
		}
	}
	return "  " + pad(Percent(before), 6, true) + " → " + now
}

// placeLeft is a place with what is likeliest there.
func placeLeft(p rank.PlaceOdds) string {
	place, f := p.Place.String(), p.Leading
	switch {
	case f.IsDouble():
		return place + ": " + f.String()
	case !p.Place.Known():
		return place
	case f.First.Kind == circuits.DeviceInside:
		return place + ": " + f.First.Words
	case f.First.Kind == circuits.ModuleInside:
		return place + ": " + f.First.At.From.Cavity + " " + f.First.Words
	}
	return place + ": " + f.First.Kind.String()
}

// Suggestion tells one reading, what it costs and brings, and what each outcome would mean.
func (v Planned) Suggestion(p Page, head string, s plan.Suggestion) string {
	var b strings.Builder
	indent := strings.Repeat(" ", width(head))
	b.WriteString(p.paragraph(head, Instruction(v.Ranking.Job.Circuit, v.Ranking.Job.Left(), s.Reading)))
	b.WriteString(p.paragraph(indent, worth(s)))
	rest := 0.0
	for i, o := range s.Outcomes {
		if i >= shownOutcomes || i > 0 && o.Probability < leastOutcome {
			rest += o.Probability
			continue
		}
		b.WriteString(p.paragraph(indent+pad(Percent(o.Probability), 6, true)+"  ", v.outcome(s, o)))
	}
	if rest > 0 {
		b.WriteString(p.paragraph(indent+pad(Percent(rest), 6, true)+"  ", "other values"))
	}
	return b.String()
}

// worth says what a reading costs and brings.
func worth(s plan.Suggestion) string {
	words := Minutes(s.Minutes) + ", " + strconv.FormatFloat(s.GainBits, 'f', 2, 64) + nbsp + "bits"
	if s.Confirms {
		words += "; it would show the opposite if the leading place were not the one"
	}
	return words
}

// Minutes prints minutes of work.
func Minutes(m float64) string {
	return strconv.FormatFloat(math.Round(m*10)/10, 'f', -1, 64) + nbsp + "min"
}

// outcomeWord is the kind of an outcome as the contract names it.
func outcomeWord(o plan.OutcomeBand) string {
	switch o.Discrete {
	case evidence.RayOL:
		return "OL"
	case evidence.RayNone:
		return "none"
	case evidence.RayLow:
		return "lowest"
	case evidence.RayHigh:
		return "highest"
	case evidence.RayJumps:
		return "jumps"
	case evidence.RayStays:
		return "stays"
	}
	return "value"
}

// outcome says what a reading would show and what that would mean: which faults it would speak for, and which of the
// places that are likely now it would leave hardly any probability.
func (v Planned) outcome(s plan.Suggestion, o plan.OutcomeBand) string {
	var faults []string
	for _, f := range o.Faults {
		name := f.String()
		if f.First.Kind == circuits.Healthy {
			name = "nothing wrong"
		}
		faults = append(faults, name)
	}
	words := v.shows(s.Reading, o)
	if s.Reading.Wiggle != "" {
		words = v.moves(s.Reading, o)
	}
	words += ": " + orList(faults)
	if out := v.excluded(o); len(out) > 0 {
		words += "; hardly " + orList(out)
	}
	return words
}

// excluded are up to three of the likely places that an outcome would leave less than a twentieth. An outcome that
// speaks for as many places as are listed may hold more of them.
func (v Planned) excluded(o plan.OutcomeBand) []string {
	const listed, likely, most = 4, 0.05, 3
	if len(o.Places) >= listed {
		return nil
	}
	var out []string
	for _, p := range v.Plan.Remaining {
		if p.Probability >= likely && len(out) < most && !slices.Contains(o.Places, p.Place) && p.Place.Known() {
			out = append(out, p.Place.String())
		}
	}
	return out
}

// shows says an outcome's value.
func (v Planned) shows(r circuits.Reading, o plan.OutcomeBand) string {
	pin := v.Ranking.Job.Circuit.Pin(r.Point())
	switch o.Discrete {
	case evidence.RayLow:
		return atEnd(r.Quantity, pin, 0, lowestReported)
	case evidence.RayHigh:
		return atEnd(r.Quantity, pin, 1, highestReported)
	case evidence.RayNone:
		if r.Quantity == circuits.ScanVolts {
			return "no value, the module does not answer"
		}
		return "no value"
	case evidence.RayOL:
		return "OL"
	}
	low, high := v.ends(r, o)
	return span(r.Quantity, low, high)
}

// atEnd says the lower (0) or upper (1) end of what a module reports of a pin.
func atEnd(q circuits.Quantity, pin *circuits.Pin, end int, words string) string {
	if pin == nil {
		return words
	}
	return held(Value(q, pin.RangeVolts[end])) + ", " + words
}

// moves says an outcome of a value that is watched while a place is moved.
func (v Planned) moves(r circuits.Reading, o plan.OutcomeBand) string {
	switch o.Discrete {
	case evidence.RayStays:
		return "it stays where it is"
	case evidence.RayJumps:
		return "it jumps, to something else"
	}
	return "it jumps to " + v.shows(r, o)
}

// span says a range of values: "about" its middle where it is narrow.
func span(q circuits.Quantity, low, high float64) string {
	switch q {
	case circuits.Ohms:
		if high < 1.2*low+0.5 {
			return "about " + held(models.SI(math.Sqrt(low*high), "Ω"))
		}
		return held(models.SI(low, "Ω")) + " to" + nbsp + held(models.SI(high, "Ω"))
	case circuits.Amps:
		middle := (low + high) / 2
		narrow := high-low < max(0.05, 0.08*math.Abs(middle))
		switch {
		case narrow && low <= 0 && high >= 0:
			return "about 0" + nbsp + "A"
		case narrow:
			return "about " + held(models.SI(middle, "A"))
		case low < 0:
			return "up to " + held(models.SI(high, "A")) // a short whose ohms nobody knows is spread wide
		}
		return held(models.SI(low, "A")) + " to" + nbsp + held(models.SI(high, "A"))
	}
	s := scale{1, 2, "V"}
	if middle := (low + high) / 2; high-low < max(0.15, 0.05*math.Abs(middle)) {
		return "about " + s.value(middle)
	}
	return s.digits(low) + " to" + nbsp + s.value(high)
}

// orList joins alternatives.
func orList(list []string) string {
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
	return strings.Join(list, "")
}

// cautionsOf are the words of care that readings ask for, each once.
func cautionsOf(c *circuits.Circuit, readings []circuits.Reading) []string {
	var out []string
	for _, r := range readings {
		for _, words := range ReadingCautions(c, r) {
			if !slices.Contains(out, words) {
				out = append(out, words)
			}
		}
	}
	return withoutShorter(out)
}

// withoutShorter leaves away what a longer caution says as well.
func withoutShorter(cautions []string) []string {
	var out []string
	for i, short := range cautions {
		said := false
		for k, long := range cautions {
			said = said || k != i && strings.HasPrefix(long, strings.TrimSuffix(short, "."))
		}
		if !said {
			out = append(out, short)
		}
	}
	return out
}

func cautionText(p Page, cautions []string) string {
	var b strings.Builder
	b.WriteString(p.strong("Caution") + "\n")
	for _, c := range cautions {
		b.WriteString(p.paragraph("  ", c))
	}
	return b.String()
}
