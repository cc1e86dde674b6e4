package exercise

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/network"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/trial"
)

// outside is what a machine shows to somebody who measures nothing: codes, the module's values as it stands, what works.
// Two machines with one signature cannot be told apart from outside.
type outside struct {
	codes []string
	shows []shown // what is odd, by pin and part in file order
	scans []circuits.Reading
	quiet bool // nothing is odd
}

// shown is one odd thing.
type shown struct {
	class string // of the words: shows, end, wrong, silent, dead, weak, bus
	label string
	value string // in the sensor's own unit, "" where there is none
	key   string // the same thing at another machine of one family has the same key
}

// oddShare is the share of an input's range from which on its value is another than it should be.
const oddShare = 0.04

// look works out what a machine shows. The values are free of the meter's error: a scan tool has none.
func look(x *Exercise, m *Machine) outside {
	out := outside{codes: m.vehicle.Codes()}
	well := m.with(circuits.Fault{})
	copper := x.Circuit.Copper()
	silent := map[string]bool{}
	for _, mod := range x.Circuit.Modules {
		for _, p := range mod.Pins {
			if p.Kind != circuits.PinInput {
				continue
			}
			r := circuits.Reading{At: circuits.PointLocation(p.Point()), Quantity: circuits.ScanVolts, State: circuits.State{Key: circuits.KeyOn}}
			good, bad := well.Exact(x.Meter, r), m.vehicle.Exact(x.Meter, r)
			if bad.Status != network.Fine {
				if good.Status == network.Fine && !silent[mod.Name] {
					silent[mod.Name] = true
					out.shows = append(out.shows, shown{"silent", x.Circuit.Label(mod.Name), "", "silent " + mod.Name})
				}
				continue
			}
			read := r
			read.Taken, read.Value, read.High = true, bad.Value, bad.Value
			out.scans = append(out.scans, read)
			if s, odd := oddScan(x, p, read, good.Value, sensor(x.Circuit, copper, p)); odd {
				out.shows = append(out.shows, s)
			}
		}
	}
	for i := range x.Circuit.Devices {
		if s, odd := oddLoad(x, m, well, &x.Circuit.Devices[i]); odd {
			out.shows = append(out.shows, s)
		}
	}
	if len(out.shows) == 0 && busFails(x, m, well) {
		out.shows = append(out.shows, shown{"bus", "", "", "bus"})
	}
	out.quiet = len(out.shows) == 0 && len(out.codes) == 0
	return out
}

// oddScan tells whether an input's value is not what it should be, and how that shows.
func oddScan(x *Exercise, p circuits.Pin, read circuits.Reading, good float64, part string) (shown, bool) {
	low, high := p.RangeVolts[0], p.RangeVolts[1]
	share := (read.Value - good) / (high - low)
	if math.Abs(share) < oddShare {
		return shown{}, false
	}
	s := shown{class: "wrong", label: part, key: p.Point().String() + " wrong"}
	if d := x.Circuit.Device(part); d != nil {
		s.label = x.Circuit.Label(part)
		if d.Kind.TwoState() { // no value to speak of: it is seen as it is or not
			s.class = "state"
			return s, true
		}
	}
	if d, set, possible := plan.InUnits(x.Job(), read); possible {
		s.class, s.value = "shows", view.InOwnUnit(d, set)
	}
	position := (read.Value - low) / (high - low)
	switch {
	case position < 0.02:
		s.class, s.value, s.key = "end", "", "low"
	case position > 0.98:
		s.class, s.value, s.key = "end", "", "high"
	default:
		s.key = fmt.Sprintf("near %d tenths", int(math.Round(position*10)))
		if s.value != "" { // what is said of it must be the same too
			s.key = "shows " + s.value
		}
	}
	s.key = p.Point().String() + " " + s.key
	return s, true
}

// sensor is what an input listens to: the name of the part on its copper that something outside the circuit sets, else the
// pin's own label, else any part there.
func sensor(c *circuits.Circuit, copper *circuits.Copper, p circuits.Pin) string {
	any := ""
	for _, q := range copper.Net(p.Point()) {
		d := c.Device(q.Place)
		if d != nil && d.Kind.HasStimulus() {
			return d.Name
		}
		if d != nil && any == "" {
			any = d.Name
		}
	}
	switch {
	case p.Label != "":
		return p.Label
	case any != "":
		return any
	}
	return c.Label(p.Module)
}

// oddLoad tells whether a part that works (a heater, lamp, coil, motor) lacks its current, with the key on or running.
func oddLoad(x *Exercise, m *Machine, well *trial.Vehicle, d *circuits.Device) (shown, bool) {
	at := circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: d.Terminals[0].Cavity})
	if d.Kind != circuits.Load || x.Circuit.Contact(at) == nil {
		return shown{}, false
	}
	r := circuits.Reading{At: at, Quantity: circuits.Amps, State: circuits.State{Key: circuits.KeyOn}}
	good, bad := well.Exact(x.Meter, r), m.vehicle.Exact(x.Meter, r)
	if good.Status != network.Fine || math.Abs(good.Value) < 1e-3 {
		return shown{}, false
	}
	share := 0.0
	if bad.Status == network.Fine {
		share = bad.Value / good.Value
	}
	switch {
	case share < 0.3:
		return shown{"dead", x.Circuit.Label(d.Name), "", "dead " + d.Name}, true
	case share < 0.85:
		return shown{"weak", x.Circuit.Label(d.Name), "", "weak " + d.Name}, true
	}
	return shown{}, false
}

// busOhms is the series resistance from which on a bus wire loses messages, and the shunt below which a short does
// (common practice, no source).
const (
	busOhms      = 100
	busShortOhms = 300
)

// busFails tells whether a fault on a bus makes messages fail, although the idle voltages may look right.
func busFails(x *Exercise, m *Machine, well *trial.Vehicle) bool {
	var pins []circuits.Point
	for _, mod := range x.Circuit.Modules {
		for _, p := range mod.Pins {
			if p.Kind == circuits.PinCANHigh || p.Kind == circuits.PinCANLow || p.Kind == circuits.PinLIN {
				pins = append(pins, p.Point())
			}
		}
	}
	for _, p := range pins {
		r := circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: circuits.Volts, State: circuits.State{Key: circuits.KeyOn}}
		good, bad := well.Exact(x.Meter, r), m.vehicle.Exact(x.Meter, r)
		if bad.Status != good.Status || math.Abs(good.Value-bad.Value) > 0.3 {
			return true
		}
	}
	if len(pins) == 0 {
		return false
	}
	n := circuits.Join(x.Circuit.Joints(nil))
	for _, f := range []circuits.Single{x.Hidden.Fault.First, x.Hidden.Fault.Second} {
		onBus := false
		end := f.At.From
		if full, err := x.Circuit.Resolve(end); err == nil {
			end = full
		}
		for _, p := range pins {
			onBus = onBus || n.Joined(end, p)
		}
		hurts := f.Kind == circuits.Open || f.Kind == circuits.Swapped || f.Kind == circuits.HighResistance && f.Ohms > busOhms ||
			f.Kind != circuits.HighResistance && f.Kind.TakesOhms() && f.Ohms < busShortOhms || f.Kind == circuits.DeviceInside || f.Kind == circuits.ModuleInside
		if onBus && hurts {
			return true
		}
	}
	return false
}

// signature names what is seen from outside.
func (o outside) signature(comes bool) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%v %q", comes, o.codes)
	for _, s := range o.shows {
		b.WriteString("; " + s.key)
	}
	return b.String()
}

// mostSaid is how many odd things an operator speaks of unasked.
const mostSaid = 2

// complaint says it in an operator's words; others are the odd things that are told when asked for.
func (o outside) complaint(seed uint64, comes bool) (text, others string) {
	n := seed ^ hashOf(o.signature(comes))
	var said []string
	for i, s := range o.shows {
		w := words.say(s.class, n>>uint(4*(i%8)), "{label}", s.label, "{value}", s.value)
		if !slices.Contains(said, w) {
			said = append(said, w)
		}
	}
	if len(said) == 0 {
		said = append(said, words.say("lamp", n))
	}
	if len(said) > mostSaid {
		others = strings.Join(said[mostSaid:], ", ")
		said = said[:mostSaid]
	}
	if comes {
		said = append(said, words.say("comes", n>>3))
	}
	text = strings.Join(said, "; ")
	text = Clean(text)
	return strings.ToUpper(text[:1]) + text[1:] + ".", Clean(others)
}

func hashOf(s string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(s))
	return h.Sum64()
}
