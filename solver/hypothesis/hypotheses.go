package hypothesis

import (
	"slices"

	"ohmtrail/circuits"
)

// Hypothesis is one fault that the circuit allows, with its prior probability and the reason for it.
type Hypothesis struct {
	Fault  circuits.Single // without ohms
	Prior  float64
	Reason Reason
}

// Hypotheses lists every single fault that a circuit allows, with healthy first and unlisted last. Priors sum to 1.
func Hypotheses(c *circuits.Circuit, w Weights, seen []circuits.Inspection) []Hypothesis {
	l := lister{c: c, w: w, seen: seen}
	for i := range c.Wires {
		l.wire(&c.Wires[i])
	}
	for i := range c.Contacts {
		l.contact(&c.Contacts[i])
	}
	for _, s := range c.Studs {
		l.series(circuits.PointLocation(circuits.Point{Place: s.Name}), w.Stud, studModes, Reason{Of: OfStud})
	}
	wiring := l.total()
	l.neighbours()
	l.devices(wiring)
	l.pins(wiring)
	return l.finish()
}

type lister struct {
	c    *circuits.Circuit
	w    Weights
	seen []circuits.Inspection
	list []Hypothesis
}

func (l *lister) total() float64 {
	sum := 0.0
	for _, h := range l.list {
		sum += h.Prior
	}
	return sum
}

// add appends a hypothesis, its weight multiplied by what was seen at its places.
func (l *lister) add(f circuits.Single, weight float64, reason Reason) {
	for _, i := range l.seen {
		if !Touches(l.c, i.At, f) {
			continue
		}
		if k := inspectionFactor(i.Seen, f.Kind); k != 1 {
			weight *= k
			reason.Seen = append(slices.Clip(reason.Seen), Seen{What: i.Seen, Times: k})
		}
	}
	if weight > 0 {
		l.list = append(l.list, Hypothesis{Fault: f, Prior: weight, Reason: reason})
	}
}

// Touches tells whether a hand or an eye at a place meets a fault: at the fault's own place, or at an element (connector,
// splice, part) that the place belongs to. A cavity with nothing mated is the end of its wires: a plug put in there for a
// test meets their crimps.
func Touches(c *circuits.Circuit, at circuits.Location, f circuits.Single) bool {
	for _, l := range []circuits.Location{f.At, f.To} {
		if l.IsZero() {
			continue
		}
		if l == at {
			return true
		}
		if at.IsWire() {
			continue
		}
		whole, mated := at.From.Cavity == "", c.Contact(circuits.PointLocation(at.From.Terminal())) != nil
		for _, p := range []circuits.Point{l.From, l.To} {
			if p.IsZero() {
				continue
			}
			if whole && (p.Place == at.From.Place || c.PlugOf(p) == at.From.Place) || !whole && p.Terminal() == at.From.Terminal() && !(l.IsWire() && mated) {
				return true
			}
		}
	}
	return false
}

// WorkedOn tells whether work at a place is work on what a fault is: a part or module that is replaced takes with it what is
// inside, and not the contacts of its plug; a contact that is put right leaves what is behind it; a splice made anew ends the
// wires that meet there anew.
func WorkedOn(c *circuits.Circuit, at circuits.Location, f circuits.Single) bool {
	inside := f.Kind == circuits.DeviceInside || f.Kind == circuits.ModuleInside
	part := c.Device(at.From.Place) != nil || c.Module(at.From.Place) != nil
	switch whole := !at.IsWire() && at.From.Cavity == ""; {
	case f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted:
		return false
	case whole && part:
		return inside && f.At.From.Place == at.From.Place
	case inside:
		return f.At == at
	}
	return Touches(c, at, f)
}

// series adds the faults of one place with its share of weight.
func (l *lister) series(at circuits.Location, weight float64, m modes, reason Reason) {
	l.add(circuits.Single{Kind: circuits.Open, At: at}, weight*m.open, reason)
	l.add(circuits.Single{Kind: circuits.HighResistance, At: at}, weight*m.high, reason)
	l.add(circuits.Single{Kind: circuits.ShortToGround, At: at}, weight*m.ground, reason)
	l.add(circuits.Single{Kind: circuits.ShortToVoltage, At: at}, weight*m.voltage, reason)
}

func (l *lister) wire(w *circuits.Wire) {
	weight := l.w.WirePerMetre * max(w.LengthM, 0.1) * w.Risk
	reason := Reason{Of: OfWire, LengthM: w.LengthM, Risk: w.Risk}
	m := wireModes
	splice := 0.0
	for _, end := range []circuits.Point{w.From, w.To} {
		if s := l.c.Splice(end.Place); s != nil {
			splice += l.w.FactorySplice / float64(s.Legs) * w.Risk
			reason.Crimps = append(reason.Crimps, s.Name)
		}
	}
	mix := func(wire, leg float64) float64 { return (weight*wire + splice*leg) / (weight + splice) }
	m = modes{open: mix(m.open, spliceModes.open), high: mix(m.high, spliceModes.high), ground: mix(m.ground, spliceModes.ground), voltage: mix(m.voltage, spliceModes.voltage)}
	l.series(w.Location, weight+splice, m, reason)
}

func (l *lister) contact(k *circuits.Contact) {
	risk := 1.0
	for _, w := range l.c.Wires {
		if w.From.Terminal() == k.Location.From || w.To.Terminal() == k.Location.From {
			risk = max(risk, min(w.Risk, 4))
		}
	}
	l.series(k.Location, l.w.Contact*risk, contactModes, Reason{Of: OfContact, Risk: risk})
}

// neighbours adds what two places can do to each other: wires that run side by side, ways of one connector.
func (l *lister) neighbours() {
	c := l.c
	bundle := make([][]int, len(c.Wires))
	for _, b := range c.Bundles() {
		for _, i := range b {
			bundle[i] = b
		}
	}
	for i, beside := range bundle {
		for _, j := range beside {
			if j > i {
				a, b := &c.Wires[i], &c.Wires[j]
				weight := l.w.WirePerMetre * max(min(a.LengthM, b.LengthM), 0.1) * max(a.Risk, b.Risk) * wireModes.between * 2 / float64(len(beside)-1)
				l.add(circuits.Single{Kind: circuits.ShortBetween, At: a.Location, To: b.Location}, weight, Reason{Of: OfWiresBeside})
			}
		}
	}
	plugs := map[string][]int{}
	for i, k := range c.Contacts {
		plugs[c.PlugOf(k.First)] = append(plugs[c.PlugOf(k.First)], i)
	}
	for _, plug := range c.Plugs() {
		ways := plugs[plug]
		for x, i := range ways {
			for _, j := range ways[x+1:] {
				a, b := c.Contacts[i].Location, c.Contacts[j].Location
				l.add(circuits.Single{Kind: circuits.ShortBetween, At: a, To: b}, l.w.Contact*contactModes.between*2/float64(len(ways)-1), Reason{Of: OfWaysBeside})
				l.add(circuits.Single{Kind: circuits.Swapped, At: a, To: b}, l.w.Swapped*2/float64(len(ways)-1), Reason{Of: OfWaysChanged})
			}
		}
	}
}

// devices shares the sensors' weight among what senses or works; fuses, resistors and diodes fail far less often.
func (l *lister) devices(wiring float64) {
	working := 0
	for i := range l.c.Devices {
		if l.w.plainPart(l.c.Devices[i].Kind) == 0 {
			working++
		}
	}
	for i := range l.c.Devices {
		d := &l.c.Devices[i]
		weight, reason := l.w.plainPart(d.Kind), Reason{Of: OfPart, Part: d.Kind}
		if weight == 0 {
			weight = l.w.SensorShare * wiring / float64(working)
			reason.Share = l.w.SensorShare
		}
		at := circuits.PointLocation(circuits.Point{Place: d.Name})
		for _, words := range d.InsideFaults() {
			l.add(circuits.Single{Kind: circuits.DeviceInside, At: at, Words: words}, weight*insideShare(words, d), reason)
		}
	}
}

func (l *lister) pins(wiring float64) {
	wired := 0
	for _, m := range l.c.Modules {
		for _, p := range m.Pins {
			if l.c.Contact(circuits.PointLocation(p.Point())) != nil {
				wired++
			}
		}
	}
	for _, m := range l.c.Modules {
		for _, p := range m.Pins {
			if l.c.Contact(circuits.PointLocation(p.Point())) == nil {
				continue
			}
			words := p.InsideFaults()
			for _, w := range words {
				l.add(circuits.Single{Kind: circuits.ModuleInside, At: p.Inside(), Words: w}, l.w.PinShare*wiring/float64(wired*len(words)),
					Reason{Of: OfPin, Share: l.w.PinShare})
			}
		}
	}
}

// finish normalises: healthy and unlisted have fixed shares, the faults the rest.
func (l *lister) finish() []Hypothesis {
	sum := l.total()
	out := []Hypothesis{{Prior: l.w.Healthy, Reason: Reason{Of: OfHealthy}}}
	for _, h := range l.list {
		h.Prior *= (1 - l.w.Healthy - l.w.Unlisted) / sum
		out = append(out, h)
	}
	return append(out, Hypothesis{Fault: circuits.Single{Kind: circuits.Unlisted}, Prior: l.w.Unlisted, Reason: Reason{Of: OfUnlisted}})
}
