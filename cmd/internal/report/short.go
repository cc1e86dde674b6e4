package report

import (
	"math"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
)

// ShortLetters is how long the short form of a report may be.
const ShortLetters = 500

// short is the story to paste into a small box of somebody else's form. What it claims is never cut; the machine, the
// complaint and what was done share what is left of the letters.
func (w writer) short() string {
	cause, proof := w.shortCause()
	_, judged, failed, _ := w.v.counts()
	after := say("short.unverified")
	switch w.v.After {
	case Verified:
		after = say("short.verified", "n", counted(judged, "count.reading", "count.readings"))
	case Failed:
		after = say("short.failed", "n", strconv.Itoa(failed), "of", counted(judged, "count.reading", "count.readings"))
	}
	machine := plainText(clipped(firstOf(w.j.Machine, w.j.Circuit.Title), 60))
	complaint := plainText(firstOf(strings.TrimRight(w.j.Complaint, ". "), say("not_recorded")))
	done := plainText(firstOf(strings.TrimRight(w.j.Repair.Done, ". "), say("not_recorded")))
	text := func(complaint, cause, done string) string {
		return say("short.text", "machine", machine, "complaint", complaint, "cause", cause, "correction", done, "verification", after)
	}
	if proof != "" && letters(text("", cause+" "+proof, ""))+shortLeast <= ShortLetters {
		cause += " " + proof
	}
	room := ShortLetters - letters(text("", cause, ""))
	forDone := min(letters(done), max(room-letters(complaint), room/2))
	return plainText(text(clipped(complaint, room-forDone), cause, clipped(done, forDone)))
}

// shortLeast is the room that complaint and repair ask for before the proof is told.
const shortLeast = 160

func letters(s string) int { return len([]rune(s)) }

// shortCause is the finding, and the reading that shows it best.
func (w writer) shortCause() (cause, proof string) {
	const most = 140
	switch w.f.standing {
	case Proven:
		cause = say("short.cause", "faults", w.f.faults(), "place", view.FaultPlace(w.j.Circuit, w.f.lead.Whole()), "probability", percent(w.f.place.Probability))
		if letters(cause) > most {
			cause = say("short.cause_bare", "faults", w.f.faults(), "probability", percent(w.f.place.Probability))
		}
		return clipped(cause, 2*most), w.proof()
	case Unproven:
		return clipped(say("short.cause_unproven", "place", w.f.place.Place.String(), "probability", percent(w.f.place.Probability)), 2*most), ""
	}
	head, _ := w.claim()
	return head + ".", ""
}

// proof is the last reading that the finding explains and that no healthy machine would show: the test that closed it.
func (w writer) proof() string {
	healthy, ok := w.r.Find(circuits.Fault{})
	if !ok {
		return ""
	}
	const apart, fits = 6, 3
	best := -1
	for i := range w.r.Taken {
		if math.Abs(healthy.Gap[i]) > apart && math.Abs(w.f.lead.Gap[i]) < fits {
			best = i
		}
	}
	if best < 0 {
		return ""
	}
	r := w.j.Readings[w.r.Taken[best]]
	e := w.r.HealthyReading(best)
	return say("short.proof", "where", lead(r), "read", showed(r), "healthy", value(r.Quantity, e.Value))
}
