package network

import (
	"encoding/binary"
	"fmt"
	"math"
	"sync"

	"ohmtrail/circuits"
)

// Layout is a circuit laid out once for all its readings. It is safe for concurrent use.
//
// Readings share what they can: one order of elimination a position of the key (and one more for each set of jumpers
// and loads), one factorisation a state and setting of the stimuli, whatever is read there.
type Layout struct {
	c          *circuits.Circuit
	parameters []Parameter
	converters map[circuits.Point][]int // by pin: the parameters of its converter
	byPlace    map[string][]int32       // by part, module or pin: its parameters
	built      faults                   // faults that are there in any case

	mu       sync.Mutex
	plain    map[circuits.Key]*topology
	extended shelf[topology] // with jumpers and loads
	settings shelf[setting]
}

// topology is a netlist with everything plugged in and no meter, and its order of elimination.
type topology struct {
	net     *netlist
	p       *pattern
	pieceAt []string // by piece: the part, module or pin that it belongs to
}

func newTopology(n *netlist) *topology {
	t := &topology{n, newPattern(n), make([]string, len(n.pieces))}
	for i := range n.pieces {
		t.pieceAt[i] = n.pieces[i].module
	}
	for at, slots := range n.pin {
		if slots.piece >= 0 {
			t.pieceAt[slots.piece] = pinName(at.From)
		}
	}
	for name, slots := range n.devices {
		if slots.piece >= 0 {
			t.pieceAt[slots.piece] = name
		}
	}
	return t
}

// NewWideLayout lays out a circuit, with the faults that are there in any case (none, as a rule). Their ohms must be given.
// Predictions lean on everything that has a width.
func NewWideLayout(c *circuits.Circuit, there ...circuits.Single) *Layout {
	parameters := Parameters(c)
	l := &Layout{c: c, parameters: parameters, converters: map[circuits.Point][]int{}, byPlace: map[string][]int32{}, built: there, plain: map[circuits.Key]*topology{}}
	for i, p := range parameters {
		l.byPlace[p.Place.Place] = append(l.byPlace[p.Place.Place], int32(i))
		if name := pinName(p.Place); name != "" {
			l.byPlace[name] = append(l.byPlace[name], int32(i))
		}
		if p.Kind == Converter {
			l.converters[p.Place] = append(l.converters[p.Place], i)
		}
	}
	return l
}

// Parameters lists what of the circuit is known only to a tolerance; predictions keep to its order.
func (l *Layout) Parameters() []Parameter { return l.parameters }

// topology is that of a state.
func (l *Layout) topology(s circuits.State) *topology {
	plain := l.pluggedIn(s.Key)
	if len(s.Jumpers)+len(s.Loads) == 0 {
		return plain
	}
	return l.extended.get(fmt.Sprint(s.Key, s.Jumpers, s.Loads), func() *topology {
		n := plain.net.copy()
		for _, j := range s.Jumpers {
			n.resistor(n.nodeOf(j[0]), n.nodeOf(j[1]), circuits.JumperOhms)
		}
		for _, x := range s.Loads {
			n.resistor(n.nodeOf(x.From), n.nodeOf(x.To), x.Ohms)
		}
		return newTopology(n)
	})
}

// pluggedIn is the topology of a position of the key.
func (l *Layout) pluggedIn(key circuits.Key) *topology {
	l.mu.Lock()
	defer l.mu.Unlock()
	t := l.plain[key]
	if t == nil {
		n := build(l.c, building{state: circuits.State{Key: key}, stimuli: nominal(nil), joints: true, fault: l.built})
		t = newTopology(n)
		l.plain[key] = t
	}
	return t
}

// copy is a netlist whose branch values and pieces can be changed and added to.
func (n *netlist) copy() *netlist {
	out := *n
	out.values = n.values.clone()
	out.pieces = append([]piece(nil), n.pieces...)
	return &out
}

// Frame prepares a reading. Stimuli are given later, by Scene.
func (l *Layout) Frame(m circuits.Meter, r circuits.Reading) *Frame {
	t := l.topology(r.State)
	return &Frame{layout: l, topology: t, reading: r, meter: m, probe: t.net.probe(r)}
}

// ammeterAt is the place that an ammeter stands in for in a reading, zero for none.
func ammeterAt(r circuits.Reading) circuits.Location {
	if r.Quantity == circuits.Amps {
		return r.At
	}
	return circuits.Location{}
}

// setting is the circuit in the state of a reading at these stimuli, with the numbers of a machine (nil for the file's):
// found, or made.
func (l *Layout) setting(t *topology, r circuits.Reading, stimuli func(*circuits.Device) float64, numbers Settings) *setting {
	key := fmt.Append(nil, r.State.Key, r.State.Unplugged, r.State.Jumpers, r.State.Loads, ammeterAt(r), "\x00")
	for i := range l.c.Devices {
		if d := &l.c.Devices[i]; d.Kind.HasStimulus() {
			key = binary.LittleEndian.AppendUint64(key, math.Float64bits(stimuli(d)))
		}
	}
	for _, v := range numbers {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(v))
	}
	return l.settings.get(string(key), func() *setting { return l.newSetting(t, r, stimuli, numbers) })
}

// newSetting makes one.
func (l *Layout) newSetting(t *topology, r circuits.Reading, stimuli func(*circuits.Device) float64, numbers Settings) *setting {
	s := &setting{net: t.net.copy(), p: t.p, stimuli: stimuli, parameters: l.parameters, byPlace: l.byPlace, pieceAt: t.pieceAt, ammeter: ammeterAt(r)}
	n := s.net
	if numbers != nil {
		n.revalue(Machine(l.c, l.parameters, numbers))
	}
	for i := range l.c.Contacts {
		k := &l.c.Contacts[i]
		if len(r.State.Unplugged) > 0 && n.apart(k.First, r.State) {
			n.values.branches[n.series[k.Location]].siemens = 0
		}
	}
	if !s.ammeter.IsZero() {
		n.values.branches[n.series[s.ammeter]].siemens = 1 / circuits.AmmeterOhms
	}
	for i := range n.c.Devices {
		d := &n.c.Devices[i]
		n.stimulate(d, stimuli(d), n.values, n.pieces)
	}
	return s
}

// pinName is a pin's place and cavity, "" for no pin.
func pinName(p circuits.Point) string {
	if p.Cavity == "" {
		return ""
	}
	return p.Place + ":" + p.Cavity
}
