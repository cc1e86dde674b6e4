package wirelist

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draft/circuittext"
	"ohmtrail/models"
)

// draft is everything known of a list when its circuit file is written.
type draft struct {
	list   *list
	found  map[string]*place
	order  []string // names in list order
	chains []chain
	of     map[end]*net
	parts  []*device
}

func field(key, value string) circuittext.Field { return circuittext.Field{Key: key, Value: value} }

func sorted(ps circuits.Problems) circuits.Problems {
	sort.SliceStable(ps, func(i, j int) bool { return ps[i].Line < ps[j].Line })
	return ps
}

// keepPlaced drops the wires that no chain holds; they have been told. The places keep the cavities that are left.
func (l *list) keepPlaced(chains []chain, found map[string]*place) {
	var kept []wire
	left := map[end]bool{}
	for _, c := range chains {
		for _, i := range c.wires {
			kept = append(kept, l.wires[i])
			left[l.wires[i].from.terminal()], left[l.wires[i].to.terminal()] = true, true
		}
	}
	l.wires = kept
	for _, p := range found {
		p.cavities = slices.DeleteFunc(p.cavities, func(c string) bool { return !left[end{p.name, c, ""}] })
	}
}

// renumber gives the chains the indices that their wires have after keepPlaced.
func renumber(chains []chain) []chain {
	out := make([]chain, len(chains))
	n := 0
	for i, c := range chains {
		out[i] = chain{make([]int, len(c.wires)), c.flip}
		for j := range c.wires {
			out[i].wires[j] = n
			n++
		}
	}
	return out
}

// stillNamed are the names that a placed wire ends at.
func (l *list) stillNamed(order []string) []string {
	named := map[string]bool{}
	for _, w := range l.wires {
		named[w.from.place], named[w.to.place] = true, true
	}
	return slices.DeleteFunc(slices.Clone(order), func(name string) bool { return !named[name] })
}

func (d draft) file(title string) circuittext.File {
	s := circuittext.File{Title: title, Head: d.head(), Battery: d.battery()}
	for _, name := range d.order {
		if d.found[name].kind == aModule {
			s.Modules = append(s.Modules, d.module(d.found[name]))
		}
	}
	for _, p := range d.parts {
		s.Places = append(s.Places, d.device(p))
	}
	for _, kind := range []placeKind{aConnector, aSplice, aStud} {
		section := map[placeKind]string{aConnector: "connector", aSplice: "splice", aStud: "ground"}[kind]
		for _, name := range d.order {
			if p := d.found[name]; p.kind == kind {
				out := circuittext.Place{Section: section, Name: name}
				if kind == aConnector {
					out.Fields = d.sides(p)
				}
				if p.why != "" {
					out.Above = []string{"guessed from " + p.why + ", check"}
				}
				s.Places = append(s.Places, out)
			}
		}
	}
	for _, c := range d.chains {
		s.Runs = append(s.Runs, d.run(c))
	}
	if lost := d.list.problems.Errors(); len(lost) > 0 {
		s.Tail = append(s.Tail, "Rows of the list that could not be placed:")
		for _, p := range sorted(lost) {
			s.Tail = append(s.Tail, fmt.Sprintf("  line %d: %s", p.Line, p.What))
		}
	}
	return s
}

func (d draft) head() []string {
	out := []string{"From a wire list. The wires are the list's; what stands behind pins and in parts is guessed, see the comments that say",
		"\"check\". Complete it from the diagram and the maker's data before trusting a verdict."}
	sizes, lengths := false, false
	for _, w := range d.list.wires {
		sizes, lengths = sizes || w.sizeMM2 >= 0, lengths || w.lengthM >= 0
	}
	if !sizes {
		out = append(out, fmt.Sprintf("The list has no wire sizes: %s mm² counts.", circuittext.Number(models.DefaultSizeMM2)))
	}
	if !lengths {
		out = append(out, fmt.Sprintf("The list has no lengths: %s m a wire counts.", circuittext.Number(models.DefaultLengthM)))
	}
	return out
}

// battery is one of 12 V, unless a signal's name speaks of 24 V.
func (d draft) battery() []circuittext.Field {
	for _, w := range d.list.wires {
		if strings.Contains(strings.ToUpper(strings.ReplaceAll(w.name, " ", "")), "24V") {
			return []circuittext.Field{{Key: "volts", Value: "25.2", Comment: fmt.Sprintf("guessed from %q, check", w.name)}}
		}
	}
	return []circuittext.Field{{Key: "volts", Value: "12.6", Comment: "usual value, check"}}
}

// sides names the halves of a connector as the list does.
func (d draft) sides(p *place) []circuittext.Field {
	first, second := "", ""
	for _, c := range d.chains {
		for i := range c.wires {
			from, to := c.at(d.list.wires, i)
			if from.place == p.name && from.side != "" {
				second = from.side
			}
			if to.place == p.name && to.side != "" {
				first = to.side
			}
		}
	}
	switch {
	case first == "" && second == "":
		return nil
	case first == "":
		first = "other"
	case second == "":
		second = "other"
	}
	if first == second {
		second += "-2"
	}
	return []circuittext.Field{field("sides", fmt.Sprintf("[%s, %s]", circuittext.Quote(first), circuittext.Quote(second)))}
}

// run writes a chain.
func (d draft) run(c chain) circuittext.Run {
	r := circuittext.Run{}
	for _, e := range c.path(d.list.wires) {
		r.Path = append(r.Path, e.String())
	}
	var names []string
	roles := map[string]bool{}
	anySize, anyLength, gauges := false, false, true
	for _, i := range c.wires {
		w := d.list.wires[i]
		if w.name != "" && !has(names, w.name) {
			names = append(names, w.name)
		}
		roles[w.role] = true
		anySize, anyLength, gauges = anySize || w.sizeMM2 >= 0, anyLength || w.lengthM >= 0, gauges && w.awg != noGauge
	}
	r.Name = strings.Join(names, " / ")
	for _, i := range c.wires {
		w := d.list.wires[i]
		if w.color != "" {
			r.Colors = append(r.Colors, w.color)
		}
		if gauges {
			r.AWG = append(r.AWG, w.awg)
		} else if anySize {
			r.SizesMM2 = append(r.SizesMM2, known(w.sizeMM2, models.DefaultSizeMM2))
		}
		if anyLength {
			r.LengthsM = append(r.LengthsM, known(w.lengthM, models.DefaultLengthM))
		}
		if anySize && w.sizeMM2 < 0 || anyLength && w.lengthM < 0 {
			r.Comment = "a size or length is missing in the list: the usual one stands here, check"
		}
	}
	first := d.list.wires[c.wires[0]]
	if len(roles) == 1 && first.role != "" {
		r.Role = first.role
		return r
	}
	n := d.of[first.from.terminal()]
	switch n.class {
	case reference, returning, ground, power, signal:
		r.Role = string(n.class)
	case canHigh, canLow, lin:
		r.Role = "bus"
	}
	if r.Role != "" && r.Comment == "" && d.contradicts(r.Role, c) {
		r.Role = ""
	}
	return r
}

// contradicts tells whether a guessed role would speak against the guessed kind of a pin at the run's ends; then neither
// is sure and no role is written.
func (d draft) contradicts(role string, c chain) bool {
	for _, e := range []end{c.path(d.list.wires)[0], c.path(d.list.wires)[len(c.wires)]} {
		if d.found[e.place].kind != aModule {
			continue
		}
		kind, _ := d.pinKind(e)
		bad := map[string][]string{"reference": {"return", "ground"}, "return": {"reference", "power"}, "power": {"return", "ground"},
			"ground": {"reference", "power"}, "signal": {"reference", "return", "power", "ground"}, "bus": {"reference", "return", "power", "ground"}}
		if has(bad[role], kind) {
			return true
		}
	}
	return false
}

func known(v, usual float64) float64 {
	if v < 0 {
		return usual
	}
	return v
}
