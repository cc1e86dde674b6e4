package read

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/models"
)

// Roles lists what a run can be for.
func Roles() []string {
	return []string{"reference", "signal", "return", "power", "ground", "bus", "other"}
}

func (p *circuitParser) run(c cursor) {
	if name, _ := c.key("name"); name.value != "" {
		if text, ok := name.value.(string); ok {
			p.d.titles[c.path] = fmt.Sprintf("run %q", text)
		}
	}
	if !c.table("name", "role", "path", "color", "size_mm2", "awg", "length_m", "risk") {
		return
	}
	r := circuits.Run{Name: c.textOr("name", ""), Role: c.textOr("role", "other"), Line: c.at()}
	if !slices.Contains(Roles(), r.Role) {
		c.first("role").fail(fmt.Sprintf("no run has the role %q", r.Role), wording.DidYouMean(r.Role, Roles()))
	}
	path, ok := c.key("path")
	if !ok {
		if c.lacks("path") {
			c.fail("the run has no path", `write path = ["MCU:A3", "C7:3", "MHS:3"]`)
		}
		return
	}
	if names, ok := path.texts(); !ok || !p.path(&r, path, names) {
		return
	}
	p.cut(&r, c, path)
	p.paths = append(p.paths, path)
	p.c.AddRun(r)
}

// path reads the elements of a path; false where one is wrong, after all have been looked at.
func (p *circuitParser) path(r *circuits.Run, path cursor, names []string) bool {
	fine := true
	for i, text := range names {
		at := path.list()[i]
		point, problem := p.pathPoint(text, i == 0 || i == len(names)-1, at)
		if problem.What != "" {
			at.fail(problem.What, problem.Hint)
			fine = false
		}
		if i > 0 && problem.What == "" {
			before := r.Path[i-1]
			switch {
			case before == point:
				at.fail(fmt.Sprintf("%s follows itself", point), "name each element once")
				fine = false
			case before.Place == point.Place && p.c.Element(point.Place).Kind == circuits.ElementConnector:
				at.fail(fmt.Sprintf("%s follows %s: no wire runs from one half of %s to the other", point, before, point.Place),
					"a path goes through a connector once, by one cavity")
				fine = false
			}
		}
		r.Path = append(r.Path, point)
	}
	if len(names) < 2 {
		path.fail("a path needs two elements or more", "name what the wire starts from and ends at")
		return false
	}
	return fine
}

// pathPoint reads one element of a path. A bare name that nothing declares is a splice, a NAME:CAVITY that nothing
// declares an in-line connector: both tables are optional.
func (p *circuitParser) pathPoint(text string, end bool, at cursor) (circuits.Point, circuits.Problem) {
	point, err := circuits.ParsePoint(text)
	if err != nil {
		return point, circuits.Problem{What: err.Error()}
	}
	if point.Side != "" {
		return point, circuits.Problem{What: fmt.Sprintf("%s: a path names terminals without sides", text), Hint: "write " + point.Terminal().String()}
	}
	e := p.c.Element(point.Place)
	if e.Kind == 0 && !validPlace(point.Place) {
		hint := "use letters, digits, '_', '-' or '#'"
		if module, _, _ := strings.Cut(point.Place, "."); p.c.Module(module) != nil {
			hint = fmt.Sprintf("name the module and its pin, such as %s", p.c.Module(module).Pins[0].Point())
		}
		return point, circuits.Problem{What: fmt.Sprintf("%s: %q cannot be a name", text, point.Place), Hint: hint}
	}
	if e.Kind == 0 {
		if point.Cavity == "" {
			p.register(point.Place, circuits.ElementSplice, len(p.c.Splices), at)
			s := circuits.Splice{Name: point.Place, Line: at.at(), AccessMin: 15}
			s.Width = readNumber(cursor{d: p.d}, &s, circuits.SpliceNumbers)
			p.c.Splices = append(p.c.Splices, s)
		} else {
			p.register(point.Place, circuits.ElementConnector, len(p.c.Connectors), at)
			p.c.Connectors = append(p.c.Connectors, circuits.Connector{Name: point.Place, Line: at.at(), AccessMin: 3, Sides: [2]string{"a", "b"}})
		}
		e = p.c.Element(point.Place)
	}
	word := e.Kind.String()
	switch e.Kind {
	case circuits.ElementSplice, circuits.ElementStud:
		if point.Cavity != "" {
			return point, circuits.Problem{What: fmt.Sprintf("%s: the %s %s has no cavities", text, word, point.Place), Hint: "write " + point.Place}
		}
	case circuits.ElementModule, circuits.ElementDevice, circuits.ElementConnector:
		if point.Cavity == "" {
			return point, circuits.Problem{What: fmt.Sprintf("%s is %s, and its cavity is missing", text, wording.An(word)), Hint: fmt.Sprintf("write %s:CAVITY", point.Place)}
		}
		if problem := p.cavity(point, e); problem.What != "" {
			return point, problem
		}
	}
	if !end && (e.Kind == circuits.ElementModule || e.Kind == circuits.ElementDevice || e.Kind == circuits.ElementStud || e.Kind == circuits.ElementPost) {
		return point, circuits.Problem{What: fmt.Sprintf("%s stands in the middle, and %s ends a path", text, wording.An(word)), Hint: fmt.Sprintf("end this run at %s and begin another one there", text)}
	}
	return point, circuits.Problem{}
}

// cavity checks that a module or device has that cavity.
func (p *circuitParser) cavity(point circuits.Point, e circuits.Element) circuits.Problem {
	var known []string
	switch e.Kind {
	case circuits.ElementModule:
		for _, pin := range p.c.Modules[e.Index].Pins {
			known = append(known, pin.Cavity)
		}
	case circuits.ElementDevice:
		for _, t := range p.c.Devices[e.Index].Terminals {
			known = append(known, t.Cavity)
		}
	default:
		return circuits.Problem{}
	}
	if slices.Contains(known, point.Cavity) || p.doubtful[point.Place] {
		return circuits.Problem{}
	}
	return circuits.Problem{What: fmt.Sprintf("the %s %s has no cavity %s", e.Kind.String(), point.Place, point.Cavity), Hint: wording.ItHas(known)}
}

// cut cuts a run into its wires.
func (p *circuitParser) cut(r *circuits.Run, c, path cursor) {
	n := len(r.Path) - 1
	size := perWire(c, "size_mm2", n, models.DefaultSizeMM2, cursor.number, circuits.Positive)
	awg := perWire(c, "awg", n, 20, cursor.number, circuits.Bounds{Low: -3, High: 40})
	length := perWire(c, "length_m", n, models.DefaultLengthM, cursor.number, circuits.NotNegative)
	risk := perWire(c, "risk", n, 1, cursor.number, circuits.NotNegative)
	colors := perWireText(c, "color", n)
	_, hasSize := c.key("size_mm2")
	_, hasLength := c.key("length_m")
	if a, hasAWG := c.key("awg"); hasAWG {
		if hasSize {
			a.fail("a run has either size_mm2 or awg", "remove one of them")
		}
		for i := range size {
			size[i] = models.AWGAreaMM2(awg[i])
		}
	}
	for i := range n {
		w := circuits.Wire{Location: circuits.WireLocation(r.Path[i], r.Path[i+1]), From: r.Path[i], To: r.Path[i+1], Run: len(p.c.Runs), Line: c.at(),
			SizeMM2: size[i], LengthM: length[i], Ohms: models.WireOhms(size[i], length[i]), LengthGiven: hasLength, Color: colors[i], Risk: risk[i]}
		at := path.list()[i]
		for _, same := range []circuits.Location{w.Location, circuits.WireLocation(w.To, w.From)} {
			if old, taken := p.wires[same]; taken {
				at.fail(fmt.Sprintf("there is a wire %s already, in %s", same, p.runOf(old, r)),
					"remove one of them; two wires side by side between the same terminals are one thicker wire")
			}
		}
		p.wires[w.Location] = len(p.c.Wires)
		r.Wires = append(r.Wires, len(p.c.Wires))
		p.c.AddWire(w)
		from := path.list()[i].order()
		p.c.Named(circuits.PointLocation(w.From), 2*from)
		p.c.Named(w.Location, 2*from+1)
		p.c.Named(circuits.PointLocation(w.To), 2*path.list()[i+1].order())
	}
}

// runOf says which run a wire belongs to; r is the run that is not in the list yet.
func (p *circuitParser) runOf(wire int, r *circuits.Run) string {
	if i := p.c.Wires[wire].Run; i < len(p.c.Runs) {
		return fmt.Sprintf("the run of line %d", p.c.Runs[i].Line)
	}
	return fmt.Sprintf("this run, of line %d", r.Line)
}

// perWire reads a key that is one number for all wires, or one a wire.
func perWire(c cursor, key string, n int, def float64, take func(cursor) (float64, bool), b circuits.Bounds) []float64 {
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
		sub.fail(fmt.Sprintf("%s for %s", wording.Count(len(values), "value"), wording.Count(n, "wire")), "give one value for all, or one per wire")
		return out
	}
	for i, v := range values {
		x, ok := take(v)
		if !ok {
			continue
		}
		if !b.Holds(x) {
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

// perWireText is perWire for colours.
func perWireText(c cursor, key string, n int) []string {
	out := make([]string, n)
	sub, ok := c.key(key)
	if !ok {
		return out
	}
	values := sub.list()
	if sub.isList() && len(values) != n {
		sub.fail(fmt.Sprintf("%s for %s", wording.Count(len(values), "value"), wording.Count(n, "wire")), "give one value for all, or one per wire")
		return out
	}
	for i, v := range values {
		s, ok := v.text()
		if !ok {
			return out
		}
		if _, listed := models.Colour(s); !listed {
			v.warn(fmt.Sprintf("%q is no colour code of IEC 60757", s), colourHint(s))
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

// colourHint says how a colour is written.
func colourHint(s string) string {
	if _, ok := models.Colour(strings.ToUpper(s)); ok {
		return "write " + strings.ToUpper(s)
	}
	return "the codes are " + strings.Join(models.ColourCodes(), " ") + "; a two-colour wire is GN/BK"
}
