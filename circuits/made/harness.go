// Package made writes harness-like circuits of any size from a seed, for tests and benchmarks: control modules of 12 to
// 40 pins, references and returns shared over splices, in-line connectors of 4 to 40 ways, sensors and loads of all
// kinds, grounds on studs, fuses and feeds. Everything in them is invented.
package made

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// Harness is the text of a circuit file with that many wires, at least 40 of them; the same seed and size give the
// same text. A signal crosses two in-line connectors on its way, so a lead of a sensor is about three wires.
func Harness(seed uint64, wires int) string {
	h := &harness{rng: rand.New(rand.NewPCG(seed, uint64(wires))), counts: map[string]int{}}
	for h.wires+leastModule <= wires || h.wires == 0 {
		h.module(wires)
	}
	h.fill(wires)
	title := fmt.Sprintf("format = 1\ntitle = \"A made harness of %d wires, seed %d\"\n\n[battery]\nvolts = 12.6\n\n", h.wires, seed)
	return title + h.parts.String() + h.runs.String()
}

// leastModule is the number of wires that a module with its feeds and one sensor takes.
const leastModule = 24

// wayMost is how many wires meet at a splice before the next one carries on.
const wayMost = 7

// harness is the circuit under construction.
type harness struct {
	rng         *rand.Rand
	parts, runs strings.Builder
	counts      map[string]int // how many names of each prefix are given
	wires       int
	stud        branch // where grounds go now
	feed        branch // a splice behind a fuse
	bus         [2]branch
}

// branch is a splice, or a stud, that takes more wires until it is full.
type branch struct {
	point string
	legs  int
}

// plug is an in-line connector whose ways are given out one by one.
type plug struct {
	name       string
	used, ways int
}

// name gives the next name of a prefix: M1, M2, ….
func (h *harness) name(prefix string) string {
	h.counts[prefix]++
	return fmt.Sprintf("%s%d", prefix, h.counts[prefix])
}

// between draws a whole number from low to high, both included.
func (h *harness) between(low, high int) int { return low + h.rng.IntN(high-low+1) }

func (h *harness) part(format string, a ...any) { fmt.Fprintf(&h.parts, format, a...) }

// run writes a chain of wires; their lengths are drawn.
func (h *harness) run(role, color string, size float64, path ...string) {
	lengths := make([]string, len(path)-1)
	for i := range lengths {
		lengths[i] = fmt.Sprintf("%.1f", 0.2+1.8*h.rng.Float64())
	}
	fmt.Fprintf(&h.runs, "[[run]]\nrole = %q\npath = [\"%s\"]\ncolor = %q\nsize_mm2 = %g\nlength_m = [%s]\n\n",
		role, strings.Join(path, `", "`), color, size, strings.Join(lengths, ", "))
	h.wires += len(lengths)
}

// plug begins an in-line connector.
func (h *harness) plug(prefix string, least, most int) *plug {
	p := &plug{name: h.name(prefix), ways: h.between(least, most)}
	h.part("[connector.%s]\nsides = [\"body\", \"loom\"]\n\n", p.name)
	return p
}

// way is the next free way of a connector, of another one where it is full.
func (h *harness) way(p *plug, prefix string, least, most int) string {
	if p.used == p.ways {
		*p = *h.plug(prefix, least, most)
	}
	p.used++
	return fmt.Sprintf("%s:%d", p.name, p.used)
}

// splice begins a splice.
func (h *harness) splice() branch {
	name := h.name("S")
	h.part("[splice.%s]\n\n", name)
	return branch{point: name}
}

// leg is the splice for one more wire; where it is full, a further one joined to it by a wire.
func (h *harness) leg(b *branch, role, color string) string {
	if b.legs >= wayMost {
		next := h.splice()
		h.run(role, color, 0.75, b.point, next.point)
		next.legs = 1
		*b = next
	}
	b.legs++
	return b.point
}

// ground is the stud for one more wire.
func (h *harness) ground() string {
	if h.stud.point == "" || h.stud.legs >= wayMost {
		h.stud = branch{point: h.name("G")}
		h.part("[ground.%s]\n\n", h.stud.point)
	}
	h.stud.legs++
	return h.stud.point
}

// fused is a splice behind a fuse for one more wire.
func (h *harness) fused() string {
	if h.feed.point == "" || h.feed.legs >= wayMost {
		fuse := h.fuse(30)
		h.feed = h.splice()
		h.run("power", "RD/WH", 2.5, fuse+":2", h.feed.point)
		h.feed.legs = 1
	}
	h.feed.legs++
	return h.feed.point
}

// fuse puts a fuse on the battery's positive post.
func (h *harness) fuse(amps int) string {
	name := h.name("F")
	h.part("[device.%s]\nkind = \"fuse\"\nterminals = { a = \"1\", b = \"2\" }\namps = %d\n\n", name, amps)
	h.run("power", "RD", 4, "B+", name+":1")
	return name
}

// fill brings the harness to its number of wires: lamps between a feed and a stud, and a spare lead to a socket.
func (h *harness) fill(wires int) {
	for wires-h.wires >= 5 { // a fuse, its feed and a lamp are four
		h.lamp()
	}
	for i := 1; h.wires < wires; i++ {
		h.run("ground", "BK", 0.5, h.ground(), fmt.Sprintf("SOCKET:%d", i))
	}
}

func (h *harness) lamp() {
	name := h.name("L")
	h.part("[device.%s]\nkind = \"load\"\nterminals = { a = \"1\", b = \"2\" }\nohms = %d\n\n", name, h.between(6, 60))
	h.run("power", "GY", 1, h.fused(), name+":1")
	h.run("ground", "BK", 1, name+":2", h.ground())
}
