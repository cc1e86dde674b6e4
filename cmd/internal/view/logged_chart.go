package view

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
	"ohmtrail/solver/reason"
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
	return spaced(Where(r)) + ", " + r.Quantity.Unit()
}

// chartFaults is how many faults get a band.
const chartFaults = 2

// chartShare is the share from which on a group after the first gets one.
const chartShare = 0.01

// ChartBands are what would be read with nothing wrong and with the leading faults, one of each group.
func (v Logged) ChartBands(i int) []ChartBand {
	c := &v.Log.Channels[i]
	out := []ChartBand{band("healthy", c.Reading.Quantity, c.Healthy)}
	for _, g := range v.Ranking.Groups {
		if len(out) > chartFaults {
			break
		}
		lead := g.Faults[0]
		if lead.Fault.Kind == circuits.Healthy || lead.Fault.Kind == circuits.Unlisted {
			continue
		}
		f := lead.Whole()
		if o := lead.Ohms; o != nil && !f.IsDouble() {
			f = circuits.Fault{First: f.First.WithOhms(o.Best)}
		}
		if len(out) > 1 && g.Probability < chartShare {
			break
		}
		f, name := lead.Whole(), lead.Name()
		if o := lead.Ohms; o != nil && !f.IsDouble() {
			f = circuits.Fault{First: f.First.WithOhms(o.Best)}
			name += " at " + held(models.SI(o.Best, "Ω"))
		}
		if more := len(g.Faults) - 1; more > 0 {
			name += " or " + count(more, "other", "others") + " like it"
		}
		b := band(name+" ("+percent(g.Probability)+")", c.Reading.Quantity, reason.Expect(v.Ranking.Job, c.Reading, f))
		if last := out[len(out)-1]; b.Low != last.Low || b.High != last.High { // what reads alike has one band
			out = append(out, b)
		}
	}
	return out
}

func band(name string, q circuits.Quantity, e reason.Expectation) ChartBand {
	return ChartBand{Name: name + ": " + between(q, e), Low: e.Low, High: e.High}
}
