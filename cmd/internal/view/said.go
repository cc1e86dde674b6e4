package view

import (
	"strings"

	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// OhmsWords says a resistance with its bounds, or its bounds alone where they are far apart; "" for none.
func OhmsWords(o *evidence.Ohms) string { return spaced(ohmsWords(o)) }

// Visible are the faults of a group worth listing: the likeliest, as long as they hold some of its probability.
func Visible(g rank.Group) []rank.Candidate { return visible(g) }

// Against says in a paragraph how one fault stands: what was thought of it before, and which readings speak against it.
func (v Ranked) Against(c rank.Candidate) string {
	return spaced(strings.TrimSpace(v.against(Page{Width: 1 << 20}, c)))
}

// ReasonText is a plan's reason as a sentence.
func (v Planned) ReasonText() string { return spaced(reasonText(Reason(&v.Ranking, v.Plan))) }
