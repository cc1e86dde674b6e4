package marking

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
)

// gains writes the parts that bring points.
func (w *way) gains() {
	g := w.points.Gain
	placeShare, placeWhy := w.placeShare()
	w.gain("place", "Place", g.Place, placeShare, placeWhy)
	kindShare, kindWhy := w.kindShare()
	w.gain("kind", "Kind", g.Kind, kindShare, kindWhy)
	proofShare, proofWhy := w.proofShare(placeShare)
	w.gain("proof", "Proof", g.Proof, proofShare, proofWhy)
	share := func(n int) float64 { return float64(n) / float64(max(w.asked, 1)) }
	none := "no reading was taken"
	count := func(n int, what string) string {
		if w.asked == 0 {
			return none
		}
		return fmt.Sprintf("%d of %d readings %s", n, w.asked, what)
	}
	w.gain("reasons", "Reasons", g.Reasons, share(w.reasoned), count(w.reasoned, "have a reason before them"))
	w.gain("placing", "Leads and conditions", g.Placing, share(w.able), count(w.able, "could tell something as they were placed"))
	tellingWhy := none
	if w.asked > 0 {
		tellingWhy = fmt.Sprintf("on average a reading was worth %.0f %% of the best one at that point, by bits for each minute", 100*w.worth/float64(w.asked))
	}
	w.gain("telling", "What was learned", g.Telling, w.worth/float64(max(w.asked, 1)), tellingWhy)
	w.minutes(g.Minutes, placeShare)
	remedy, remedyWhy := 0.0, "nothing was said about what is to be done"
	if said(w.finding.Remedy) {
		remedy, remedyWhy = placeShare, fmt.Sprintf("%q, as far as the place is right", w.finding.Remedy)
	}
	w.gain("remedy", "Remedy", g.Remedy, remedy, remedyWhy)
}

func (w *way) gain(name, title string, most, share float64, why string) {
	w.m.Parts = append(w.m.Parts, Part{Name: name, Title: title, Points: most * min(max(share, 0), 1), Most: most, Why: why})
}

// alikeShare is what naming another place of the group is worth which the student's readings cannot tell from the true
// one, where nothing that pays tells more: repairing in order finds it.
const alikeShare = 2.0 / 3

// placeShare is the share of the true places that was found.
func (w *way) placeShare() (float64, string) {
	total := 0.0
	var why []string
	truths := w.truths()
	for _, t := range truths {
		place := hypothesis.PlaceOf(circuits.Fault{First: t}).String()
		switch {
		case w.wasCured(t):
			total++
			why = append(why, place+" was put right")
		case samePlace(w.finding.Fault.First, t) || samePlace(w.finding.Fault.Second, t):
			total++
			why = append(why, place+" it was")
		case w.alike(t):
			total += alikeShare
			why = append(why, fmt.Sprintf("it was %s, which your readings leave alike with %s, and no reading that pays tells them apart", place, hypothesis.PlaceOf(w.finding.Fault)))
		default:
			why = append(why, fmt.Sprintf("it was %s, not %s", place, hypothesis.PlaceOf(w.finding.Fault)))
		}
	}
	return total / float64(len(truths)), strings.Join(why, "; ")
}

// alike tells whether the finding and a true fault stand in one group at the end of a plan that is done.
func (w *way) alike(truth circuits.Single) bool {
	if !w.last.done {
		return false
	}
	for _, g := range w.last.groups {
		mine, theirs := false, false
		for _, f := range g {
			mine = mine || f.WithoutOhms() == w.finding.Fault.WithoutOhms() || f.First.WithoutOhms() == w.finding.Fault.First.WithoutOhms()
			theirs = theirs || f.First.WithoutOhms() == truth.WithoutOhms() || f.Second.WithoutOhms() == truth.WithoutOhms()
		}
		if mine && theirs {
			return true
		}
	}
	return false
}

// nearKind is what a neighbouring kind is worth: high resistance for open, a leak for a bridge.
const nearKind = 0.5

// kindShare is the share of the true faults whose kind was named. A fault that was put right needs no name.
func (w *way) kindShare() (float64, string) {
	total := 0.0
	var why []string
	truths := w.truths()
	for _, t := range truths {
		best := 0.0
		for _, f := range []circuits.Single{w.finding.Fault.First, w.finding.Fault.Second} {
			best = max(best, kindLike(f, t))
		}
		if best < 1 && w.wasCured(t) && len(truths) > 1 {
			best = 1
		}
		total += best
		name := t.Kind.String()
		if t.Words != "" {
			name = t.Words
		}
		why = append(why, "true is "+name)
	}
	return total / float64(len(truths)), strings.Join(why, "; ")
}

func kindLike(f, t circuits.Single) float64 {
	series := func(k circuits.FaultKind) bool { return k == circuits.Open || k == circuits.HighResistance }
	short := func(k circuits.FaultKind) bool {
		return k == circuits.ShortToGround || k == circuits.ShortBetween || k == circuits.ShortToVoltage
	}
	switch {
	case f.Kind == circuits.Healthy:
		return 0
	case f.Kind == t.Kind && f.Words == t.Words:
		return 1
	case f.Kind == t.Kind, series(f.Kind) && series(t.Kind), short(f.Kind) && short(t.Kind):
		return nearKind
	}
	return 0
}

// proofShare says how far the finding was proven.
func (w *way) proofShare(placeShare float64) (float64, string) {
	place := hypothesis.PlaceOf(w.finding.Fault)
	share := w.last.probability(place)
	switch {
	case len(w.cured) > 0 && w.missing() == 0:
		return 1, "the place was put right and the machine tried"
	case placeShare == 0:
		return 0, "what is not so cannot be proven"
	case w.last.sure && share >= surePlace:
		return 1, fmt.Sprintf("a direct reading fits %s and no healthy circuit; your readings give it %s", place, view.PercentInWords(share))
	case share >= 0.95:
		return 0.7, fmt.Sprintf("your readings give it %s, but none was taken that would have shown the opposite", view.PercentInWords(share))
	case w.last.done && share >= openFrom:
		return 0.7, "nothing that pays tells more: " + w.last.why
	}
	return 0, fmt.Sprintf("your readings give %s %s: not proven", place, view.PercentInWords(share))
}

// minutes holds the student's minutes against the planner's on the same machine.
func (w *way) minutes(most, placeShare float64) {
	own, best := w.m.Minutes-w.inOrder, w.m.Plan.Minutes
	why := fmt.Sprintf("%s until it was found; the best plan takes %s on this machine, half-split %s", view.Minutes(own), view.Minutes(best), halfMinutes(w.m.Half))
	share := 0.0
	switch {
	case placeShare == 0:
		why += "; a wrong place is not quick"
	case w.asked == 0:
		why += "; without a reading there is nothing to be quick at"
	case own <= best:
		share = placeShare
	default:
		share = placeShare * best / own
	}
	if w.guessed && share > 0 { // else one reading and a lucky guess would be the quickest way of all
		share *= w.known
		why += fmt.Sprintf("; it was guessed, and counts as far as your readings had shown it: %s", view.PercentInWords(w.known))
	}
	w.gain("minutes", "Minutes", most, share, strings.ReplaceAll(why, "\u00a0", " "))
}

// halfMinutes are the minutes of the other order, which is not followed for ever.
func halfMinutes(half exercise.Way) string {
	if !half.Done {
		return "more than " + view.Minutes(half.Minutes)
	}
	return view.Minutes(half.Minutes)
}

// losses writes the parts that cost points; one that costs nothing is written too, for a table has the same rows always.
func (w *way) losses() {
	l := w.points.Loss
	w.lose("good_part", "Good parts condemned", l.GoodPart, w.goodParts)
	w.lose("good_joint", "Good joints opened", l.GoodJoint, w.goodJoints)
	w.lose("unsafe", "Unsafe requests", l.Unsafe, w.unsafe)
	w.lose("guess", "Guesses", l.Guess, w.guesses)
}

func (w *way) lose(name, title string, each float64, what []string) {
	p := Part{Name: name, Title: title, Why: "none"}
	if len(what) > 0 {
		p.Points = 0 - each*float64(len(what))
		p.Why = fmt.Sprintf("%d: %s", len(what), strings.Join(what, "; "))
	}
	w.m.Parts = append(w.m.Parts, p)
}
