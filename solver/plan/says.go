package plan

import (
	"fmt"
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// Says is what an outcome would mean, in words: "about 0.10 V: the likeliest is then open C7:3; S2>MHS:3 is good".
func Says(r *rank.Ranking, s Suggestion, b OutcomeBand) string {
	var text strings.Builder
	text.WriteString(b.Value(s.Reading.Quantity) + ": ")
	if len(b.Faults) == 0 {
		text.WriteString("nothing listed predicts it")
		return text.String()
	}
	text.WriteString("then " + spoken(b.Faults[0]))
	if len(b.Faults) > 1 {
		text.WriteString(", or " + spoken(b.Faults[1]))
	}
	if len(b.Faults) > 2 {
		fmt.Fprintf(&text, " (and %d more)", len(b.Faults)-2)
	}
	if good := cleared(r, b); good != "" {
		text.WriteString("; " + good)
	}
	return text.String()
}

// Value is the outcome's range as one would say it: "about 5.00 V", "0.1 to 2.3 V", "OL".
func (b OutcomeBand) Value(q circuits.Quantity) string {
	if b.Words != "" {
		return b.Words
	}
	low, high := b.Low, b.High
	show := func(v float64) string { return models.SI(v, q.Unit()) }
	switch q {
	case circuits.Ohms:
		low, high = math.Exp(low), math.Exp(high)
		if high < 1 {
			return "next to nothing, below " + show(high)
		}
	case circuits.Volts, circuits.ScanVolts:
		show = models.Volts
	}
	if q == circuits.Ohms && high < 1.15*low || q != circuits.Ohms && high-low < 0.3 {
		middle := (low + high) / 2
		if q != circuits.Ohms && math.Abs(middle) < 0.02 {
			return "about 0 " + q.Unit()
		}
		return "about " + show(middle)
	}
	return show(low) + " to " + show(high)
}

func spoken(f circuits.Fault) string {
	if f.First.Kind == circuits.Healthy {
		return "nothing is wrong here, or not now"
	}
	return f.String()
}

// cleared names a leading place that an outcome would clear: one of those with a tenth of the odds or more now, of which
// next to nothing is left then.
func cleared(r *rank.Ranking, b OutcomeBand) string {
	sum := 0.0
	for _, w := range b.repair {
		sum += w
	}
	left := map[hypothesis.Place]float64{}
	for i, place := range newPlaceIndex(r).places {
		left[place] = b.repair[i] / sum
	}
	var good []string
	for _, p := range r.Places() {
		if p.Probability < 0.1 {
			break
		}
		if p.Place.Known() && left[p.Place] < 0.02 && len(good) < 2 {
			good = append(good, p.Place.String())
		}
	}
	switch len(good) {
	case 0:
		return ""
	case 1:
		return good[0] + " is good"
	}
	return strings.Join(good, " and ") + " are good"
}
