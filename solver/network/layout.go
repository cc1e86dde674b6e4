package network

import (
	"sync"

	"ohmtrail/circuits"
)

// Layout is a circuit laid out once for all its readings. It is safe for concurrent use.
type Layout struct {
	c          *circuits.Circuit
	parameters []Parameter
	built      faults // faults that are there in any case

	mu    sync.Mutex
	byKey map[circuits.Key]*netlist
}

// NewLayout lays out a circuit, with the faults that are there in any case (none, as a rule). Their ohms must be given.
func NewLayout(c *circuits.Circuit, there ...circuits.Single) *Layout {
	return &Layout{c: c, parameters: Parameters(c), built: there, byKey: map[circuits.Key]*netlist{}}
}

// Parameters lists what of the circuit is known only to a tolerance; predictions keep to its order.
func (l *Layout) Parameters() []Parameter { return l.parameters }

// template is the network with everything plugged in and no meter.
func (l *Layout) template(key circuits.Key) *netlist {
	l.mu.Lock()
	defer l.mu.Unlock()
	n, ok := l.byKey[key]
	if !ok {
		n = build(l.c, building{state: circuits.State{Key: key}, stimuli: nominal(nil), joints: true, fault: l.built})
		l.byKey[key] = n
	}
	return n
}

// Frame prepares a reading. Stimuli are given later, by Scene.
func (l *Layout) Frame(m circuits.Meter, r circuits.Reading) *Frame {
	n := l.template(r.State.Key).copy()
	return l.frame(n, m, r)
}

// Swapped prepares a reading of the circuit with two terminals of one connector changed over.
func (l *Layout) Swapped(m circuits.Meter, r circuits.Reading, f circuits.Single) *Frame {
	n := l.template(r.State.Key).copy()
	a, b := &n.values.branches[n.series[f.At]], &n.values.branches[n.series[f.To]]
	a.b, b.b = b.b, a.b
	return l.frame(n, m, r)
}

// copy is a netlist whose branch values can be changed and added to.
func (n *netlist) copy() *netlist {
	out := *n
	out.values = n.values.clone()
	return &out
}

func (l *Layout) frame(n *netlist, m circuits.Meter, r circuits.Reading) *Frame {
	ammeter := circuits.Location{}
	if r.Quantity == circuits.Amps {
		ammeter = r.At
	}
	for i := range l.c.Contacts {
		k := &l.c.Contacts[i]
		if len(r.State.Unplugged) > 0 && n.apart(k.First, r.State) {
			n.values.branches[n.series[k.Location]].siemens = 0
		}
	}
	if !ammeter.IsZero() {
		n.values.branches[n.series[ammeter]].siemens = 1 / circuits.AmmeterOhms
	}
	for _, j := range r.State.Jumpers {
		n.resistor(n.nodeOf(j[0]), n.nodeOf(j[1]), circuits.JumperOhms)
	}
	for _, x := range r.State.Loads {
		n.resistor(n.nodeOf(x.From), n.nodeOf(x.To), x.Ohms)
	}
	f := &Frame{reading: r, meter: m, parameters: l.parameters, net: n, meterAt: -1}
	f.probe = n.probe(r)
	switch r.Quantity {
	case circuits.Volts:
		f.meterAt = n.resistor(f.probe.plus, f.probe.minus, m.InputOhms)
	case circuits.Ohms:
		f.meterAt = n.slot(f.probe.plus, f.probe.minus)
	}
	f.assembly = newAssembly(n)
	f.findChains(ammeter)
	return f
}
