package circuits

import (
	"fmt"

	"ohmtrail/models"
)

// Roles lists what a run can be for.
func Roles() []string {
	return []string{"reference", "signal", "return", "power", "ground", "bus", "other"}
}

func (p *circuitParser) run(c cursor) {
	if !c.table("name", "role", "path", "color", "size_mm2", "awg", "length_m", "risk") {
		return
	}
	r := Run{Name: c.textOr("name", ""), Role: c.textOr("role", "other"), Line: c.at()}
	if role, ok := c.key("role"); ok && !contains(Roles(), r.Role) {
		role.fail(fmt.Sprintf("no run has the role %q", r.Role), didYouMean(r.Role, Roles()))
	}
	path, ok := c.key("path")
	if !ok {
		c.fail("the run has no path", `write path = ["MCU:A3", "C7:3", "MHS:3"]`)
		return
	}
	names, ok := path.texts()
	if !ok {
		return
	}
	where := "run"
	if r.Name != "" {
		where = fmt.Sprintf("run %q", r.Name)
	}
	for i, text := range names {
		at := path.list()[i]
		point, hint := p.pathPoint(text, i == 0 || i == len(names)-1, at)
		if hint.What != "" {
			at.problem(false, where, hint.What, hint.Hint)
			return
		}
		if i > 0 && r.Path[i-1] == point {
			at.problem(false, where, fmt.Sprintf("%s follows itself", point), "name each element once")
			return
		}
		r.Path = append(r.Path, point)
	}
	if len(r.Path) < 2 {
		path.problem(false, where, "a path needs two elements or more", "name what the wire starts from and ends at")
		return
	}
	p.wires(&r, c)
	p.c.Runs = append(p.c.Runs, r)
}

// pathPoint reads one element of a path. A bare name that nothing declares is a splice, a NAME:CAVITY that nothing
// declares an in-line connector: both tables are optional.
func (p *circuitParser) pathPoint(text string, end bool, at cursor) (Point, Problem) {
	point, err := ParsePoint(text)
	if err != nil {
		return point, Problem{What: err.Error()}
	}
	if point.Side != "" {
		return point, Problem{What: fmt.Sprintf("%s: a path names terminals without sides", text), Hint: "write " + point.Terminal().String()}
	}
	e, known := p.c.elements[point.Place]
	if !known && containsDot(point.Place) {
		return point, Problem{What: fmt.Sprintf("%s: %q cannot be a name", text, point.Place), Hint: "use letters, digits, '_', '-' or '#'"}
	}
	if !known {
		if point.Cavity == "" {
			p.register(point.Place, isSplice, len(p.c.Splices), at)
			p.c.Splices = append(p.c.Splices, Splice{Name: point.Place, Line: at.at(), AccessMin: 15})
		} else {
			p.register(point.Place, isConnector, len(p.c.Connectors), at)
			p.c.Connectors = append(p.c.Connectors, Connector{Name: point.Place, Line: at.at(), AccessMin: 3, Sides: [2]string{"a", "b"}})
		}
		e = p.c.elements[point.Place]
	}
	word := elementWords[e.kind]
	switch e.kind {
	case isSplice, isStud:
		if point.Cavity != "" {
			return point, Problem{What: fmt.Sprintf("%s: the %s %s has no cavities", text, word, point.Place), Hint: "write " + point.Place}
		}
	case isModule, isDevice, isConnector:
		if point.Cavity == "" {
			return point, Problem{What: fmt.Sprintf("%s: which cavity of the %s?", text, word), Hint: fmt.Sprintf("write %s:CAVITY", point.Place)}
		}
		if problem := p.cavity(point, e); problem.What != "" {
			return point, problem
		}
	}
	if !end && (e.kind == isModule || e.kind == isDevice || e.kind == isStud || e.kind == isPost) {
		return point, Problem{What: fmt.Sprintf("%s: a %s ends a path", text, word), Hint: "end this run there and begin another one"}
	}
	return point, Problem{}
}

// cavity checks that a module or device has that cavity.
func (p *circuitParser) cavity(point Point, e element) Problem {
	var known []string
	switch e.kind {
	case isModule:
		for _, pin := range p.c.Modules[e.index].Pins {
			known = append(known, pin.Cavity)
		}
	case isDevice:
		for _, t := range p.c.Devices[e.index].Terminals {
			known = append(known, t.Cavity)
		}
	default:
		return Problem{}
	}
	if contains(known, point.Cavity) {
		return Problem{}
	}
	return Problem{What: fmt.Sprintf("%s: %s %s has no cavity %s", point, elementWords[e.kind], point.Place, point.Cavity), Hint: didYouMean(point.Cavity, known)}
}

// wires cuts a run into its wires.
func (p *circuitParser) wires(r *Run, c cursor) {
	n := len(r.Path) - 1
	size := perWire(c, "size_mm2", n, models.DefaultSizeMM2, cursor.number, positive)
	awg := perWire(c, "awg", n, 0, cursor.number, bounds{-3, 40, false})
	length := perWire(c, "length_m", n, models.DefaultLengthM, cursor.number, notNegative)
	risk := perWire(c, "risk", n, 1, cursor.number, notNegative)
	colors := perWireText(c, "color", n)
	_, hasSize := c.key("size_mm2")
	if a, hasAWG := c.key("awg"); hasAWG {
		if hasSize {
			a.fail("a run has either size_mm2 or awg", "remove one of them")
		}
		for i := range size {
			size[i] = models.AWGAreaMM2(awg[i])
		}
	}
	for i := range n {
		w := Wire{Location: WireLocation(r.Path[i], r.Path[i+1]), From: r.Path[i], To: r.Path[i+1], Run: len(p.c.Runs), Line: c.at(),
			SizeMM2: size[i], LengthM: length[i], Ohms: models.WireOhms(size[i], length[i]), Color: colors[i], Risk: risk[i]}
		if old := p.c.Wire(w.Location); old != nil {
			c.problem(false, "run "+r.Title(), fmt.Sprintf("there is a wire %s already, in the run of line %d", w.Location, old.Line),
				"two wires side by side between the same terminals cannot be told apart; describe them as one")
		}
		r.Wires = append(r.Wires, len(p.c.Wires))
		p.c.Wires = append(p.c.Wires, w)
		p.name(PointLocation(w.From))
		p.name(w.Location)
		p.name(PointLocation(w.To))
	}
}

// perWire reads a key that is one number for all wires, or one a wire.
func perWire(c cursor, key string, n int, def float64, take func(cursor) (float64, bool), b bounds) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = def
	}
	sub, ok := c.key(key)
	if !ok {
		return out
	}
	values := sub.list()
	if sub.isList() && len(values) != n {
		sub.fail(fmt.Sprintf("%d values for %d wires", len(values), n), "give one for all, or one per wire")
		return out
	}
	for i, v := range values {
		x, ok := take(v)
		if !ok {
			continue
		}
		if !b.holds(x) {
			v.fail(fmt.Sprintf("%g is impossible here", x), "give a value "+b.String())
			continue
		}
		if !sub.isList() {
			for j := range out {
				out[j] = x
			}
			break
		}
		out[i] = x
	}
	return out
}

func perWireText(c cursor, key string, n int) []string {
	out := make([]string, n)
	sub, ok := c.key(key)
	if !ok {
		return out
	}
	values := sub.list()
	if sub.isList() && len(values) != n {
		sub.fail(fmt.Sprintf("%d values for %d wires", len(values), n), "give one for all, or one per wire")
		return out
	}
	for i, v := range values {
		s, ok := v.text()
		if !ok {
			return out
		}
		if _, listed := models.Colour(s); !listed {
			v.warn(fmt.Sprintf("%q is no colour code of IEC 60757", s), "codes: BK BN RD OG YE GN BU VT GY WH PK TQ; two-colour wires as GN/BK")
		}
		if !sub.isList() {
			for j := range out {
				out[j] = s
			}
			break
		}
		out[i] = s
	}
	return out
}
