package evidence

import (
	"maps"
	"math"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// point is a fault of some ohms in a corner of the stimuli, with what the reading shows there at the file's numbers.
type point struct {
	corner *corner
	fault  circuits.Single
	value  float64
	status network.Status
	line   *line // along which the widths move it, once reckoned
}

// line is a reading at a point with the numbers of one of the bases, and how the machine's other numbers move it.
type line struct {
	base  int
	p     network.Prediction
	reach float64 // so many standard deviations to either side hold 95 %
	dev   float64
	blown string
	low   float64 // what the likely machines come to, once reckoned
	high  float64
}

// alike tells whether two lines are one but for a tenth of what the widths make of them.
func (l *line) alike(m *line) bool {
	half := l.reach * l.dev
	return l.blown == m.blown && math.Abs(l.p.Value-m.p.Value) <= 0.1*half && math.Abs(half-m.reach*m.dev) <= 0.1*half
}

// end is where the line comes to on one side.
func (l *line) end(sign float64) float64 { return l.p.Value + sign*l.reach*l.dev }

// cornersOf are home, and each stimulus that matters at either end of its range; of a part that reads wrong what it shows is one of
// them, and moved from home in any case.
func (o *outlook) cornersOf(f circuits.Single) ([]corner, []move) {
	if !readsWrong(f) {
		return o.corners, nil
	}
	device := o.device(f)
	d := &o.built.j.Circuit.Devices[device]
	moves := []move{{device, farEnd(d, o.set[d.Name])}}
	home := o.home.With(device, moves[0].to)
	corners := o.atEnds([]corner{{moves, home}}, home, nil, device)
	for _, i := range o.matter {
		if i != device {
			corners = o.atEnds(corners, home, moves, i)
		}
	}
	return corners, moves
}

// reckon looks at a fault from all corners. Where it is told of twins, a fault that looks like one of them has its bounds.
func (o *outlook) reckon(h *hand, f circuits.Single, twins *twins) Expectation {
	e := unknownYet()
	corners, moves := o.cornersOf(f)
	o.ask(h, corners[0].scene, withNominalOhms(f), &h.p)
	e.Outcome = o.outcome(&h.p, h.c.Blown())
	faults := ohmsCorners(f)
	if f != (circuits.Single{}) {
		for _, i := range o.further(h, faults, o.onBase(0, &corners[0])) {
			corners = o.atEnds(corners, corners[0].scene, moves, i)
		}
	}
	var points []point
	for k := range corners {
		h.c.Place(corners[k].scene, faults[0])
		for _, g := range faults {
			if byStrip(g) {
				h.c.Place(corners[k].scene, g)
			}
			h.c.Value(g.Ohms, &h.p)
			e.hold(o.r, o.built.j, &h.p)
			if h.p.Status != network.NoValue || k == 0 { // another machine may show a value at home
				points = append(points, point{corner: &corners[k], fault: g, value: h.p.Value, status: h.p.Status})
			}
		}
	}
	var home *line
	if twins != nil {
		worst := faults[len(faults)-1]
		home = o.lineAt(h, 0, &corners[0], worst)
		if twin := twins.find(f, e.Outcome, points, home, o.least); twin != nil {
			twin.bounds(&e)
			return e.finish()
		}
		all := make([]shown, len(points))
		for i := range points {
			all[i] = shown{points[i].value, points[i].status}
		}
		defer func() { twins.add(f, e, all, home) }()
	}
	slices.SortStableFunc(points, func(a, b point) int { return cmpFloats(a.value, b.value) })
	for _, sign := range []float64{-1, 1} {
		o.extend(h, &e, points, sign)
		slices.Reverse(points)
	}
	o.otherStates(h, &e, points)
	return e.finish()
}

// twins are faults that a reading has been reckoned under. A fault is another's twin where it is of one kind, shows the same
// at each point, and is moved as much by the widths.
type twins struct{ known map[twinKind][]twin }

// twinKind is what twins have in common beside what they show.
type twinKind struct {
	kind   circuits.FaultKind
	words  string
	status network.Status
	blown  string
	points int
}

type twin struct {
	shown []shown
	e     Expectation
	dev   float64
}

// shown is what a twin shows at a point.
type shown struct {
	value  float64
	status network.Status
}

func kindOf(f circuits.Single, out network.Outcome, points int) twinKind {
	return twinKind{f.Kind, f.Words, out.Status, out.Blown, points}
}

func (t *twins) find(f circuits.Single, out network.Outcome, points []point, home *line, least float64) *twin {
	list := t.known[kindOf(f, out, len(points))]
next:
	for i := range list {
		if math.Abs(list[i].dev-home.dev)*home.reach > least {
			continue
		}
		for k, x := range list[i].shown {
			if points[k].status != x.status || math.Abs(points[k].value-x.value) > least {
				continue next
			}
		}
		return &list[i]
	}
	return nil
}

func (t *twins) add(f circuits.Single, e Expectation, all []shown, home *line) {
	x := twin{shown: all, e: e, dev: home.dev}
	if t.known == nil {
		t.known = map[twinKind][]twin{}
	}
	k := kindOf(f, e.Outcome, len(all))
	t.known[k] = append(t.known[k], x)
}

// bounds gives an expectation the twin's bounds, as far as they hold what it holds itself.
func (t *twin) bounds(e *Expectation) {
	e.Low, e.High, e.CanBeOL = min(e.Low, t.e.Low), max(e.High, t.e.High), e.CanBeOL || t.e.CanBeOL
}

func cmpFloats(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// further finds the unknown stimuli that matter with the fault in place though they do not on a sound machine: all of them
// moved together show whether there is one, and then what the reading leans on tells which. home is on the middle of the bases,
// as the widths begin there.
func (o *outlook) further(h *hand, faults []circuits.Single, home *network.Scene) []int {
	if len(o.unknown) == len(o.matter) {
		return nil
	}
	var out []int
	for _, f := range ends(faults) {
		var at, p network.Prediction
		o.ask(h, home, f, &at)
		moved := false
		for _, s := range o.others {
			if readsWrong(f) {
				break // the part senses what it senses anyway
			}
			o.ask(h, s, f, &p)
			moved = moved || o.differs(&p, &at)
		}
		if !moved {
			continue
		}
		leans := map[string]float64{}
		if at.Status == network.Fine {
			h.c.Place(home, f)
			h.c.Leaning(f.Ohms, o.least/1000, &p)
			for _, l := range p.Leans {
				if q := &o.built.layout.Parameters()[l.Parameter]; q.Kind == network.Stimulus {
					leans[q.Place.Place] = math.Abs(l.Change)
				}
			}
		}
		for _, i := range o.unknown {
			d := &o.built.j.Circuit.Devices[i]
			if slices.Contains(o.matter, i) || slices.Contains(out, i) {
				continue
			}
			matters := leans[d.Name]*(d.Range[1]-d.Range[0]) > o.least
			for _, end := range d.Range {
				if !matters && (d.Kind.TwoState() || at.Status != network.Fine) {
					o.ask(h, home.With(i, end), f, &p)
					matters = o.differs(&p, &at)
				}
			}
			if matters {
				out = append(out, i)
			}
		}
	}
	return out
}

// widthsLike is how much more than at home, or than anywhere else with the same ohms, the widths may move a point, for all
// that is looked at.
const widthsLike = 1.5

// extend widens the bounds on one side by what the machine's numbers make of the points, the outermost first, those at home in
// any case. Of the others those are looked at that may come to lie outside, were they moved half as much again as what was met
// of the same ohms.
func (o *outlook) extend(h *hand, e *Expectation, points []point, sign float64) {
	best := math.Inf(-1)            // outwards is up
	widest := map[float64]float64{} // by ohms
	var lines []*point
	take := func(x *point) {
		if x.line == nil {
			x.line = o.lineAt(h, 0, x.corner, x.fault)
		}
		if x.line.p.Status != network.Fine {
			e.hold(o.r, o.built.j, &x.line.p)
			return
		}
		ohms := x.fault.Ohms
		widest[ohms], best = max(widest[ohms], x.line.reach*x.line.dev), max(best, sign*x.line.end(sign))
		lines = append(lines, x)
	}
	for i := range points {
		if x := &points[i]; len(x.corner.moves) == o.homeMoves(x.fault) {
			take(x)
		}
	}
	for i := range points {
		x := &points[i]
		if len(x.corner.moves) == o.homeMoves(x.fault) || sign*x.value+widthsLike*widest[x.fault.Ohms] < best {
			continue
		}
		if x.line == nil && slices.ContainsFunc(lines, func(y *point) bool { return y.corner == x.corner && math.Abs(y.value-x.value) < o.least }) {
			continue
		}
		take(x)
	}
	slices.SortStableFunc(lines, func(a, b *point) int { return -cmpFloats(sign*a.line.end(sign), sign*b.line.end(sign)) })
	best = math.Inf(-1)
	for i, x := range lines {
		half := x.line.reach * x.line.dev
		if len(x.corner.moves) > o.homeMoves(x.fault) && sign*x.line.p.Value+widthsLike*half <= best {
			continue
		}
		if k := slices.IndexFunc(lines[:i], func(y *point) bool { return y.line.alike(x.line) }); k >= 0 {
			x.line.low, x.line.high = min(x.line.low, lines[k].line.low), max(x.line.high, lines[k].line.high)
			continue
		}
		end := o.endOf(h, x.line, x.corner, x.fault, sign)
		e.hold(o.r, o.built.j, &end)
		x.line.low, x.line.high = min(x.line.low, end.Value), max(x.line.high, end.Value)
		best = max(best, sign*end.Value)
	}
}

// otherStates looks whether machines whose sensors need more or less of their supply show something else than the points that
// were looked at and are moved by the widths to; if so the widths are followed from there too.
func (o *outlook) otherStates(h *hand, e *Expectation, points []point) {
	for i := range points {
		x := &points[i]
		if x.line == nil {
			continue
		}
		for base := 1; base < len(o.bases); base++ {
			h.c.Place(o.onBase(base, x.corner), x.fault)
			h.c.Value(x.fault.Ohms, &h.p)
			if h.p.Status != network.Fine || x.line.p.Status == network.Fine && h.p.Value >= x.line.low-o.least && h.p.Value <= x.line.high+o.least {
				continue
			}
			l := o.lineAt(h, base, x.corner, x.fault)
			e.hold(o.r, o.built.j, &l.p)
			for _, sign := range []float64{-1, 1} {
				if out := l.end(sign); out < e.Low-o.least || out > e.High+o.least {
					end := o.endOf(h, l, x.corner, x.fault, sign)
					e.hold(o.r, o.built.j, &end)
				}
			}
		}
	}
}

// homeMoves is how many stimuli are moved at home under a fault.
func (o *outlook) homeMoves(f circuits.Single) int {
	if readsWrong(f) {
		return 1
	}
	return 0
}

// onBase is the scene of a corner on one of the machines from which bounds are looked for.
func (o *outlook) onBase(base int, at *corner) *network.Scene {
	s := o.bases[base]
	for _, m := range at.moves {
		s = s.With(m.device, m.to)
	}
	return s
}

// lineAt is the reading at a point on one of the bases.
func (o *outlook) lineAt(h *hand, base int, at *corner, f circuits.Single) *line {
	l := &line{base: base}
	h.line.Place(o.onBase(base, at), f)
	h.line.Leaning(f.Ohms, o.least/1000, &l.p)
	l.blown = h.line.Blown()
	if l.p.Status == network.Fine {
		l.reach, l.dev = spread(l.p.Leans, o.built.layout.Parameters())
		l.low, l.high = l.p.Value, l.p.Value
	}
	return l
}

// endOf is what the machine shows that lies farthest out on one side among the likely ones: from the base along the line, as
// far as 95 % of a straight line reach. The value itself is reckoned, so a bend of the law on the way counts.
func (o *outlook) endOf(h *hand, l *line, at *corner, f circuits.Single, sign float64) network.Prediction {
	if l.p.Status != network.Fine || l.dev == 0 {
		return l.p
	}
	parameters := o.built.layout.Parameters()
	middle := o.built.bases[l.base]
	numbers := slices.Clone(middle)
	for _, x := range l.p.Leans {
		if q := &parameters[x.Parameter]; q.Kind != network.Stimulus {
			numbers[x.Parameter] = min(max(q.Moved(middle[x.Parameter], sign*l.reach*x.Change/l.dev), q.Low), q.High)
		}
	}
	set := o.set
	if len(at.moves) > 0 {
		set = maps.Clone(o.set)
		for _, m := range at.moves {
			set[o.built.j.Circuit.Devices[m.device].Name] = m.to
		}
	}
	var p network.Prediction
	h.line.Place(o.frame.SceneAlone(set, numbers), f)
	h.line.Value(f.Ohms, &p)
	if p.Status == network.NoValue || p.Status == network.Fine && sign*(p.Value-l.p.Value) < -0.2*l.reach*l.dev {
		p = l.p // a sensor or module changes its state on the way: the straight line is all that is known
		p.Value = l.end(sign)
	}
	return p
}
