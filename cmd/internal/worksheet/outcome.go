package worksheet

import (
	"strconv"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// means says what an outcome of a reading would mean: "about 0.10 V: then open C7:3; S2>MHS:3 is good".
func means(r *rank.Ranking, s plan.Suggestion, b plan.OutcomeBand) string {
	value := view.OutcomeRange(s.Reading.Quantity, b)
	if len(b.Faults) == 0 {
		return say("outcome.nothing", "value", value)
	}
	text := say("outcome.then", "value", value, "fault", spoken(b.Faults[0]))
	if len(b.Faults) > 1 {
		text += say("outcome.or", "fault", spoken(b.Faults[1]))
	}
	if len(b.Faults) > 2 {
		text += say("outcome.more", "n", strconv.Itoa(len(b.Faults)-2))
	}
	switch good := b.Cleared(r); len(good) {
	case 1:
		text += say("outcome.good", "place", good[0].String())
	case 2:
		text += say("outcome.both_good", "place", good[0].String(), "other", good[1].String())
	}
	return text
}

func spoken(f circuits.Fault) string {
	if f.First.Kind == circuits.Healthy {
		return say("outcome.healthy")
	}
	return f.String()
}
