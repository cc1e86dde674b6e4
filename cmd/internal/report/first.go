package report

import (
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
)

// first are the first lines: what is proven and what is not, what was verified and what was not.
func (w writer) first() []paper.Block {
	head, text := w.claim()
	lines := []string{text}
	if r := w.r.Returning; r != nil && w.f.standing != Forbidden {
		var names []string
		for _, c := range r.Faults {
			names = append(names, c.Name())
		}
		if codes := listed(r.Codes); r.Probability < 0.5 || len(names) == 0 {
			lines = append(lines, say("first.old_code", "codes", codes))
		} else {
			lines = append(lines, say("first.returning", "codes", codes, "faults", joined("or", names)))
		}
	}
	if len(w.r.Unexplained) > 0 && w.f.standing != NothingListed {
		lines = append(lines, say("first.misfit", "readings", sentence(listed(w.readingNames(w.r.Unexplained)))))
	}
	if place := w.mismatch(); place != "" {
		lines = append(lines, place)
	}
	if w.f.standing != Forbidden || w.j.Repair.Recorded() || len(w.j.Verification) > 0 {
		lines = append(lines, w.v.claim())
	}
	if len(w.j.Repair.CodesAfter) > 0 {
		lines = append(lines, say("first.codes_back", "codes", clipped(listed(w.j.Repair.CodesAfter), 200)))
	}
	return []paper.Block{paper.Notice{Head: head, Text: strings.Join(lines, "\n")}}
}

// claim is what the readings prove, in a heading and a sentence.
func (w writer) claim() (head, text string) {
	switch w.f.standing {
	case Forbidden:
		return say("first.stop_head"), strings.Join(view.Cautions(w.j), "\n")
	case NothingMeasured:
		return say("first.none_head"), say("first.none")
	case NothingFound:
		return say("first.healthy_head"), say("first.healthy", "probability", percent(w.r.Groups[w.r.GroupOf(w.r.Candidates[0])].Probability))
	case NothingListed:
		return say("first.unlisted_head"), say("first.unlisted", "probability", percent(w.f.plan.Remaining[0].Probability))
	case Proven:
		return say("first.proven_head", "place", w.f.place.Place.String()), say("first.proven", "place", w.f.place.Place.String(), "faults", w.f.faults(), "probability", percent(w.f.place.Probability))
	}
	return say("first.unproven_head"), say("first.unproven", "fault", w.f.lead.Name(), "probability", percent(w.f.lead.Probability),
		"place", w.f.place.Place.String(), "place_probability", percent(w.f.place.Probability))
}

// mismatch says that another place was repaired than the one that the readings speak for; "" where that is not so.
func (w writer) mismatch() string {
	at := w.j.Repair.Place()
	if at.IsZero() || !w.f.has {
		return ""
	}
	holds := 0.0
	for _, c := range w.r.Candidates {
		for _, place := range places(c.Whole()) {
			if covers(w.j.Circuit, at, place) {
				holds += c.Probability
				break
			}
		}
	}
	for _, place := range places(w.f.fault) {
		if covers(w.j.Circuit, at, place) {
			return ""
		}
	}
	return say("first.elsewhere", "repaired", at.String(), "probability", percent(holds))
}

// covers tells whether a repair at a place mends what is at another: the same place, or one of a whole connector, part
// or splice.
func covers(c *circuits.Circuit, repaired, at circuits.Location) bool {
	if repaired == at {
		return true
	}
	if repaired.IsWire() || repaired.From.Cavity != "" {
		return !at.IsWire() && !repaired.IsWire() && repaired.From.Terminal() == at.From.Terminal() && (repaired.From.Side == "device") == (at.From.Side == "device")
	}
	if at.IsWire() {
		return c.Splice(repaired.From.Place) != nil && (at.From.Place == repaired.From.Place || at.To.Place == repaired.From.Place)
	}
	return at.From.Place == repaired.From.Place || c.PlugOf(at.From) == repaired.From.Place
}

func (w writer) readingNames(indices []int) []string {
	var out []string
	for _, i := range indices {
		out = append(out, w.readingName(i))
	}
	return out
}

// facts are who, which machine, when, how long.
func (w writer) facts() []paper.Block {
	u := w.j.WriteUp
	item := func(key, value string) paper.Field {
		return paper.Field{Label: say(key), Value: firstOf(clipped(value, 200), say("not_recorded"))}
	}
	codes := say("facts.no_codes")
	if len(w.j.Codes) > 0 {
		codes = strings.Join(w.j.Codes, ", ")
	}
	var minutes []string
	for _, work := range u.Minutes {
		minutes = append(minutes, say("facts.work", "kind", work.Kind, "minutes", number(work.Minutes)))
	}
	return []paper.Block{paper.Fields{Columns: 2, Items: []paper.Field{
		item("facts.machine", w.j.Machine), item("facts.date", firstOf(u.Date, w.o.Date)),
		item("facts.customer", u.Customer), item("facts.author", u.Author),
		item("facts.workshop", u.Workshop), item("facts.codes", codes),
		item("facts.minutes", strings.Join(minutes, ", ")),
	}}}
}

// number prints a number as its author would write it.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// concern is the complaint and how it was seen.
func (w writer) concern() []paper.Block {
	out := []paper.Block{paper.Heading{Text: say("head.concern")},
		paper.Paragraph{Lead: say("concern.complaint"), Text: firstOf(clipped(w.j.Complaint, mostLetters), say("not_recorded"))},
		paper.Paragraph{Lead: say("concern.reproduced"), Text: answered(w.j.WriteUp.Reproduced)}}
	if w.j.Intermittent {
		out = append(out, paper.Paragraph{Text: say("concern.intermittent")})
	}
	var seen []string
	for _, i := range w.j.Inspections {
		seen = append(seen, say("concern.seen_one", "at", i.At.String(), "seen", i.Seen))
	}
	if len(seen) > 0 {
		out = append(out, paper.Paragraph{Lead: say("concern.seen"), Text: clipped(strings.Join(seen, ", "), mostLetters)})
	}
	return out
}

// answered is an answer in words.
func answered(a circuits.Answer) string {
	switch {
	case !a.Given:
		return say("not_recorded")
	case a.Words != "":
		return clipped(a.Words, mostLetters)
	case a.Yes:
		return say("yes")
	}
	return say("no")
}
