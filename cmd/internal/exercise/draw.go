package exercise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
)

// standing draws how the machine of a set stands: one value for each sensor, round, away from the ends of its range.
func standing(c *circuits.Circuit, random *rand.Rand) []circuits.SetDevice {
	var out []circuits.SetDevice
	for i := range c.Devices {
		d := &c.Devices[i]
		draw := random.Float64()
		switch {
		case !d.Kind.HasStimulus() || d.HasSet:
			continue
		case d.Kind.TwoState():
			out = append(out, circuits.SetDevice{Device: d.Name, Set: math.Round(draw)})
		default:
			width := d.Range[1] - d.Range[0]
			step := roundStep(width / 20)
			set := roundTo(math.Round((d.Range[0]+width*(0.2+0.6*draw))/step)*step, 6)
			out = append(out, circuits.SetDevice{Device: d.Name, Set: min(max(set, d.Range[0]), d.Range[1])})
		}
	}
	return out
}

// roundStep is the greatest of 1, 2 or 5 times a power of ten that is no more than v.
func roundStep(v float64) float64 {
	base := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{5, 2} {
		if v >= k*base*(1-1e-9) {
			return k * base
		}
	}
	return base
}

// roundTo drops what binary fractions add behind so many decimals.
func roundTo(v float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round(v*scale) / scale
}

// list draws the machines that the circuit allows: each single fault once, each that can come and go so too, and pairs.
func (m *maker) list() {
	var singles []circuits.Single
	for _, h := range hypothesis.Hypotheses(m.c, hypothesis.DefaultWeights(), nil) {
		if h.Fault.Kind != circuits.Healthy && h.Fault.Kind != circuits.Unlisted {
			singles = append(singles, m.withOhms(h.Fault))
		}
	}
	var all []*drawn
	add := func(f circuits.Fault, duty float64) {
		if d := m.draw(f, duty); d != nil {
			all = append(all, d)
		}
	}
	for _, f := range singles {
		add(circuits.Fault{First: f}, 1)
	}
	if m.q.Level >= 3 {
		for _, f := range singles {
			if f.Kind == circuits.Open || f.Kind == circuits.HighResistance || f.Kind.TakesOhms() {
				add(circuits.Fault{First: m.withOhms(f.WithoutOhms())}, 0.25+0.35*m.random.Float64())
			}
		}
		for range min(4*m.q.Count, len(singles)*(len(singles)-1)/2) {
			a, b := singles[m.random.IntN(len(singles))], singles[m.random.IntN(len(singles))]
			if f, err := m.c.ResolveFault(circuits.Fault{First: m.withOhms(a.WithoutOhms()), Second: m.withOhms(b.WithoutOhms())}); err == nil && a.At != b.At {
				add(f, 1)
			}
		}
	}
	m.drawn = m.order(all)
}

// withOhms draws what a fault leaves open. Ohms are log-uniform: 3 Ω to 300 kΩ in series, 0.1 Ω to 10 kΩ of a short.
func (m *maker) withOhms(f circuits.Single) circuits.Single {
	between := func(low, high float64) float64 {
		return roundTo(math.Exp(math.Log(low)+m.random.Float64()*math.Log(high/low)), 2)
	}
	switch {
	case f.Kind == circuits.HighResistance:
		return f.WithOhms(between(3, 300e3))
	case f.Kind.TakesOhms():
		return f.WithOhms(between(0.1, 10e3))
	case f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong:
		d := m.c.Device(f.At.From.Place)
		f.Shows = roundTo(d.Range[0]+m.random.Float64()*(d.Range[1]-d.Range[0]), 3)
		f.Shows = min(max(f.Shows, d.Range[0]), d.Range[1])
		if d.Kind.TwoState() {
			f.Shows = float64(m.random.IntN(2))
		}
	case f.IsLowReference():
		return f.WithShare(roundTo(0.6+0.3*m.random.Float64(), 3))
	}
	return f
}

// draw builds a machine; nil where it shows nothing from outside.
func (m *maker) draw(f circuits.Fault, duty float64) *drawn {
	m.set.Allowed++
	x := &Exercise{CircuitName: Clean(m.q.CircuitName), CircuitText: m.text, Circuit: m.c, Meter: circuits.DefaultMeter(), Stands: m.stands, Intermittent: duty < 1,
		Hidden: Hidden{Fault: f, Seed: m.random.Uint64(), Duty: duty}}
	o := look(x, NewMachine(x))
	if o.quiet {
		m.set.Quiet++
		return nil
	}
	x.Codes = o.codes
	d := &drawn{x: x, outside: o, signature: o.signature(duty < 1), place: hypothesis.PlaceOf(f).String()}
	if f.IsDouble() && !m.bothShow(f, d.signature) {
		m.set.Allowed-- // the other one hides it: this is no machine with two faults
		return nil
	}
	return d
}

// bothShow tells whether each of two faults changes what the machine shows.
func (m *maker) bothShow(f circuits.Fault, signature string) bool {
	for _, s := range []circuits.Single{f.First, f.Second} {
		x := &Exercise{Circuit: m.c, Meter: circuits.DefaultMeter(), Stands: m.stands, Hidden: Hidden{Fault: circuits.Fault{First: s}, Duty: 1}}
		if o := look(x, NewMachine(x)); o.quiet || o.signature(false) == signature {
			return false
		}
	}
	return true
}

// ofFamily is how many of one symptom are tried before the next symptom.
const ofFamily = 5

// order puts the machines into the order in which they are tried: those whose plain facts fit the level first, and
// some of one symptom together, so that families come about; symptoms of one place alone come last.
func (m *maker) order(all []*drawn) []*drawn {
	m.random.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
	groups, places := map[string][]*drawn{}, map[string]map[string]bool{}
	var keys []string
	for _, d := range all {
		key := fmt.Sprint(m.unfit(d), d.signature)
		if groups[key] == nil {
			keys = append(keys, key)
			places[key] = map[string]bool{}
		}
		groups[key] = append(groups[key], d)
		places[key][d.place] = true
	}
	rank := func(key string) int { return 2*m.unfit(groups[key][0]) + max(0, 2-len(places[key])) }
	ranks := map[string]int{}
	for _, key := range keys {
		ranks[key] = rank(key)
	}
	slices.SortStableFunc(keys, func(a, b string) int { return ranks[a] - ranks[b] })
	var out []*drawn
	for len(out) < len(all) {
		for _, key := range keys {
			n := min(ofFamily, len(groups[key]))
			out = append(out, groups[key][:n]...)
			groups[key] = groups[key][n:]
		}
	}
	return out
}

// unfit is 1 for a machine that what is known before its proof makes unlikely for the level, else 0.
func (m *maker) unfit(d *drawn) int {
	special := d.x.Intermittent || d.x.Hidden.Fault.IsDouble()
	if m.q.Level >= 4 && !special || m.q.Level < 4 && special {
		return 1
	}
	return 0
}
