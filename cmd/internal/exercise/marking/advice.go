package marking

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/view"
)

// Advice is what is to be said about one step.
type Advice struct {
	Line     string
	Reason   string
	Reply    string
	Minutes  float64
	Unsafe   bool
	Measured bool    // a reading that was taken; what follows is filled in then
	Before   int     // places open before it
	After    int     // and after
	Told     float64 // bits: entropy of the places before less that after; negative where it opened more than it closed
	Expected float64 // bits that it was expected to tell
	Fell     []string
	Nothing  bool   // it told nothing
	Better   string // the better reading at that point, "" where there was none clearly better
	Says     []string
}

func (a *Advice) say(format string, args ...any) {
	a.Says = append(a.Says, strings.ReplaceAll(fmt.Sprintf(format, args...), "\u00a0", " "))
}

// The best reading is held against the own one where it is worth so many times what that was, by bits for each minute.
const (
	betterBy      = 1.5
	betterBits    = 0.1 // and it must tell so much more
	betterMinutes = 2   // or take so many minutes less
)

// measure says what a reading told, and what would have told more.
func (a *Advice) measure(before, after *standing, s exercise.Step) {
	a.Measured = true
	a.Before, a.After, a.Told = len(before.open()), len(after.open()), before.bits-after.bits
	if before.own != nil {
		a.Expected = before.own.bits
	}
	for _, p := range before.open() {
		if now := after.probability(p.Place); now < openFrom && now < p.Probability/3 {
			a.Fell = append(a.Fell, p.Place.String())
		}
	}
	rose := ""
	if len(after.places) > 0 && after.places[0].Probability > before.probability(after.places[0].Place)+0.2 {
		rose = after.places[0].Place.String()
	}
	a.Nothing = math.Abs(a.Told) < nothingBits && len(a.Fell) == 0
	switch {
	case !s.Reply.Taken:
		a.say("There was nothing to read, and that is no evidence in numbers.")
		a.Nothing = true
	case before.done && len(after.places) > 0 && len(before.places) > 0 && after.places[0].Place == before.places[0].Place:
		a.say("All had been decided by then (%s); it confirms that.", before.why)
	case a.Nothing:
		a.say("It told nothing: %s before it, %s after it.", openWords(a.Before), openWords(a.After))
		a.sayWhy(before, s)
	case a.Told < -nothingBits:
		a.say("A surprise: it spoke against what was likeliest, and %.1f bits more are to be found out now: %s before it, %s after it.", -a.Told, openWords(a.Before), openWords(a.After))
	default:
		a.say("It told %.1f bits: %s before it, %s after it.", a.Told, openWords(a.Before), openWords(a.After))
	}
	if len(a.Fell) > 0 {
		a.say("It cleared %s.", some(a.Fell))
	}
	if rose != "" {
		a.say("It speaks for %s, now %s.", rose, view.PercentInWords(after.places[0].Probability))
	}
	if !said(s.Action.Reason) {
		a.say("No reason was given.")
	}
	if !s.Action.Watch { // what watching catches is not reckoned beforehand, so nothing is held against it
		a.sayBetter(before)
	}
}

// sayWhy says why a reading could not tell anything: what all that was still open shows there.
func (a *Advice) sayWhy(before *standing, s exercise.Step) {
	if before.own == nil || before.own.bits >= toldBits {
		if before.own != nil {
			a.say("It might have: %.1f bits were to be expected. It came out as most of what was open says.", before.own.bits)
		}
		return
	}
	r := s.Reply.Reading
	words := "Whatever of these is at fault, this reading shows much the same"
	if r.Quantity == circuits.Volts && len(r.State.Unplugged) > 0 && len(r.State.Loads) == 0 && r.Value > feedVolts {
		words += ": with the plug apart hardly any current flows there, and without current a bad joint drops no volts"
	}
	a.say("%s.", words)
}

// sayBetter names the better reading, and why it is.
func (a *Advice) sayBetter(before *standing) {
	b, own := before.best, before.own
	if b == nil || before.done || own == nil || b.key == own.key || b.bits < toldBits {
		return
	}
	if own.bits/own.minutes*betterBy >= b.bits/b.minutes || b.bits-own.bits < betterBits && own.minutes-b.minutes < betterMinutes {
		return
	}
	a.Better = b.words
	why := fmt.Sprintf("%.1f bits to be expected for %s, against %.1f for %s", b.bits, view.Minutes(b.minutes), own.bits, view.Minutes(own.minutes))
	if len(b.parts) == 2 && b.parts[0] != b.parts[1] {
		why += fmt.Sprintf("; it parts %s from %s", b.parts[0], b.parts[1])
	}
	a.say("Better here: %s (%s)", b.words, why)
}

// openWords says how many places are open.
// nothingBits is the information, got or lost, that is none: it would be shown as 0.0.
const nothingBits = 0.05

// feedVolts is the voltage from which on a point without load looks fed.
const feedVolts = 0.5

func openWords(n int) string {
	if n == 1 {
		return "1 place was open"
	}
	return fmt.Sprintf("%d places were open", n)
}

// some names the first places of a list.
func some(list []string) string {
	const most = 5
	if len(list) > most {
		return strings.Join(list[:most], ", ") + fmt.Sprintf(" and %d more", len(list)-most)
	}
	return joined(list)
}
