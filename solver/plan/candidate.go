package plan

import (
	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Candidates lists the readings that a technician could take on a circuit next: safe ones only. A pyrotechnic circuit
// has no candidates but the scan tool's.
func Candidates(j *circuits.Job) []circuits.Reading {
	l := candidateList{j: j, c: j.Circuit, conductors: conductors(j.Circuit), seen: map[string]bool{}}
	l.scans()
	if j.Circuit.Pyrotechnic {
		return l.out
	}
	l.volts()
	l.drops()
	for i := range j.Circuit.Devices {
		l.unplugged(&j.Circuit.Devices[i])
	}
	l.partings()
	l.currents()
	return l.out
}

type candidateList struct {
	j          *circuits.Job
	c          *circuits.Circuit
	conductors map[circuits.Point]*conductor
	seen       map[string]bool
	out        []circuits.Reading
	carried    map[circuits.Point]float64 // amps by module pin, once asked for
}

func (l *candidateList) add(r circuits.Reading) {
	if r.To.IsZero() {
		r.To = circuits.BNegative
	}
	if r.State.Key == "" {
		r.State.Key = circuits.KeyOn
	}
	key := circuits.ReadingKey(r)
	if !l.seen[key] {
		l.seen[key] = true
		l.out = append(l.out, r)
	}
}

// at resolves a point to a reading's place; every point here comes from the circuit itself.
func (l *candidateList) at(p circuits.Point) circuits.Location {
	full, err := l.c.Resolve(p)
	if err != nil {
		return circuits.PointLocation(p)
	}
	return circuits.PointLocation(full)
}

// scans are the module's own values, as the machine stands.
func (l *candidateList) scans() {
	for _, p := range inputPins(l.c) {
		l.add(circuits.Reading{At: circuits.PointLocation(p), Quantity: circuits.ScanVolts})
	}
}

// volts are the voltages against B- with everything plugged in, at every terminal and splice.
func (l *candidateList) volts() {
	for _, k := range l.c.Contacts {
		l.add(circuits.Reading{At: l.at(k.First), Quantity: circuits.Volts})
		if l.c.Connector(k.Place) != nil {
			l.add(circuits.Reading{At: l.at(k.Second), Quantity: circuits.Volts})
		}
	}
	for _, s := range l.c.Splices {
		l.add(circuits.Reading{At: l.at(circuits.Point{Place: s.Name}), Quantity: circuits.Volts})
	}
	for _, s := range l.c.Studs {
		l.add(circuits.Reading{At: l.at(circuits.Point{Place: s.Name}), Quantity: circuits.Volts})
	}
}

// drops are the voltages along one conductor under its own load: over each mated contact, and over each stretch from
// one part to the next.
func (l *candidateList) drops() {
	for _, k := range l.c.Contacts {
		if l.c.Connector(k.Place) != nil {
			l.add(circuits.Reading{At: l.at(k.First), To: k.Second, Quantity: circuits.Volts})
		}
	}
	for _, r := range l.c.Runs {
		first, last := r.Path[0], r.Path[len(r.Path)-1]
		if len(r.Path) > 1 && l.c.KindOf(first.Place) != "battery post" && last != circuits.BNegative && l.resolvable(first, last) {
			to, _ := l.c.Resolve(last)
			l.add(circuits.Reading{At: l.at(first), To: to, Quantity: circuits.Volts})
		}
	}
}

func (l *candidateList) resolvable(points ...circuits.Point) bool {
	for _, p := range points {
		if _, err := l.c.Resolve(p); err != nil {
			return false
		}
	}
	return true
}

// unplugged are the tests at a part's loose connector: voltages, the module's answer to a known stimulus (open, joined
// to its return, joined to its supply), a load on its feed, and the part itself by ohms.
func (l *candidateList) unplugged(d *circuits.Device) {
	apart := circuits.State{Key: circuits.KeyOn, Unplugged: []string{d.Name}}
	var points []circuits.Point
	for _, t := range d.Terminals {
		p := circuits.Point{Place: d.Name, Cavity: t.Cavity}
		if l.conductors[p] != nil {
			points = append(points, p)
		}
	}
	for _, p := range points {
		l.add(circuits.Reading{At: l.at(p), Quantity: circuits.Volts, State: apart})
	}
	l.loaded(d, apart, points)
	for _, in := range l.inputsOf(points) {
		l.add(circuits.Reading{At: circuits.PointLocation(in), Quantity: circuits.ScanVolts, State: apart})
		for a := range points {
			for b := a + 1; b < len(points); b++ {
				if !l.jumpable(points[a], points[b], in) {
					continue
				}
				joined := apart
				joined.Jumpers = [][2]circuits.Point{{points[a], points[b]}}
				l.add(circuits.Reading{At: circuits.PointLocation(in), Quantity: circuits.ScanVolts, State: joined})
			}
		}
	}
	off := circuits.State{Key: circuits.KeyOff, Unplugged: []string{d.Name}}
	for a := range d.Terminals {
		for b := a + 1; b < len(d.Terminals); b++ {
			l.add(circuits.Reading{At: circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: d.Terminals[a].Cavity, Side: "device"}),
				To: circuits.Point{Place: d.Name, Cavity: d.Terminals[b].Cavity, Side: "device"}, Quantity: circuits.Ohms, State: off})
		}
	}
	if d.Kind == circuits.Potentiometer || d.Kind == circuits.Switch {
		if _, known := l.j.Assume[d.Name]; !known && !d.HasSet {
			for _, set := range d.Range {
				for _, in := range l.inputsOf(points) {
					moved := circuits.State{Key: circuits.KeyOn, Set: []circuits.SetDevice{{Device: d.Name, Set: set}}}
					l.add(circuits.Reading{At: circuits.PointLocation(in), Quantity: circuits.ScanVolts, State: moved})
				}
			}
		}
	}
}

// jumpable tells whether joining two wires of a loose connector is a known test and harms nothing: the signal to its
// return or to its supply, never a supply to a return, never to a feed of battery voltage.
func (l *candidateList) jumpable(a, b, in circuits.Point) bool {
	signal, other := a, b
	if !l.leadsTo(signal, in) {
		signal, other = b, a
	}
	if !l.leadsTo(signal, in) || l.leadsTo(other, in) {
		return false
	}
	for _, pin := range l.conductors[other].pins {
		switch l.c.Pin(pin).Kind {
		case circuits.PinReturn, circuits.PinReference:
			return true
		}
	}
	return false
}

func (l *candidateList) leadsTo(p, pin circuits.Point) bool {
	for _, q := range l.conductors[p].pins {
		if q == pin {
			return true
		}
	}
	return false
}

// inputsOf are the module inputs that the points lead to.
func (l *candidateList) inputsOf(points []circuits.Point) []circuits.Point {
	var out []circuits.Point
	for _, p := range points {
		for _, q := range l.conductors[p].pins {
			if l.c.Pin(q).Kind == circuits.PinInput {
				out = append(out, q)
			}
		}
	}
	return out
}

// loaded are voltages at a loose connector with a test resistor on its feed: a tenth of what the feed may give, so that
// a 5 V supply is never near its limit. No load is put on a signal.
func (l *candidateList) loaded(d *circuits.Device, apart circuits.State, points []circuits.Point) {
	for _, feed := range points {
		ohms := l.loadOhms(feed)
		if ohms == 0 {
			continue
		}
		for _, back := range points {
			if back == feed || !l.isReturn(back) {
				continue
			}
			loaded := apart
			loaded.Loads = []circuits.LoadLead{{From: feed, To: back, Ohms: ohms}}
			l.add(circuits.Reading{At: l.at(feed), To: back, Quantity: circuits.Volts, State: loaded})
			l.add(circuits.Reading{At: l.at(back), Quantity: circuits.Volts, State: loaded})
		}
		loaded := apart
		loaded.Loads = []circuits.LoadLead{{From: feed, To: circuits.BNegative, Ohms: ohms}}
		l.add(circuits.Reading{At: l.at(feed), Quantity: circuits.Volts, State: loaded})
	}
}

// What a test resistor draws from a driver's feed: twice what its consumer does, within bounds that tell a poor joint from a good one and
// burn nobody's fingers (ours).
const (
	feedTimes     = 2
	leastFeedAmps = 0.05
	mostFeedAmps  = 0.4
)

// feedAmps is what a pin carries in a sound machine that is switched on.
func (l *candidateList) feedAmps(pin circuits.Point) float64 {
	if l.carried == nil {
		l.carried = map[circuits.Point]float64{}
		currents, _ := network.Currents(l.c, circuits.Reading{State: circuits.State{Key: circuits.KeyOn}}, nil)
		for _, f := range currents {
			if f.In == network.InPin {
				l.carried[f.Place] = f.Amps
			}
		}
	}
	return l.carried[pin]
}

// nextE6 is the value of the E6 series (IEC 60063) that is no less.
func nextE6(ohms float64) float64 {
	for decade := 1.0; ; decade *= 10 {
		for _, e := range []float64{1, 1.5, 2.2, 3.3, 4.7, 6.8} {
			if e*decade >= ohms {
				return e * decade
			}
		}
	}
}

// loadOhms is the test resistor for a feed, from the E6 series; 0 where the point is no feed.
func (l *candidateList) loadOhms(p circuits.Point) float64 {
	for _, q := range l.conductors[p].pins {
		switch pin := l.c.Pin(q); pin.Kind {
		case circuits.PinReference:
			return nextE6(pin.Volts / (0.25 * pin.LimitMA / 1000))
		case circuits.PinHighSide:
			amps := min(max(feedTimes*l.feedAmps(q), leastFeedAmps), mostFeedAmps)
			return nextE6(max(l.c.Battery.Volts, l.c.Battery.RunningVolts) / amps)
		}
	}
	return 0
}

func (l *candidateList) isReturn(p circuits.Point) bool {
	for _, q := range l.conductors[p].pins {
		if k := l.c.Pin(q).Kind; k == circuits.PinReturn || k == circuits.PinGround {
			return true
		}
	}
	return false
}

// partings are the readings with a conductor apart at both ends, by ohms, with the key off; and the shared lines with
// one branch at a time unplugged.
func (l *candidateList) partings() {
	for _, k := range l.distinct() {
		for _, pin := range k.pins {
			for _, t := range k.terminals {
				d := l.c.Device(t.Place)
				if d == nil {
					continue
				}
				state := circuits.State{Key: circuits.KeyOff, Unplugged: []string{l.c.PlugOf(pin), d.Name}}
				l.add(circuits.Reading{At: l.at(pin), To: t, Quantity: circuits.Ohms, State: state})
				l.add(circuits.Reading{At: l.at(t), Quantity: circuits.Ohms, State: state})
			}
			if l.c.Pin(pin).Kind == circuits.PinReference && len(k.terminals) > 2 {
				for _, t := range k.terminals {
					if d := l.c.Device(t.Place); d != nil {
						l.add(circuits.Reading{At: l.at(pin), Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn, Unplugged: []string{d.Name}}})
					}
				}
			}
		}
	}
	for _, x := range l.c.Connectors {
		if !x.Crossed {
			continue
		}
		apart := circuits.State{Key: circuits.KeyOn, Unplugged: []string{x.Name}}
		for _, k := range l.c.Contacts {
			if k.Place == x.Name {
				l.add(circuits.Reading{At: l.at(k.First), Quantity: circuits.Volts, State: apart})
			}
		}
	}
}

// distinct are the conductors in file order.
func (l *candidateList) distinct() []*conductor {
	var out []*conductor
	seen := map[*conductor]bool{}
	for _, m := range l.c.Modules {
		for _, p := range m.Pins {
			if k := l.conductors[p.Point()]; k != nil && !seen[k] {
				seen[k] = true
				out = append(out, k)
			}
		}
	}
	return out
}

// currents are taken in place of a contact of a load or a feed, where amperes flow.
func (l *candidateList) currents() {
	for _, d := range l.c.Devices {
		switch d.Kind {
		case circuits.Load, circuits.Fuse, circuits.CurrentLoop:
			at := circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: d.Terminals[0].Cavity})
			if l.c.Contact(at) != nil {
				l.add(circuits.Reading{At: at, Quantity: circuits.Amps})
			}
		}
	}
}
