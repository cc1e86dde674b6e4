package network

import (
	"sync"

	"ohmtrail/circuits"
)

// Frame is one reading of a circuit made ready for many settings and faults.
type Frame struct {
	layout   *Layout
	topology *topology
	reading  circuits.Reading
	meter    circuits.Meter
	probe    probe

	homed sync.Once
	home  *setting // that of the first scene

	chained sync.Once
	chain   []int32 // by branch: the branch that stands for its chain; -1 for a branch that no series fault can be on
}

// Scene is a frame with every stimulus known. It is safe for concurrent use. Scenes of one layout that have state and
// stimuli in common share the network solved, as long as any of them is held.
type Scene struct {
	frame *Frame
	set   *setting
	moved []moved

	once        sync.Once
	leads       []reduced // the sound circuits of the setting seen from the leads
	plus, minus int8      // their rows there

	weighed sync.Once
	weights []float64 // by node: of a current there in the reading; see weigh
}

// Scene sets the stimuli of a frame; a device that is not in the map has its nominal one.
func (f *Frame) Scene(stimuli map[string]float64) *Scene { return f.SceneOf(stimuli, nil) }

// SceneOf is the scene of a machine with its own numbers, by the layout's parameters.
//
// The first scene of a frame is solved whole; another one with a few stimuli elsewhere is that one with the parts moved,
// as a fault moves it.
func (f *Frame) SceneOf(stimuli map[string]float64, numbers Settings) *Scene {
	set := nominal(stimuli)
	if numbers != nil {
		return &Scene{frame: f, set: f.layout.setting(f.topology, f.reading, set, numbers)}
	}
	f.homed.Do(func() { f.home = f.layout.setting(f.topology, f.reading, set, nil) })
	var away []moved
	devices := f.home.net.c.Devices
	for i := range devices {
		if d := &devices[i]; d.Kind.HasStimulus() {
			if to := set(d); to != f.home.stimuli(d) {
				if away = append(away, moved{d, to}); len(away) > mostMoved {
					return &Scene{frame: f, set: f.layout.setting(f.topology, f.reading, set, nil)}
				}
			}
		}
	}
	return &Scene{frame: f, set: f.home, moved: away}
}

// SceneAlone is SceneOf for a machine that nothing else is asked about: its network is shared with nobody, and found again by nobody.
func (f *Frame) SceneAlone(stimuli map[string]float64, numbers Settings) *Scene {
	return &Scene{frame: f, set: f.layout.newSetting(f.topology, f.reading, nominal(stimuli), numbers)}
}

// With is the scene with the stimulus of one more part, by its number in the circuit, set to something else: the circuit is
// not solved anew, the part is moved in it.
func (s *Scene) With(device int, to float64) *Scene {
	d := &s.set.net.c.Devices[device]
	out := &Scene{frame: s.frame, set: s.set}
	for _, m := range s.moved {
		if m.d != d {
			out.moved = append(out.moved, m)
		}
	}
	if to != s.set.stimuli(d) {
		out.moved = append(out.moved, moved{d, to})
	}
	return out
}

// mostMoved is how many parts are moved rather than the circuit solved anew.
const mostMoved = 8

// moved is a part whose stimulus is not that of the setting.
type moved struct {
	d  *circuits.Device
	to float64
}

// solve reduces the sound circuit to the leads, once.
func (s *Scene) solve() {
	s.once.Do(func() {
		s.set.solve()
		s.leads = make([]reduced, len(s.set.sound))
		d := s.set.p.desk()
		for i, x := range s.set.sound {
			r := &s.leads[i]
			r.begin(x.f, nil, &patch{})
			s.plus, s.minus = r.keep(s.frame.probe.plus), r.keep(s.frame.probe.minus)
			r.reckon(d, s.set.net, &x.values)
		}
		s.set.p.giveBack(d)
	})
}

// Class tells which places are one to a reading: series faults on places of one class are the same fault to it. It is 0
// where the reading feels no series fault at all.
func (s *Scene) Class(at circuits.Location) int32 {
	f := s.frame
	f.chained.Do(f.findChains)
	if i, ok := f.topology.net.series[at]; ok {
		return f.chain[i] + 1
	}
	return 0
}

// findChains joins the wires, contacts and joints that follow each other with nothing else between: whatever a series
// fault does on one of them it does on all. The meter, a jumper or a load that touches a point between them parts the
// chain there.
func (f *Frame) findChains() {
	n := f.topology.net
	degree := make([]int, len(n.points))
	count := func(i int32) {
		if i >= 0 {
			degree[i]++
		}
	}
	series := make([]bool, len(n.values.branches))
	apart := make([]bool, len(n.values.branches)) // contacts that the state has taken apart
	if len(f.reading.State.Unplugged) > 0 {
		for i := range n.c.Contacts {
			k := &n.c.Contacts[i]
			apart[n.series[k.Location]] = n.apart(k.First, f.reading.State)
		}
	}
	ammeter := ammeterAt(f.reading)
	for at, i := range n.series {
		apart[i] = (apart[i] || n.values.branches[i].siemens == 0) && at != ammeter
		series[i] = !apart[i] && at != ammeter
	}
	for i, b := range n.values.branches {
		if !apart[i] {
			count(b.a)
			count(b.b)
		}
	}
	if q := f.reading.Quantity; q == circuits.Volts || q == circuits.Ohms {
		count(f.probe.plus)
		count(f.probe.minus)
	}
	for _, g := range n.values.gains {
		count(g.out)
		count(g.ret)
		count(g.sup)
	}
	f.chain = make([]int32, len(n.values.branches))
	first := make([]int32, len(n.points)) // first series branch met at a node, +1
	parent := func(i int32) int32 {
		for f.chain[i] != i {
			f.chain[i] = f.chain[f.chain[i]]
			i = f.chain[i]
		}
		return i
	}
	for i := range f.chain {
		f.chain[i] = -1
		if !series[i] {
			continue
		}
		f.chain[i] = int32(i)
		for _, end := range []int32{n.values.branches[i].a, n.values.branches[i].b} {
			if end < 0 || degree[end] != 2 {
				continue
			}
			if first[end] == 0 {
				first[end] = int32(i) + 1
				continue
			}
			a, b := parent(first[end]-1), parent(int32(i))
			f.chain[max(a, b)] = min(a, b)
		}
	}
	for i := range f.chain {
		if f.chain[i] >= 0 {
			f.chain[i] = parent(int32(i))
		}
	}
}
