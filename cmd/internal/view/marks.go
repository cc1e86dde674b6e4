package view

import (
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draw"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// Marks is what a ranking adds to the drawing of its circuit: the suspect places of the leading groups, and at each test
// point what was read, what a healthy circuit shows and what the leading fault predicts.
func Marks(r rank.Ranking) draw.Marks {
	j := r.Job
	m := draw.Marks{Title: strings.Join(nonEmpty(j.Machine, j.Complaint), ": "), Legend: true, Suspects: suspects(r)}
	if !j.Circuit.Pyrotechnic { // of such a circuit the drawing says its own
		m.Cautions = Cautions(j)
	}
	lead, known := leadingFault(r)
	expecter := evidence.NewExpecter(j)
	for i, reading := range j.Readings {
		point, ok := testPoint(j.Circuit, reading)
		if !ok || reading.Sound { // that is another machine
			continue
		}
		t := draw.Test{Point: point, Healthy: expectedWords(expecter.Expect(reading, circuits.Fault{}), reading.Quantity)}
		if known {
			t.Leading = expectedWords(expecter.Expect(reading, lead), reading.Quantity)
		}
		if read := Read(reading); read != "" {
			t.Measured = spaced(read)
		} else {
			t.Measured = "not read yet"
		}
		t.Measured = itoa(i+1) + ") " + t.Measured
		if meter := reading.Quantity == circuits.Volts || reading.Quantity == circuits.Ohms; meter && reading.To != circuits.BNegative {
			t.Measured += " to " + reading.To.String()
		}
		m.Tests = append(m.Tests, t)
	}
	return m
}

func nonEmpty(list ...string) []string {
	var out []string
	for _, s := range list {
		if s != "" {
			out = append(out, s)
		}
	}
	return out
}

// leadingFault is the likeliest fault with its likeliest ohms; known is false where none predicts readings.
func leadingFault(r rank.Ranking) (f circuits.Fault, known bool) {
	for _, g := range r.Groups {
		c := g.Faults[0]
		if c.Fault.Kind == circuits.Healthy || c.Fault.Kind == circuits.Unlisted {
			continue
		}
		f = c.Whole()
		if c.Ohms != nil && !math.IsNaN(c.Ohms.Best) {
			for _, s := range []*circuits.Single{&f.First, &f.Second} {
				if *s == c.Fault {
					*s = s.WithOhms(c.Ohms.Best)
				}
			}
		}
		return f, true
	}
	return f, false
}

// testPoint is where a reading is shown on the drawing: its red lead, or the contact that an ammeter stands in for.
func testPoint(c *circuits.Circuit, r circuits.Reading) (circuits.Point, bool) {
	if r.Quantity != circuits.Amps {
		return r.Point(), true
	}
	if w := c.Wire(r.At); w != nil {
		return w.From, true
	}
	if k := c.Contact(r.At); k != nil {
		return k.First, true
	}
	return r.Point(), !r.Point().IsZero()
}

func expectedWords(e evidence.Expectation, q circuits.Quantity) string {
	switch v, _, _ := amounts(e); {
	case math.IsNaN(v):
		return "none"
	case math.IsInf(v, 1):
		return "OL"
	default:
		return Value(q, v)
	}
}

const (
	mostSuspects  = 6
	leastSuspect  = 0.01 // a place that holds less is not drawn
	enoughSuspect = 0.99
)

// suspects are the places of the leading groups. Several faults of one place become one suspect.
func suspects(r rank.Ranking) []draw.Suspect {
	type place struct{ at, to circuits.Location }
	index := map[place]int{}
	var out []draw.Suspect
	words := [][]string{}
	sum := 0.0
	for _, g := range r.Groups {
		if sum >= enoughSuspect {
			break
		}
		sum += g.Probability
		for _, c := range g.Faults {
			for _, s := range []circuits.Single{c.Whole().First, c.Whole().Second} {
				if s.At.IsZero() {
					continue
				}
				at := place{s.At, s.To}
				i, there := index[at]
				if !there {
					i = len(out)
					index[at] = i
					out = append(out, draw.Suspect{Location: s.At, Other: s.To})
					words = append(words, nil)
				}
				out[i].Probability += c.Probability
				if w := suspectWords(s); c.Probability >= 0.1*out[i].Probability && !slices.Contains(words[i], w) {
					words[i] = append(words[i], w)
				}
			}
		}
	}
	for i := range out {
		out[i].Words = strings.Join(words[i], " or ") + "? " + spaced(Percent(out[i].Probability))
	}
	sortSuspects(out)
	n := 0
	for n < len(out) && n < mostSuspects && out[n].Probability >= leastSuspect {
		n++
	}
	return out[:n]
}

func sortSuspects(list []draw.Suspect) {
	for i := 1; i < len(list); i++ {
		for k := i; k > 0 && list[k].Probability > list[k-1].Probability; k-- {
			list[k], list[k-1] = list[k-1], list[k]
		}
	}
}

// suspectWords say what may be wrong at a place.
func suspectWords(s circuits.Single) string {
	switch s.Kind {
	case circuits.Open:
		return "open here"
	case circuits.HighResistance:
		return "high resistance here"
	case circuits.ShortToGround:
		return "short to ground here"
	case circuits.ShortToVoltage:
		return "short to voltage here"
	case circuits.ShortBetween:
		return "touching each other"
	case circuits.Swapped:
		return "changed over"
	}
	return s.Words
}
