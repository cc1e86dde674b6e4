package evidence

import (
	"math"
	"math/rand/v2"

	"ohmtrail/circuits"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
)

// outlook is a reading made ready for expectations. Its scenes may be used by several goroutines at once.
type outlook struct {
	built   *built
	r       circuits.Reading
	frame   *network.Frame
	pin     *circuits.Pin      // of a scan value
	set     map[string]float64 // the nominal stimuli
	unknown []int              // the devices whose stimulus nobody knows here, by number
	matter  []int              // those among them that matter to a sound machine
	least   float64            // what is below it is no difference
	home    *network.Scene     // at the nominal stimuli
	aside   [2]*network.Scene  // with all unknown stimuli here and there, once the one way and once the other
	others  [2]*network.Scene  // the same with those that matter left at home, on the first of the bases
	bases   []*network.Scene   // at home, on the machines from which bounds are looked for
	corners []corner           // home, and each stimulus that matters at either end of its range
	healthy [2]network.Prediction
	calm    network.Prediction // of a sound machine at home
	sound   Expectation        // of a sound machine
}

// inChain names the series faults of one chain, which are one fault to a reading.
type inChain struct {
	of    *outlook
	kind  circuits.FaultKind
	class int32
	ohms  float64
}

// move is a stimulus set elsewhere than at home.
type move struct {
	device int
	to     float64
}

// corner is a setting of the stimuli: home with some of them elsewhere.
type corner struct {
	moves []move
	scene *network.Scene
}

// hand is the room of one goroutine.
type hand struct {
	c, line network.Case
	p       network.Prediction
	chain   map[inChain]Expectation // of the series faults met so far
	twins   *twins                  // nil where each fault is to be reckoned by itself
}

func newOutlook(b *built, r circuits.Reading) *outlook {
	j := b.j
	o := &outlook{built: b, r: r, frame: b.layout.Frame(j.Meter, r), set: map[string]float64{}}
	built := circuits.Fault{First: b.there}
	for i := range j.Circuit.Devices {
		d := &j.Circuit.Devices[i]
		if !d.Kind.HasStimulus() {
			continue
		}
		set, known := j.SetOf(r, d)
		if !known {
			set = d.Nominal()
		}
		if hypothesis.ReadsWrong(built, d.Name) {
			set, known = farEnd(d, set), false
		}
		o.set[d.Name] = set
		if !known {
			o.unknown = append(o.unknown, i)
		}
	}
	if r.Quantity == circuits.ScanVolts {
		o.pin = j.Circuit.Pin(r.Point())
	}
	o.home = o.frame.Scene(o.set)
	for _, numbers := range b.bases {
		o.bases = append(o.bases, o.frame.SceneOf(o.set, numbers))
	}
	var h hand
	o.ask(&h, o.home, circuits.Single{}, &o.calm)
	o.least = unfeltShare * sigmaOf(j.Meter, r, o.calm.Value, o.pin)
	if l := o.lineAt(&h, 0, &corner{scene: o.home}, circuits.Single{}); l.p.Status == network.Fine {
		o.least = max(o.least, widthShare*l.reach*l.dev)
	}
	o.look(&h)
	o.sound = o.reckon(&h, circuits.Single{}, nil)
	return o
}

// widthShare is the share of the way from the middle of a sound machine's bounds to their ends below which a change is
// none.
const widthShare = 0.02

// farEnd is what a sensor that reads wrong shows: the end of its range that is farther away (the middle of the range is what
// an unknown stimulus has anyway).
func farEnd(d *circuits.Device, set float64) float64 {
	if set-d.Range[0] > d.Range[1]-set {
		return d.Range[0]
	}
	return d.Range[1]
}

// look finds the unknown stimuli that matter to a sound machine, from home and from where all others are elsewhere.
func (o *outlook) look(h *hand) {
	random := rand.New(rand.NewPCG(5, 7))
	var away [2]map[string]float64
	for k := range away {
		away[k] = map[string]float64{}
		for name, v := range o.set {
			away[k][name] = v
		}
	}
	for _, i := range o.unknown {
		d := &o.built.j.Circuit.Devices[i]
		end := random.IntN(2)
		away[0][d.Name], away[1][d.Name] = d.Range[end], d.Range[1-end]
	}
	for k := range away {
		o.aside[k] = o.frame.Scene(away[k])
		o.ask(h, o.aside[k], circuits.Single{}, &o.healthy[k])
	}
	o.corners = []corner{{scene: o.home}}
	var p network.Prediction
	for _, i := range o.unknown {
		matters := false
		for k, from := range []*network.Scene{o.home, o.aside[0], o.aside[1]} {
			at := &o.calm
			if k > 0 {
				at = &o.healthy[k-1]
			}
			for _, end := range o.built.j.Circuit.Devices[i].Range {
				o.ask(h, from.With(i, end), circuits.Single{}, &p)
				matters = matters || o.differs(&p, at)
			}
		}
		if matters {
			o.matter = append(o.matter, i)
			o.corners = o.atEnds(o.corners, o.home, nil, i)
		}
	}
	for k := range away {
		o.others[k] = o.frame.SceneOf(away[k], o.built.bases[0]) // shared by all readings in this state
		for _, i := range o.matter {
			o.others[k] = o.others[k].With(i, o.set[o.built.j.Circuit.Devices[i].Name])
		}
	}
}

// atEnds adds a scene with one more stimulus at either end of its range.
func (o *outlook) atEnds(to []corner, from *network.Scene, moves []move, device int) []corner {
	for _, end := range o.built.j.Circuit.Devices[device].Range {
		to = append(to, corner{append(moves[:len(moves):len(moves)], move{device, end}), from.With(device, end)})
	}
	return to
}

// ask predicts the reading in a scene with a fault.
func (o *outlook) ask(h *hand, s *network.Scene, f circuits.Single, p *network.Prediction) {
	h.c.Place(s, f)
	h.c.Value(f.Ohms, p)
}

// differs tells two predictions apart.
func (o *outlook) differs(a, b *network.Prediction) bool {
	return a.Status != b.Status || a.Why.Kind != b.Why.Kind || a.Status == network.Fine && math.Abs(a.Value-b.Value) > o.least
}

// outcome is what the reading shows, as it is read.
func (o *outlook) outcome(p *network.Prediction, blown string) network.Outcome {
	out := network.Outcome{Value: p.Value, Status: p.Status, Why: p.Why, Blown: blown}
	if p.Status != network.Fine {
		out.Value = 0
	}
	if p.Status == network.NoValue && p.Why.Kind == network.Unsteady {
		out.Blown = ""
	}
	if p.Status == network.Fine && o.pin != nil {
		out.Value = network.Shown(*o.pin, p.Value)
	}
	return out
}

// bounds are how far a fault of some ohms may move the reading at home and aside; see network.Survey.
type bounds [3]float64

// expect says what the reading shows under a fault. Where the fault's greatest effect has been surveyed already, bounded says
// what may come of it.
func (o *outlook) expect(h *hand, f circuits.Single, bounded *bounds) Expectation {
	switch f.Kind {
	case circuits.Healthy, circuits.Unlisted:
		return o.sound
	case circuits.Open, circuits.HighResistance:
	default:
		return o.weigh(h, f, bounded)
	}
	key := inChain{o, f.Kind, o.home.Class(f.At), -1}
	if f.HasOhms {
		key.ohms = f.Ohms
	}
	e, ok := h.chain[key]
	if !ok {
		e = o.weigh(h, f, bounded)
		if h.chain == nil {
			h.chain = map[inChain]Expectation{}
		}
		h.chain[key] = e
	}
	return e
}

// weigh gives a fault that the reading does not feel the bounds of a sound machine.
func (o *outlook) weigh(h *hand, f circuits.Single, bounded *bounds) Expectation {
	if o.feels(h, f, bounded) {
		return o.reckon(h, f, h.twins)
	}
	e := o.sound
	home := o.home
	if readsWrong(f) {
		device := o.device(f)
		d := &o.built.j.Circuit.Devices[device]
		home = home.With(device, farEnd(d, o.set[d.Name]))
	} else if bounded != nil && bounded[0] < exactly {
		return e
	}
	o.ask(h, home, withNominalOhms(f), &h.p)
	e.Outcome = o.outcome(&h.p, h.c.Blown())
	if e.Status == network.Fine && !math.IsNaN(e.Low) {
		e.Low, e.High = min(e.Low, e.Value), max(e.High, e.Value)
	}
	return e
}

// exactly is a difference in volts or amperes that no meter shows.
const exactly = 1e-9

func readsWrong(f circuits.Single) bool {
	return f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong
}

// feels tells whether a fault of the worst ohms moves the reading, at home or aside.
func (o *outlook) feels(h *hand, f circuits.Single, bounded *bounds) bool {
	var p network.Prediction
	for k, s := range []*network.Scene{o.home, o.aside[0], o.aside[1]} {
		if bounded != nil && bounded[k] < o.least {
			continue
		}
		at := &o.calm
		if k > 0 {
			at = &o.healthy[k-1]
		}
		if readsWrong(f) {
			device := o.device(f)
			for _, end := range o.built.j.Circuit.Devices[device].Range {
				if o.ask(h, s.With(device, end), f, &p); o.differs(&p, at) {
					return true
				}
			}
			continue
		}
		for _, f := range ends(ohmsCorners(f)) {
			if o.ask(h, s, f, &p); o.differs(&p, at) || h.c.Blown() != o.sound.Blown {
				return true
			}
		}
	}
	return false
}

// ends are the first and the last of some faults.
func ends(fs []circuits.Single) []circuits.Single {
	if len(fs) == 1 {
		return fs
	}
	return []circuits.Single{fs[0], fs[len(fs)-1]}
}

// device is the number of the device that a fault is in.
func (o *outlook) device(f circuits.Single) int {
	for i := range o.built.j.Circuit.Devices {
		if o.built.j.Circuit.Devices[i].Name == f.At.From.Place {
			return i
		}
	}
	return -1
}
