package network

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
)

// stand is a circuit on the test stand: a state, stimuli, a meter and at most one fault name. Its methods return a
// changed copy, so that a test reads like the work it describes.
type stand struct {
	t     testing.TB
	c     *circuits.Circuit
	fault circuits.Fault
	state circuits.State
	set   map[string]float64
	meter circuits.Meter
}

// library puts a circuit of the library on the stand: key on, everything plugged in, the hand meter of the contract.
func fromLibrary(t testing.TB, name string) stand {
	t.Helper()
	c, err := library.Circuit(name)
	if err != nil {
		t.Fatal(err)
	}
	return standOf(t, c)
}

// built puts a circuit given as text on the stand.
func built(t testing.TB, text string) stand {
	t.Helper()
	c, problems := read.Circuit("test.circuit.toml", []byte(text))
	if c == nil {
		t.Fatalf("%v in\n%s", problems, text)
	}
	return standOf(t, c)
}

func standOf(t testing.TB, c *circuits.Circuit) stand {
	return stand{t: t, c: c, state: circuits.State{Key: circuits.KeyOn}, meter: circuits.DefaultMeter()}
}

// under puts a fault in.
func (s stand) under(name string) stand {
	s.t.Helper()
	f, err := circuits.ParseFault(name)
	if err == nil {
		f, err = s.c.ResolveFault(f)
	}
	if err != nil {
		s.t.Fatal(err)
	}
	s.fault = f
	return s
}

// key turns the key.
func (s stand) key(k circuits.Key) stand {
	s.state.Key = k
	return s
}

// apart takes connectors apart.
func (s stand) apart(names ...string) stand {
	s.t.Helper()
	s.state.Unplugged = append([]string(nil), s.state.Unplugged...)
	for _, name := range names {
		plugs := s.c.PlugsNamed(name)
		if plugs == nil {
			s.t.Fatalf("nothing here is called %s", name)
		}
		s.state.Unplugged = append(s.state.Unplugged, plugs...)
	}
	return s
}

// jumper joins two points with a lead.
func (s stand) jumper(a, b string) stand {
	s.t.Helper()
	s.state.Jumpers = append(append([][2]circuits.Point(nil), s.state.Jumpers...), [2]circuits.Point{s.point(a), s.point(b)})
	return s
}

// load puts a test resistor between two points.
func (s stand) load(a, b string, ohms float64) stand {
	s.t.Helper()
	s.state.Loads = append(append([]circuits.LoadLead(nil), s.state.Loads...), circuits.LoadLead{From: s.point(a), To: s.point(b), Ohms: ohms})
	return s
}

// at sets the stimulus of a part.
func (s stand) at(device string, set float64) stand {
	s.t.Helper()
	if s.c.Device(device) == nil {
		s.t.Fatalf("no part is called %s", device)
	}
	own := map[string]float64{device: set}
	for name, v := range s.set {
		if name != device {
			own[name] = v
		}
	}
	s.set = own
	return s
}

// through measures with a meter of that input resistance.
func (s stand) through(ohms float64) stand {
	s.meter.InputOhms = ohms
	return s
}

func (s stand) point(text string) circuits.Point {
	s.t.Helper()
	p, err := circuits.ParsePoint(text)
	if err == nil {
		p, err = s.c.Resolve(p)
	}
	if err != nil {
		s.t.Fatal(err)
	}
	return p
}

// outcome takes a reading both ways: with the fault built into the network, and in closed form from the network without
// it. The two must agree.
func (s stand) outcome(q circuits.Quantity, at, to string) Outcome {
	s.t.Helper()
	r := circuits.Reading{To: circuits.BNegative, Quantity: q, State: s.state}
	if to != "" {
		r.To = s.point(to)
	}
	if q == circuits.Amps {
		l, err := circuits.ParseLocation(at)
		if err != nil {
			s.t.Fatal(err)
		}
		r.At = l
	} else {
		r.At = circuits.PointLocation(s.point(at))
	}
	got := Read(s.c, s.meter, r, s.set, s.fault)
	if !s.fault.IsDouble() && s.fault.First.Kind != circuits.Swapped {
		var k Case
		var p Prediction
		k.Place(NewWideLayout(s.c).Frame(s.meter, r).Scene(s.set), s.fault.First)
		k.At(s.fault.First.Ohms, &p)
		closed := p.Value
		if q == circuits.ScanVolts && p.Status == Fine {
			closed = Report(*s.c.Pin(r.Point()), closed)
		}
		if p.Status != got.Status || p.Why != got.Why || p.Status == Fine && math.Abs(closed-got.Value) > 1e-8*(1+math.Abs(got.Value)) {
			s.t.Errorf("%s at %s under %s: in closed form %.12g %+v, built in %.12g %+v", q, at, s.fault, closed, p.Why, got.Value, got.Why)
		}
	}
	return got
}

func (s stand) value(q circuits.Quantity, at, to string) float64 {
	s.t.Helper()
	o := s.outcome(q, at, to)
	if o.Status != Fine {
		s.t.Errorf("%s at %s under %s has no value: %+v", q, at, s.fault, o.Why)
		return math.NaN()
	}
	return o.Value
}

// volts reads volts at a point against B-, or against a second point.
func (s stand) volts(at string, to ...string) float64 {
	s.t.Helper()
	if len(to) > 0 {
		return s.value(circuits.Volts, at, to[0])
	}
	return s.value(circuits.Volts, at, "")
}

// scan reads the module's own value.
func (s stand) scan(at string) float64 { s.t.Helper(); return s.value(circuits.ScanVolts, at, "") }

// amps reads the current in place of a contact or wire.
func (s stand) amps(at string) float64 { s.t.Helper(); return s.value(circuits.Amps, at, "") }

// ohms reads the resistance between two points.
func (s stand) ohms(at, to string) float64 { s.t.Helper(); return s.value(circuits.Ohms, at, to) }

// within fails unless got is want to a tolerance.
func within(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.6g, want %.6g ± %.2g", what, got, want, tolerance)
	}
}

// between fails unless got lies between two bounds.
func between(t testing.TB, what string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s: %.6g, want %.6g to %.6g", what, got, low, high)
	}
}
