package view

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// Moved is how a reading moved the odds.
type Moved struct{ Before, After rank.Ranking }

// movedRow is one group of faults before and after.
type movedRow struct {
	before, after float64
	words         string
}

const (
	movedGroups = 4 // groups shown of those that lead after
	movedGone   = 2 // and of those that led before
)

// Text sets the leading groups after a reading beside what the same faults held before it, then the groups that led
// before and lead no more.
func (m Moved) Text(p Page) string {
	var b strings.Builder
	b.WriteString(p.strong("Faults, before and after") + "\n")
	for _, r := range m.rows() {
		head := "  " + pad(Percent(r.before), 6, true) + " → " + pad(Percent(r.after), 6, true) + "  "
		b.WriteString(p.paragraph(head, r.words))
	}
	return b.String()
}

func (m Moved) rows() []movedRow {
	before, after := odds(m.Before), odds(m.After)
	told := map[circuits.Fault]bool{}
	var out []movedRow
	row := func(g rank.Group) {
		var own []rank.Candidate
		r := movedRow{}
		for _, c := range g.Faults {
			if f := c.Whole().WithoutOhms(); !told[f] {
				told[f] = true
				own = append(own, c)
				r.before += before[f]
				r.after += after[f]
			}
		}
		r.words = groupWords(own)
		out = append(out, r)
	}
	for i, g := range m.After.Groups {
		if i == movedGroups || i > 0 && g.Probability < shownShare {
			break
		}
		row(g)
	}
	for i, g := range m.Before.Groups {
		if i == movedGone || g.Probability < shownShare {
			break
		}
		if !told[g.Faults[0].Whole().WithoutOhms()] {
			row(g)
		}
	}
	return out
}

// odds are the probabilities of a ranking's faults.
func odds(r rank.Ranking) map[circuits.Fault]float64 {
	out := map[circuits.Fault]float64{}
	for _, c := range r.Candidates {
		out[c.Whole().WithoutOhms()] = c.Probability
	}
	return out
}

// groupWords names faults that stand together: the likeliest, and how many more hold some of the probability.
func groupWords(faults []rank.Candidate) string {
	words := faults[0].Name()
	total, more := 0.0, 0
	for _, c := range faults {
		total += c.Probability
	}
	for _, c := range faults[1:] {
		if c.Probability > 0.01*total {
			more++
		}
	}
	if more > 0 {
		words += " and " + itoa(more) + " more"
	}
	if ohms := ohmsWords(faults[0].Ohms); ohms != "" && more == 0 {
		words += "  " + strings.ReplaceAll(ohms, " ", nbsp)
	}
	return words
}

// VerdictText is the ranking's verdict as a sentence.
func (v Ranked) VerdictText() string { return v.verdict() }

// WhyText is the account of the asked faults alone.
func (v Ranked) WhyText(p Page) string { return v.accountText(p) }
