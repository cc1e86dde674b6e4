package view

import (
	"fmt"
	"strings"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// handSlipWords say what a hand may have done, in a clause that follows "if". %s is the plug or the point.
var handSlipWords = map[evidence.HandSlipKind]string{
	evidence.StillUnplugged: "%s was still unplugged",
	evidence.StillPlugged:   "%s was still plugged in",
	evidence.JumperStillOn:  "the jumper at %s was still on",
	evidence.JumperOff:      "the jumper at %s made no contact",
	evidence.LoadOff:        "the load at %s made no contact",
	evidence.OtherHalf:      "the lead stood on the other half, %s",
	evidence.NextCavity:     "the lead stood in the next cavity, %s",
	evidence.LeadsChanged:   "the leads were changed over",
	evidence.KeyOther:       "the key was %s",
	evidence.Thousandfold:   "a thousandth was read for the whole, as mV for V or Ω for kΩ, or the reverse",
}

// HandSlip is one slip as a clause that follows "if".
func HandSlip(s evidence.HandSlip) string {
	words := handSlipWords[s.Kind]
	if strings.Contains(words, "%s") {
		return fmt.Sprintf(words, s.What)
	}
	return words
}

// slipsNamed is the most slips that are named for one reading.
const slipsNamed = 2

// SlipsWords say which slips of the hand explain readings that do not fit, a sentence each.
func SlipsWords(r *rank.Ranking) []string {
	var out []string
	for _, x := range r.Slips {
		var clauses []string
		for _, s := range x.Slips[:min(slipsNamed, len(x.Slips))] {
			clauses = append(clauses, HandSlip(s))
		}
		out = append(out, sentence(fmt.Sprintf("reading %d (%s) would fit if %s", x.Reading+1, r.Job.Readings[x.Reading].At, strings.Join(clauses, ", or if "))))
	}
	return out
}

// SlipJSON is what a hand may have done otherwise at a reading.
type SlipJSON struct {
	Reading int      `json:"reading"`
	If      []string `json:"if"` // clauses, the likeliest first
}

// slipsJSON are the slips for programs.
func slipsJSON(r *rank.Ranking) []SlipJSON {
	var out []SlipJSON
	for _, x := range r.Slips {
		j := SlipJSON{Reading: x.Reading}
		for _, s := range x.Slips {
			j.If = append(j.If, HandSlip(s))
		}
		out = append(out, j)
	}
	return out
}
