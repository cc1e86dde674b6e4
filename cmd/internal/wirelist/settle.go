package wirelist

import "fmt"

// settle makes the wires' ends such that a circuit file can hold them: splices, studs and posts have no cavities, all
// other places have one; a relay is two parts; no wire joins an end to itself or runs beside another one. Wires that
// cannot be settled are told and left out.
func (l *list) settle(found map[string]*place) {
	bare := map[string]int{} // wires met at a place that has no cavities at all
	var kept []wire
	pairs := map[[2]end]int{}
	for _, w := range l.wires {
		problem, hint := "", ""
		for _, e := range []*end{&w.from, &w.to} {
			p := found[e.place]
			switch p.kind {
			case aSplice, aStud, aPost:
				*e = end{place: e.place}
				continue
			}
			if e.cavity == "" && len(p.cavities) > 0 {
				problem, hint = fmt.Sprintf("the row does not say which cavity of %s", e.place), "name the cavity"
			} else if e.cavity == "" {
				bare[e.place]++
				e.cavity = fmt.Sprint(bare[e.place])
				l.guessed(w.line, fmt.Sprintf("the list names no cavities of %s: %s was taken", e.place, e), "check it against the part")
			}
			if p.kind == aDevice && p.isRelay() && has(contactWays, e.cavity) {
				if third := p.thirdContact(); e.cavity == third {
					problem, hint = fmt.Sprintf("%s is the third way of a change-over contact, which no kind of part here has", e), "describe the contact as two switches that share a splice"
				}
				e.place = p.contactName(found)
			}
		}
		pair := [2]end{w.from.terminal(), w.to.terminal()}
		if pair[1].String() < pair[0].String() {
			pair[0], pair[1] = pair[1], pair[0]
		}
		switch {
		case problem != "":
		case pair[0] == pair[1]:
			problem, hint = fmt.Sprintf("it joins %s to itself", w.from), "check the two ends"
		case pairs[pair] > 0:
			problem, hint = fmt.Sprintf("line %d has a wire between %s and %s already", pairs[pair], w.from, w.to), "two wires side by side cannot be told apart; describe them as one"
		}
		if problem != "" {
			l.lost(w.line, fmt.Sprintf("%s to %s could not be placed: %s", w.from, w.to, problem), hint)
			continue
		}
		pairs[pair] = w.line
		kept = append(kept, w)
	}
	l.wires = kept
}

// thirdContact is the third of a relay's contact ways, in list order; "" where it has two or fewer.
func (p *place) thirdContact() string {
	n := 0
	for _, c := range p.cavities {
		if has(contactWays, c) {
			if n++; n == 3 {
				return c
			}
		}
	}
	return ""
}

// contactName is the name of a relay's contact: the socket's name with a C behind it, as often as it takes.
func (p *place) contactName(found map[string]*place) string {
	name := p.name + "C"
	for found[name] != nil {
		name += "C"
	}
	return name
}
