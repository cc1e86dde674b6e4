package network

import (
	"math"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// someReadings are readings of every quantity and many states on any circuit.
func someReadings(c *circuits.Circuit) []circuits.Reading {
	var out []circuits.Reading
	add := func(at circuits.Location, q circuits.Quantity, s circuits.State) {
		r := circuits.Reading{At: at, To: circuits.BNegative, Quantity: q, State: s}
		out = append(out, r)
	}
	on, off := circuits.State{Key: circuits.KeyOn}, circuits.State{Key: circuits.KeyOff}
	for _, k := range c.Contacts {
		add(k.Location, circuits.Volts, on)
		add(k.Location, circuits.Amps, on)
		add(k.Location, circuits.Ohms, off)
	}
	for _, d := range c.Devices {
		apart := circuits.State{Key: circuits.KeyOn, Unplugged: []string{d.Name}}
		for _, t := range d.Terminals {
			p := circuits.PointLocation(circuits.Point{Place: d.Name, Cavity: t.Cavity})
			add(p, circuits.Volts, apart)
			loaded := apart
			loaded.Loads = []circuits.LoadLead{{From: p.From, To: circuits.BNegative, Ohms: 100}}
			add(p, circuits.Volts, loaded)
		}
	}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			if p.Kind == circuits.PinInput {
				add(circuits.PointLocation(p.Point()), circuits.ScanVolts, on)
			}
		}
	}
	for i := range out {
		if p := out[i].Point(); out[i].Quantity != circuits.Amps {
			out[i].At.From, _ = c.Resolve(p)
		}
	}
	return out
}

// someFaults are faults of every kind on any circuit.
func someFaults(c *circuits.Circuit) []circuits.Single {
	out := []circuits.Single{{}}
	places := []circuits.Location{}
	for _, w := range c.Wires {
		places = append(places, w.Location)
	}
	for _, k := range c.Contacts {
		places = append(places, k.Location)
	}
	for i, at := range places {
		out = append(out, circuits.Single{Kind: circuits.Open, At: at})
		for _, ohms := range []float64{3, 2e3, 1e6} {
			out = append(out, circuits.Single{Kind: circuits.HighResistance, At: at, Ohms: ohms, HasOhms: true})
		}
		for _, ohms := range []float64{0, 50, 5e3} {
			out = append(out, circuits.Single{Kind: circuits.ShortToGround, At: at, Ohms: ohms, HasOhms: true},
				circuits.Single{Kind: circuits.ShortToVoltage, At: at, Ohms: ohms, HasOhms: true})
			if i > 0 {
				out = append(out, circuits.Single{Kind: circuits.ShortBetween, At: places[i-1], To: at, Ohms: ohms, HasOhms: true})
			}
		}
	}
	for i := 1; i < len(c.Contacts); i++ {
		if a, b := c.Contacts[i-1], c.Contacts[i]; c.PlugOf(a.First) == c.PlugOf(b.First) {
			out = append(out, circuits.Single{Kind: circuits.Swapped, At: a.Location, To: b.Location})
		}
	}
	for _, d := range c.Devices {
		for _, w := range d.InsideFaults() {
			if w != circuits.ReadsWrong {
				out = append(out, circuits.Single{Kind: circuits.DeviceInside, At: circuits.PointLocation(circuits.Point{Place: d.Name}), Words: w})
			}
		}
	}
	for _, m := range c.Modules {
		for _, p := range m.Pins {
			for _, w := range p.InsideFaults() {
				f := circuits.Single{Kind: circuits.ModuleInside, At: p.Inside(), Words: w}
				out = append(out, f)
				if f.IsLowReference() {
					out = append(out, f.WithShare(0.55), f.WithShare(0.97), f.WithOhms(10), f.WithOhms(1000))
				}
			}
		}
	}
	return out
}

// Every reading under every fault in closed form against the network built anew with the fault in it.
func TestClosedFormAgreesWithBuiltIn(t *testing.T) {
	names := library.Names()
	if testing.Short() {
		names = names[:1]
	}
	for _, name := range names {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		compared, worst := 0, 0.0
		faultList := someFaults(c)
		layout := NewWideLayout(c)
		var k Case
		for ri, r := range someReadings(c) {
			if len(faultList) > 200 && ri%7 != 0 {
				continue
			}
			s := layout.Frame(circuits.DefaultMeter(), r).Scene(nil)
			for _, f := range faultList {
				want := Read(c, circuits.DefaultMeter(), r, nil, circuits.Fault{First: f})
				var p Prediction
				k.Place(s, f)
				k.At(f.Ohms, &p)
				got := p.Value
				if p.Status == Fine && r.Quantity == circuits.ScanVolts {
					got = Report(*c.Pin(r.Point()), got)
				}
				if p.Status != want.Status || p.Why != want.Why {
					t.Errorf("%s: %s %s in state %+v under %s: %d %+v, want %d %+v", name, r.Quantity, r.At, r.State, f, p.Status, p.Why, want.Status, want.Why)
					continue
				}
				if p.Status != Fine {
					continue
				}
				compared++
				gap := math.Abs(got-want.Value) / (1 + math.Abs(want.Value))
				worst = max(worst, gap)
				if gap > 1e-6 {
					t.Errorf("%s: %s %s in state %+v under %s: %.9g, want %.9g", name, r.Quantity, r.At, r.State, f, got, want.Value)
				}
			}
		}
		t.Logf("%s: %d compared, worst gap %.2g", name, compared, worst)
	}
}

// Scenes with stimuli elsewhere than in a frame's first one, against the network built anew: every stimulus at its ends
// and between, under every kind of fault.
func TestMovedScenesAgreeWithBuiltIn(t *testing.T) {
	compared := 0
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		layout := NewWideLayout(c)
		faultList := someFaults(c)
		for ri, r := range someReadings(c) {
			if ri%9 != 0 {
				continue
			}
			frame := layout.Frame(circuits.DefaultMeter(), r)
			frame.Scene(nil)
			for share := 0.0; share <= 1; share += 0.5 {
				set := map[string]float64{}
				for i := range c.Devices {
					if d := &c.Devices[i]; d.Kind.HasStimulus() && (i+ri)%2 == 0 {
						set[d.Name] = d.Range[0] + share*(d.Range[1]-d.Range[0])
						if d.Kind.TwoState() {
							set[d.Name] = math.Round(share)
						}
					}
				}
				s := frame.Scene(set)
				for fi, f := range faultList {
					if fi > 0 && (fi+ri)%17 != 0 {
						continue
					}
					want := Read(c, circuits.DefaultMeter(), r, set, circuits.Fault{First: f})
					var k Case
					var p Prediction
					k.Place(s, f)
					k.At(f.Ohms, &p)
					got := p.Value
					if p.Status == Fine && r.Quantity == circuits.ScanVolts {
						got = Report(*c.Pin(r.Point()), got)
					}
					compared++
					if p.Status != want.Status || p.Status == Fine && math.Abs(got-want.Value) > 1e-6*(1+math.Abs(want.Value)) {
						t.Errorf("%s: %s %s at %v under %s: %d %.9g, want %d %.9g", name, r.Quantity, r.At, set, f, p.Status, got, want.Status, want.Value)
					}
					if fi > 0 || p.Status != Fine {
						continue
					}
					whole := (&Scene{frame: frame, set: layout.setting(frame.topology, r, nominal(set), nil)})
					var q Prediction
					k.Place(whole, f)
					k.At(f.Ohms, &q)
					for i := range q.Sens {
						if math.Abs(q.Sens[i]-p.Sens[i]) > 1e-5*(1e-1+math.Abs(q.Sens[i])) {
							t.Errorf("%s: %s %s at %v leans on %s by %g, want %g", name, r.Quantity, r.At, set, layout.parameters[i].Name(), p.Sens[i], q.Sens[i])
						}
					}
				}
			}
		}
	}
	t.Logf("%d compared", compared)
}
