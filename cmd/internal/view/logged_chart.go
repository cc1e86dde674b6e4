package view

import (
	"math"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
)

// ChartBand is what would be read under one assumption.
type ChartBand struct {
	Name      string
	Low, High float64
}

// ChartTitle heads a chart.
func (v Logged) ChartTitle() string {
	j := v.Ranking.Job
	var head []string
	for _, s := range []string{j.Machine, j.Complaint} {
		if s != "" {
			head = append(head, s)
		}
	}
	if len(head) == 0 {
		return j.Circuit.Title
	}
	return strings.Join(head, ": ")
}

// ChartNote is the line under it: what the jumps follow.
func (v Logged) ChartNote() string {
	words := v.File + ". Dashed: levels; pointers: jumps; hatched: what would be read."
	if place := v.Log.Moved(); place != "" {
		words += " The jumps follow " + place + "."
	}
	return words
}

// ChartLabel names a channel's axis.
func (v Logged) ChartLabel(i int) string {
	r := v.Log.Channels[i].Reading
	return strings.TrimPrefix(spaced(Where(r)), "ohms ") + ", " + r.Quantity.Unit()
}

// ChartBands are what would be read with nothing wrong and with the leading faults.
func (v Logged) ChartBands(i int) []ChartBand {
	c := &v.Log.Channels[i]
	out := []ChartBand{band("healthy", c.Reading.Quantity, c.Healthy, v.Ranking.Job.Meter.MaxOhms)}
	for _, s := range v.Shown(i) {
		lead := s.Group.Faults[0]
		name := lead.Name()
		if lead.Ohms != nil && !lead.Whole().IsDouble() {
			name += " at " + held(models.SI(lead.Ohms.Best, "Ω"))
		}
		if more := len(s.Group.Faults) - 1; more > 0 {
			name += " or " + count(more, "other", "others") + " like it"
		}
		out = append(out, band(name+" ("+Percent(s.Group.Probability)+")", c.Reading.Quantity, s.Expects, v.Ranking.Job.Meter.MaxOhms))
	}
	return out
}

func band(name string, q circuits.Quantity, e evidence.Expectation, maxOhms float64) ChartBand {
	b := ChartBand{Name: name + ": " + between(q, e), Low: e.Low, High: e.High}
	if math.IsNaN(b.Low) && e.CanBeOL {
		b.Low, b.High = maxOhms, maxOhms
	}
	return b
}
