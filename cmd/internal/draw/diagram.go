package draw

import (
	"fmt"
	"strconv"
	"strings"

	"ohmtrail/circuits"
)

type partKind uint8

const (
	modulePart partKind = iota
	devicePart
	connectorPart
	splicePart
	studPart
	postPart
)

// face is a side of a part on the page.
type face uint8

const (
	west face = iota
	east
)

func (f face) other() face { return 1 - f }

const none = -1

// part is one thing that wires end at.
type part struct {
	kind    partKind
	name    string
	label   string    // the author's long name, or the device's kind; "" for none
	sides   [2]string // the names of a connector's halves, west and east
	crossed bool      // a connector with wires on both halves
	rows    []row
	column  int
}

// row is one lane of a part: a cavity, or one leg of a splice, stud or post. A cavity with several wires on one face
// has several rows with the same point.
type row struct {
	point circuits.Point // without a side
	words string         // what the cavity is to the part
	group string         // the module connector that the cavity belongs to
	wires [2]int         // the strand on each face, or none
}

// end is where a strand meets a part.
type end struct {
	at        circuits.Point
	part, row int
	face      face
}

// strand is a wire between two parts, in the order in which its run reads it; a run that crosses its connectors from
// east to west is read from its end.
type strand struct {
	wire     *circuits.Wire
	from, to end
}

// diagram is a circuit as parts and strands, before anything has a place on the page. strands is parallel to
// Circuit.Wires.
type diagram struct {
	circuit *circuits.Circuit
	parts   []part
	strands []strand
	byName  map[string]int
}

// build reads the circuit into parts and strands and gives each part its column and rows.
func build(c *circuits.Circuit) *diagram {
	d := &diagram{circuit: c, byName: map[string]int{}}
	d.addParts()
	d.mirror()
	for i := range c.Wires {
		w := &c.Wires[i]
		s := strand{wire: w, from: end{at: w.From, part: d.byName[w.From.Place]}, to: end{at: w.To, part: d.byName[w.To.Place]}}
		if d.readsBack(c.Runs[w.Run]) {
			s.from, s.to = s.to, s.from
		}
		d.strands = append(d.strands, s)
	}
	d.columns()
	d.chooseFaces()
	d.fillRows()
	return d
}

func (d *diagram) addParts() {
	c := d.circuit
	add := func(p part) {
		if p.label == p.name {
			p.label = ""
		}
		d.byName[p.name] = len(d.parts)
		d.parts = append(d.parts, p)
	}
	used := map[string]bool{}
	for _, w := range c.Wires {
		used[w.From.Place], used[w.To.Place] = true, true
	}
	if p := circuits.BPositive.Place; used[p] {
		add(part{kind: postPart, name: p, label: "battery, " + number(c.Battery.Volts) + "\u00a0V"})
	}
	for _, m := range c.Modules {
		add(part{kind: modulePart, name: m.Name, label: m.Label})
	}
	for _, k := range c.Connectors {
		add(part{kind: connectorPart, name: k.Name, label: k.Label, sides: k.Sides, crossed: k.Crossed})
	}
	for _, s := range c.Splices {
		add(part{kind: splicePart, name: s.Name, label: s.Label})
	}
	for _, v := range c.Devices {
		label := v.Label
		if label == "" {
			label = deviceWords(v)
		} else if v.Kind == circuits.Fuse {
			label += ", " + number(v.Amps) + "\u00a0A"
		}
		add(part{kind: devicePart, name: v.Name, label: label})
	}
	for _, s := range c.Studs {
		add(part{kind: studPart, name: s.Name, label: s.Label})
	}
	if p := circuits.BNegative.Place; used[p] {
		add(part{kind: postPart, name: p, label: "battery, negative post"})
	}
}

// chooseFaces says on which face of its parts each strand ends: the halves of a crossed connector are fixed, every
// other part turns the face that looks towards the strand's other end.
func (d *diagram) chooseFaces() {
	for i := range d.strands {
		s := &d.strands[i]
		s.from.face = d.faceOf(s.from.part, s.to.part, s.from.at, east)
		s.to.face = d.faceOf(s.to.part, s.from.part, s.to.at, west)
		if a, b := &d.parts[s.from.part], &d.parts[s.to.part]; a.column == b.column {
			// A strand within one column turns round in the channel beside it.
			switch {
			case !a.crossed && !b.crossed:
				s.from.face, s.to.face = east, east
			case !a.crossed:
				s.from.face = s.to.face
			case !b.crossed:
				s.to.face = s.from.face
			}
		}
	}
}

func (d *diagram) faceOf(own, other int, at circuits.Point, alike face) face {
	p := &d.parts[own]
	switch {
	case p.crossed && at.Side == p.sides[0]:
		return west
	case p.crossed:
		return east
	case d.parts[other].column > p.column:
		return east
	case d.parts[other].column < p.column:
		return west
	}
	return alike
}

// fillRows gives each part its rows and each strand the rows that it ends at.
func (d *diagram) fillRows() {
	type key struct {
		point circuits.Point
		face  face
	}
	ends := make([]map[key][]int, len(d.parts)) // strands by where they end, 2·strand for its start, +1 for its end
	for i := range ends {
		ends[i] = map[key][]int{}
	}
	terminals := make([][]row, len(d.parts))
	listed := map[circuits.Point]bool{}
	list := func(i int, r row) {
		if !listed[r.point] {
			listed[r.point] = true
			terminals[i] = append(terminals[i], r)
		}
	}
	for i, p := range d.parts {
		for _, r := range d.fixedRows(p) {
			list(i, r)
		}
	}
	for i, s := range d.strands {
		for j, e := range []end{s.from, s.to} {
			list(e.part, row{point: e.at.Terminal()})
			k := key{e.at.Terminal(), e.face}
			ends[e.part][k] = append(ends[e.part][k], 2*i+j)
		}
	}
	for i := range d.parts {
		p := &d.parts[i]
		for _, t := range terminals[i] {
			w, e := ends[i][key{t.point, west}], ends[i][key{t.point, east}]
			for lane := 0; lane < max(1, len(w), len(e)); lane++ {
				t.wires = [2]int{none, none}
				for f, list := range [][]int{w, e} {
					if lane < len(list) {
						t.wires[f] = list[lane] / 2
						if s := &d.strands[list[lane]/2]; list[lane]%2 == 0 {
							s.from.row = len(p.rows)
						} else {
							s.to.row = len(p.rows)
						}
					}
				}
				p.rows = append(p.rows, t)
			}
		}
	}
}

// fixedRows are the cavities that the file lists for a module or device, wired or not.
func (d *diagram) fixedRows(p part) []row {
	var rows []row
	switch p.kind {
	case modulePart:
		for _, pin := range d.circuit.Module(p.name).Pins {
			rows = append(rows, row{point: pin.Point(), words: pinWords(pin), group: pin.Connector()})
		}
	case devicePart:
		v := d.circuit.Device(p.name)
		for _, t := range v.Terminals {
			words := t.Role
			if words == "a" || words == "b" {
				words = "" // the contract's letters of a two-terminal part say nothing to a reader
			}
			rows = append(rows, row{point: circuits.Point{Place: p.name, Cavity: t.Cavity}, words: words})
		}
	}
	return rows
}

// pinWords says what a module pin is, in the author's words where there are any.
func pinWords(p circuits.Pin) string {
	if p.Label != "" {
		return p.Label
	}
	switch p.Kind {
	case circuits.PinReference:
		return number(p.Volts) + " V reference"
	case circuits.PinLowSide:
		return "low-side switch"
	case circuits.PinHighSide:
		return "high-side switch"
	case circuits.PinCANHigh:
		return "CAN high"
	case circuits.PinCANLow:
		return "CAN low"
	case circuits.PinLIN:
		return "LIN"
	}
	return string(p.Kind)
}

// deviceWords says what a device without a label is.
func deviceWords(v circuits.Device) string {
	switch v.Kind {
	case circuits.Fuse:
		return "fuse, " + number(v.Amps) + "\u00a0A"
	case circuits.RTD:
		return "RTD"
	}
	return strings.ReplaceAll(string(v.Kind), "_", " ")
}

// wireLabel is what stands beside a wire: colour, size, length.
func wireLabel(w *circuits.Wire) string {
	s := fmt.Sprintf("%s mm²  %s m", number(w.SizeMM2), number(w.LengthM))
	if w.Color != "" {
		s = w.Color + "  " + s
	}
	return s
}

// runName is the name of the strand's run where the strand is the run's first wire, so that it is said once.
func (d *diagram) runName(strandIndex int) string {
	r := d.circuit.Runs[d.circuit.Wires[strandIndex].Run]
	if len(r.Wires) > 0 && r.Wires[0] == strandIndex {
		return r.Name
	}
	return ""
}

// number prints a value with at most three significant digits and no exponent.
func number(v float64) string {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
