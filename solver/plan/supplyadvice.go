package plan

import (
	"math"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
	"ohmtrail/solver/rank"
)

// collapsedSupply gives the order in which to part the branches of a shared reference that is pulled down: by odds over
// minutes, with the voltage that shows the guilty one; then the second question, always: the sensor or its branch?
func collapsedSupply(r *rank.Ranking) []Advice {
	lines := conductors(r.Job.Circuit)
	for _, m := range r.Job.Circuit.Modules {
		for i := range m.Pins {
			pin := &m.Pins[i]
			k := lines[pin.Point()]
			if pin.Kind != circuits.PinReference || k == nil || len(k.terminals) < 3 {
				continue
			}
			if p := shortOdds(r, pin, k); p > 0.3 {
				return []Advice{partingOrder(r, pin, k)}
			}
		}
	}
	return nil
}

// shortOdds is the probability of a short to ground, or a shorted part, on a reference's conductor.
func shortOdds(r *rank.Ranking, pin *circuits.Pin, k *conductor) float64 {
	sum := 0.0
	at := circuits.Reading{At: circuits.PointLocation(pin.Point()), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
	for _, c := range r.Candidates[:min(len(r.Candidates), 40)] {
		if c.Fault.Kind == circuits.Healthy || c.Fault.Kind == circuits.Unlisted || c.Whole().IsDouble() {
			continue
		}
		out := network.Read(r.Job.Circuit, r.Job.Meter, at, nil, circuits.Fault{First: worstOhms(c)})
		series := c.Fault.Kind == circuits.Open || c.Fault.Kind == circuits.HighResistance || c.Fault.Kind == circuits.ModuleInside
		if !series && out.Status == network.Fine && out.Value < 0.9*pin.Volts {
			sum += c.Probability
		}
	}
	return sum
}

func partingOrder(r *rank.Ranking, pin *circuits.Pin, k *conductor) Advice {
	type branch struct {
		name    string
		odds    float64
		minutes float64
	}
	var branches []branch
	reached := r.Job.Reached()
	for _, t := range k.terminals {
		if r.Job.Circuit.Device(t.Place) == nil {
			continue
		}
		b := branch{name: t.Place, minutes: 2}
		if !reached[t.Place] {
			b.minutes += r.Job.Circuit.AccessMin(t.Place)
		}
		for _, c := range r.Candidates {
			if c.Fault.At.From.Place == t.Place || c.Fault.At.To.Place == t.Place {
				b.odds += c.Probability
			}
		}
		branches = append(branches, b)
	}
	for _, x := range r.Job.Circuit.Connectors {
		if n := branchesBehind(r, x.Name, k); n > 1 && n < len(branches) {
			b := branch{name: x.Name, minutes: 2}
			if !reached[x.Name] {
				b.minutes += x.AccessMin
			}
			for _, o := range branches {
				b.odds += o.odds * float64(n) / float64(len(branches))
			}
			branches = append(branches, b)
		}
	}
	sort.SliceStable(branches, func(i, j int) bool {
		return branches[i].odds/branches[i].minutes > branches[j].odds/branches[j].minutes
	})
	var names []string
	for _, b := range branches {
		names = append(names, b.name)
	}
	return Advice{Kind: CollapsedSupply, Point: pin.Point(), Names: names, Volts: pin.Volts}
}

// branchesBehind counts the parts on a conductor whose runs go through a connector.
func branchesBehind(r *rank.Ranking, connector string, k *conductor) int {
	n := 0
	for _, run := range r.Job.Circuit.Runs {
		through := false
		for _, p := range run.Path {
			through = through || p.Place == connector
			for _, t := range k.terminals {
				if through && p == t && r.Job.Circuit.Device(t.Place) != nil {
					n++
				}
			}
		}
	}
	return n
}

// loadTest plans a load on a feed whose high resistance no reading without current can show.
func loadTest(r *rank.Ranking) []Advice {
	if places := r.Places(); r.Job.Circuit.Pyrotechnic || len(places) == 0 || places[0].Probability > confirmed || hasLoaded(r) {
		return nil
	}
	l := candidateList{j: r.Job, c: r.Job.Circuit, conductors: conductors(r.Job.Circuit), seen: map[string]bool{}}
	for i := range r.Job.Circuit.Devices {
		d := &r.Job.Circuit.Devices[i]
		for _, t := range d.Terminals {
			p := circuits.Point{Place: d.Name, Cavity: t.Cavity}
			if l.conductors[p] == nil || seriesOdds(r, p) < 0.1 {
				continue
			}
			if ohms := l.loadOhms(p); ohms > 0 {
				return []Advice{underLoad(r, d, p, ohms)}
			}
		}
	}
	return nil
}

// hasLoaded tells whether a reading under a test load has been taken.
func hasLoaded(r *rank.Ranking) bool {
	for _, reading := range r.Job.Readings {
		if reading.Taken && !reading.Sound && len(reading.State.Loads) > 0 {
			return true
		}
	}
	return false
}

// seriesOdds is the probability of a high resistance or open in the runs that end at a terminal.
func seriesOdds(r *rank.Ranking, p circuits.Point) float64 {
	sum := 0.0
	for _, run := range r.Job.Circuit.Runs {
		ends := false
		for _, q := range run.Path {
			ends = ends || q == p
		}
		if !ends {
			continue
		}
		for _, c := range r.Candidates {
			if c.Fault.Kind != circuits.HighResistance || c.Whole().IsDouble() {
				continue
			}
			for _, w := range run.Wires {
				if r.Job.Circuit.Wires[w].Location == c.Fault.At {
					sum += c.Probability
				}
			}
			for _, q := range run.Path {
				if c.Fault.At == circuits.PointLocation(q) {
					sum += c.Probability
				}
			}
		}
	}
	return sum
}

func underLoad(r *rank.Ranking, d *circuits.Device, feed circuits.Point, ohms float64) Advice {
	reading := circuits.Reading{At: circuits.PointLocation(feed), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn,
		Unplugged: []string{d.Name}, Loads: []circuits.LoadLead{{From: feed, To: circuits.BNegative, Ohms: ohms}}}}
	good := network.Read(r.Job.Circuit, r.Job.Meter, reading, nil, circuits.Fault{})
	bad, badOhms := network.Outcome{}, 100.0
	for _, c := range r.Candidates {
		if c.Fault.Kind == circuits.HighResistance && !c.Whole().IsDouble() {
			f := c.Fault.WithOhms(badOhms)
			if c.Ohms != nil {
				f, badOhms = c.Fault.WithOhms(c.Ohms.Best), c.Ohms.Best
			}
			bad = network.Read(r.Job.Circuit, r.Job.Meter, reading, nil, circuits.Fault{First: f})
			if math.Abs(bad.Value-good.Value) > 0.1 {
				break
			}
		}
	}
	return Advice{Kind: LoadTest, Names: []string{d.Name}, Point: feed, Ohms: ohms, Good: good.Value, Bad: bad.Value, BadOhms: badOhms}
}

// unfeltVolts at a module's pin are less than one step of its converter.
const unfeltVolts = 0.002

// matters says what a found resistance does here, in the sensors' own units at the ends and middle of their ranges.
func matters(r *rank.Ranking) []Advice {
	c, ok := lead(r, 0.5)
	if !ok || c.Fault.Kind != circuits.HighResistance || c.Ohms == nil || c.Whole().IsDouble() {
		return nil
	}
	f := c.Fault.WithOhms(c.Ohms.Best)
	out := Advice{Kind: Matters, Ohms: c.Ohms.Best, Location: c.Fault.At}
	lines := conductors(r.Job.Circuit)
	for i := range r.Job.Circuit.Devices {
		d := &r.Job.Circuit.Devices[i]
		in, ok := inputOf(r.Job.Circuit, lines, d)
		if !ok || !d.Kind.HasStimulus() || d.Kind.TwoState() {
			continue
		}
		for _, share := range []float64{0.1, 0.5, 0.9} {
			set := d.Range[0] + share*(d.Range[1]-d.Range[0])
			seen := pinVolts(r.Job, d, in, set, f)
			if math.Abs(seen-pinVolts(r.Job, d, in, set, circuits.Single{})) < unfeltVolts {
				continue
			}
			shown, ok := stimulusFor(r.Job, d, in, seen)
			if !ok {
				out.Shifts = append(out.Shifts, Shift{Device: d, Set: set, Lost: true, Volts: seen})
			} else if math.Abs(shown-set) > 0.002*(d.Range[1]-d.Range[0]) {
				out.Shifts = append(out.Shifts, Shift{Device: d, Set: set, Shown: shown})
			}
		}
	}
	return []Advice{out}
}
