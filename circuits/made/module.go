package made

import (
	"fmt"
	"slices"
	"strings"
)

// module is a control module under construction, with the loom that belongs to it.
type module struct {
	name       string
	pins       []string // the keys of the pins given out
	most       int
	trunk      *plug  // the module's own connector to the loom
	zone       *plug  // the connector of a part of the machine
	ref, ret   branch // where sensors get their supply and their return
	code       int
	busMembers int
}

const (
	trunkLeast, trunkMost = 12, 40
	zoneLeast, zoneMost   = 4, 16
)

// pin gives out the next cavity: A1 to A20, then B1 to B20.
func (m *module) pin(text string) string {
	cavity := fmt.Sprintf("%c%d", 'A'+rune(len(m.pins)/20), len(m.pins)%20+1)
	m.pins = append(m.pins, fmt.Sprintf("pins.%s = %s\n", cavity, text))
	return m.name + ":" + cavity
}

// input is an input pin with codes at both ends.
func (m *module) input(rest string, below, above float64) string {
	m.code += 2
	return m.pin(fmt.Sprintf("{ kind = \"input\", %s, below = { volts = %g, code = \"%s-%d\" }, above = { volts = %g, code = \"%s-%d\" } }",
		rest, below, m.name, m.code-1, above, m.name, m.code))
}

// module adds a module with its feeds, its grounds and as many sensors and loads as its pins and the wires allow.
func (h *harness) module(wires int) {
	m := &module{name: h.name("M"), most: h.between(12, 40)}
	m.trunk, m.zone = h.plug("T", trunkLeast, trunkMost), h.plug("C", zoneLeast, zoneMost)
	h.feeds(m)
	h.supplies(m)
	if m.most > 20 && wires-h.wires > 40 {
		h.joinBus(m)
	}
	h.pressure(m) // so that no splice is left with a single wire
	kinds := slices.Clone(sensors)
	h.rng.Shuffle(len(kinds), func(i, j int) { kinds[i], kinds[j] = kinds[j], kinds[i] })
	for i := 0; len(m.pins) < m.most && h.wires+mostSensor <= wires; i++ {
		kinds[i%len(kinds)](h, m)
	}
	h.part("[module.%s]\n%s\n", m.name, strings.Join(m.pins, ""))
}

// feeds gives the module one or two fused feeds, and one ground wire or two that share a splice.
func (h *harness) feeds(m *module) {
	for range h.between(1, 2) {
		fuse := h.fuse(10)
		h.run("power", "RD/GN", 1.5, m.pin(`{ kind = "power" }`), h.trunkWay(m), fuse+":2")
	}
	if h.rng.IntN(2) == 0 {
		h.run("ground", "BK", 1.5, m.pin(`{ kind = "ground" }`), h.ground())
		return
	}
	s := h.splice()
	for range 2 {
		h.run("ground", "BK", 1.5, m.pin(`{ kind = "ground" }`), h.leg(&s, "ground", "BK"))
	}
	h.run("ground", "BK", 2.5, s.point, h.ground())
}

// supplies begins the shared reference and the shared return of the module's sensors.
func (h *harness) supplies(m *module) {
	m.ref, m.ret = h.splice(), h.splice()
	m.ref.legs, m.ret.legs = 1, 1
	h.run("reference", "OG", 0.75, m.pin(`{ kind = "reference", volts = 5.0, limit_ma = 200 }`), h.trunkWay(m), m.ref.point)
	h.run("return", "BN", 0.75, m.pin(`{ kind = "return" }`), h.trunkWay(m), m.ret.point)
}

// joinBus puts the module on a pair of CAN wires that up to seven modules share, with a resistor at its beginning.
func (h *harness) joinBus(m *module) {
	if h.bus[0].point == "" || h.bus[0].legs >= wayMost {
		h.bus = [2]branch{h.splice(), h.splice()}
		r := h.name("R")
		h.part("[device.%s]\nkind = \"resistor\"\nterminals = { a = \"1\", b = \"2\" }\nohms = 60\n\n", r)
		h.run("bus", "YE", 0.35, r+":1", h.leg(&h.bus[0], "bus", "YE"))
		h.run("bus", "GN", 0.35, r+":2", h.leg(&h.bus[1], "bus", "GN"))
	}
	h.run("bus", "YE", 0.35, m.pin(`{ kind = "can_high" }`), h.leg(&h.bus[0], "bus", "YE"))
	h.run("bus", "GN", 0.35, m.pin(`{ kind = "can_low" }`), h.leg(&h.bus[1], "bus", "GN"))
}

func (h *harness) trunkWay(m *module) string { return h.way(m.trunk, "T", trunkLeast, trunkMost) }
func (h *harness) zoneWay(m *module) string  { return h.way(m.zone, "C", zoneLeast, zoneMost) }

// signal runs a wire from a pin through both connectors to a terminal.
func (h *harness) signal(m *module, pin, terminal, color string) {
	h.run("signal", color, 0.5, pin, h.trunkWay(m), h.zoneWay(m), terminal)
}

// supplied runs a branch of the shared reference to a terminal, returned one of the shared return.
func (h *harness) supplied(m *module, terminal string) {
	h.run("reference", "OG/WH", 0.5, h.leg(&m.ref, "reference", "OG"), h.zoneWay(m), terminal)
}

func (h *harness) returned(m *module, terminal string) {
	h.run("return", "BN/WH", 0.5, h.leg(&m.ret, "return", "BN"), h.zoneWay(m), terminal)
}
