package view

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// Text is a ranking for a terminal, with at most top groups.
func (v Ranked) Text(p Page, top int) string {
	var b strings.Builder
	b.WriteString(jobText(p, v.Ranking.Job))
	b.WriteString("\n" + p.strong("Verdict") + "\n")
	b.WriteString(p.paragraph("  ", v.verdict()))
	for _, words := range SlipsWords(&v.Ranking) {
		b.WriteString(p.paragraph("  ", words))
	}
	b.WriteString("\n" + p.strong("Faults") + "\n")
	b.WriteString(v.groupsText(p, top))
	if learned := LearnedText(p, &v.Ranking); learned != "" {
		b.WriteString("\n" + learned)
	}
	if shown := shownUnits(v.Ranking.Job); len(shown) > 0 {
		b.WriteString("\n" + p.strong("Taken by the module for") + "\n")
		for _, s := range shown {
			b.WriteString(p.paragraph("  ", s))
		}
	}
	if cautions := Cautions(v.Ranking.Job); len(cautions) > 0 {
		b.WriteString("\n" + p.strong("Caution") + "\n")
		for _, c := range cautions {
			b.WriteString(p.paragraph("  ", c))
		}
	}
	if len(v.Why) > 0 {
		b.WriteString("\n" + v.accountText(p))
	}
	return b.String()
}

// shownUnits are the scan values in their sensors' own units.
func shownUnits(j *circuits.Job) []string {
	var out []string
	for _, r := range j.Readings {
		if words := InUnits(j, r); words != "" {
			out = append(out, fmt.Sprintf("%s %s: %s", r.At, models.Volts(r.Value), words))
		}
	}
	return out
}

// verdict is the ranking's own verdict as a sentence. A fault's name keeps its letters, so that it can be copied.
func (v Ranked) verdict() string {
	words := strings.ReplaceAll(Verdict(&v.Ranking), " %", nbsp+"%")
	if len(v.Ranking.Groups) > 0 && strings.HasPrefix(words, v.Ranking.Groups[0].Faults[0].Name()) {
		return words + "."
	}
	return sentence(words)
}

// sentence gives words a capital and a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	if first := s[0]; first >= 'a' && first <= 'z' {
		s = string(first-'a'+'A') + s[1:]
	}
	return strings.TrimSuffix(s, ".") + "."
}

// jobText is the head of an answer: machine, complaint, codes, readings.
func jobText(p Page, j *circuits.Job) string {
	var b strings.Builder
	var head []string
	for _, s := range []string{j.Machine, j.Complaint} {
		if s != "" {
			head = append(head, s)
		}
	}
	if len(head) == 0 {
		head = append(head, j.Circuit.Title)
	}
	b.WriteString(p.paragraph("", strings.Join(head, ": ")))
	taken := 0
	for _, r := range j.Readings {
		if r.Taken {
			taken++
		}
	}
	facts := count(taken, "reading taken", "readings taken")
	if planned := len(j.Readings) - taken; planned > 0 {
		facts += fmt.Sprintf(", %d planned", planned)
	}
	if len(j.Codes) > 0 {
		facts = "codes " + strings.Join(j.Codes, ", ") + "; " + facts
	}
	if len(j.Inspections) > 0 {
		facts += "; " + count(len(j.Inspections), "place looked at", "places looked at")
	}
	b.WriteString(p.paragraph("", facts))
	return b.String()
}

const (
	shownFaults = 6     // of a group; the others are counted
	placedShare = 0.15  // of the leading group, from which on a fault's place is said in words too
	shownShare  = 0.004 // a group that holds less is counted with the rest
)

// groupsText lists the groups, the likeliest first, and sums up the rest.
func (v Ranked) groupsText(p Page, top int) string {
	groups := v.Ranking.Groups
	shown := 0
	for shown < len(groups) && shown < top && (shown == 0 || groups[shown].Probability >= shownShare) {
		shown++
	}
	names, shares := 0, 0
	for _, g := range groups[:shown] {
		for _, c := range visible(g) {
			names, shares = max(names, width(c.Name())), max(shares, width(Percent(c.Probability)))
		}
	}
	var b strings.Builder
	for i, g := range groups[:shown] {
		faults := visible(g)
		for k, c := range faults {
			share := ""
			if k == 0 {
				share = Percent(g.Probability)
			}
			own := ""
			if len(g.Faults) > 1 {
				own = Percent(c.Probability)
			}
			b.WriteString(faultLine(p, share, c, own, names, shares, i == 0 && k == 0))
			if place := FaultPlace(v.Ranking.Job.Circuit, c.Whole()); i == 0 && place != "" && c.Probability >= placedShare*g.Probability {
				b.WriteString(p.paragraph("            ", place))
			}
		}
		if more := len(g.Faults) - len(faults); more > 0 {
			b.WriteString(fmt.Sprintf("          and %d more like these\n", more))
		}
	}
	rest, faults := 0.0, 0
	for _, g := range groups[shown:] {
		rest += g.Probability
		faults += len(g.Faults)
	}
	if faults > 0 {
		b.WriteString(spaced(fmt.Sprintf("  %6s  %s\n", Percent(rest), count(faults, "other fault", "other faults"))))
	}
	return b.String()
}

// visible are the faults of a group that are listed: the likeliest, as long as they hold some of its probability.
func visible(g rank.Group) []rank.Candidate {
	n := 1
	for n < len(g.Faults) && n < shownFaults && g.Faults[n].Probability >= 0.01*g.Probability {
		n++
	}
	return g.Faults[:n]
}

// faultLine is one fault of a group: the group's share, the name, the fault's own share, its ohms. On a narrow page
// the name stands on a line of its own.
func faultLine(p Page, share string, c rank.Candidate, own string, names, shares int, lead bool) string {
	name := c.Name()
	ohms := ohmsWords(c.Ohms)
	if ohms != "" && c.Whole().IsDouble() { // the ohms are those of one of the two
		ohms = c.Fault.At.String() + ": " + ohms
	}
	head := "  " + pad(share, 6, true) + "  "
	whole := head + pad(name, names, false) + "  " + pad(own, shares, true) + "  " + ohms
	if width(whole) > p.Width {
		whole = head + name
		if tail := strings.TrimSpace(own + "  " + ohms); tail != "" {
			whole += "\n" + strings.Repeat(" ", width(head)+2) + tail
		}
	}
	if lead {
		whole = strings.Replace(whole, name, p.strong(name), 1)
	}
	return spaced(trimLines(whole)) + "\n"
}

func trimLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}

// vague is the ratio of the bounds of a resistance from which on no best value is said.
const vague = 30

// ohmsWords says a resistance with its bounds, or its bounds alone where they are far apart.
func ohmsWords(o *evidence.Ohms) string {
	if o == nil {
		return ""
	}
	best, low, high := held(models.SI(o.Best, "Ω")), held(models.SI(o.Low, "Ω")), held(models.SI(o.High, "Ω"))
	switch {
	case math.IsNaN(o.Low) || math.IsNaN(o.High):
		return best
	case o.High > vague*o.Low:
		return low + " to " + high
	case low == high:
		return best
	}
	return best + " (" + low + " to " + high + ")"
}
