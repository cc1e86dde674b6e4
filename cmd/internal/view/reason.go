package view

import (
	"fmt"
	"strings"

	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Reason says why a plan is done, or what is still open.
func Reason(r *rank.Ranking, p plan.Plan) string {
	if p.Standing == plan.Impossible || len(p.Remaining) == 0 {
		return "no fault is possible here"
	}
	top := p.Remaining[0]
	switch p.Standing {
	case plan.Likely:
		return fmt.Sprintf("proven: %s (%s), %s", top.Place, top.Leading, tenths(top.Probability))
	case plan.ShownOpposite:
		return fmt.Sprintf("proven by a reading that would have shown the opposite: %s (%s), %s", top.Place, top.Leading, tenths(top.Probability))
	case plan.RepairNow:
		return repairNow(r, p.Remaining)
	case plan.Stuck:
		return stuck(p.Remaining)
	case plan.NotConfirmed:
		return fmt.Sprintf("%s has %.0f %%, not proven yet: take a reading that would show the opposite if it were wrong", top.Leading, 100*top.Probability)
	}
	switch {
	case r.Returning != nil && r.Returning.Probability >= 0.5:
		return "not decided: nothing that is there now explains " + strings.Join(r.Returning.Codes, ", ")
	case top.Place.Known():
		return fmt.Sprintf("not decided: the likeliest place is %s with %.0f %%", top.Place, 100*top.Probability)
	case top.Place == (hypothesis.Place{}) && top.Probability < 0.5:
		return fmt.Sprintf("not decided: that nothing is wrong has %.0f %%, and no place has more", 100*top.Probability)
	}
	return fmt.Sprintf("not decided: %s is likeliest with %.0f %%", top.Leading, 100*top.Probability)
}

// tenths is a probability to a tenth of a per cent; nothing is ever certain.
func tenths(p float64) string {
	if p >= 0.9995 {
		return "over 99.9 %"
	}
	return fmt.Sprintf("%.1f %%", 100*p)
}

// repairNow says that measuring on costs more than it saves, and in which order to repair and check.
func repairNow(r *rank.Ranking, remaining []rank.PlaceOdds) string {
	places := oddsOfPlaces(remaining)
	if len(places) == 1 {
		return fmt.Sprintf("repair %s and check: a further reading costs more than it would save", places[0])
	}
	return fmt.Sprintf("the fault is %s or electrically the same; measuring on costs more than trying: repair and check in the order %s", r.Candidates[0].Name(), strings.Join(places, ", "))
}

// oddsOfPlaces are the places that matter, with their odds.
func oddsOfPlaces(remaining []rank.PlaceOdds) []string {
	var out []string
	for _, p := range remaining {
		if p.Probability < 0.02 || len(out) == 5 {
			break
		}
		out = append(out, fmt.Sprintf("%s (%.0f %%)", p.Place, 100*p.Probability))
	}
	return out
}

// stuck says which places remain when nothing reachable tells them apart, and which one repair covers most.
func stuck(remaining []rank.PlaceOdds) string {
	places := oddsOfPlaces(remaining)
	switch len(places) {
	case 0:
		return "no reachable reading tells more"
	case 1:
		return "no reachable reading tells more: what remains is " + places[0]
	}
	return fmt.Sprintf("no reachable reading tells these apart: %s; begin with %s, which covers most", strings.Join(places, ", "), remaining[0].Place)
}
