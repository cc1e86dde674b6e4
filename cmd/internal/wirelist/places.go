package wirelist

import (
	"fmt"
	"regexp"
	"strings"
)

// placeKind is what a name of the list stands for.
type placeKind int

const (
	aDevice placeKind = iota
	aModule
	aConnector
	aSplice
	aStud
	aPost
)

// place is a name of the list with what was seen of it.
type place struct {
	name     string
	kind     placeKind
	why      string   // what the kind was guessed from; "" where the user, the list or a usual name says it
	cavities []string // in the order in which the list names them
	ends     map[string]int
	sides    []string // names of halves, in the order in which they are named
	line     int      // where it is named first
}

// Names by which places are known in the trade (common practice, no source). A name that says nothing is judged by how
// many wires it has.
var (
	moduleName    = regexp.MustCompile(`^(?:[A-Z]{1,3}(?:CU|CM)|[A-Z]?(?:ECU|ECM|PCM|BCM|TCM|TCU|VCU|MCU|HCM|HCU|DCU|DCM|ICM|ICU|ABS|UCM|PLC)|.*(?:MODULE|CONTROLLER|CONTROL-?UNIT|STEUERGERAET|STEUERGERÄT).*)[-_]?\d*$`)
	connectorName = regexp.MustCompile(`^(?:C|X|CN|CON|CONN)[-_]?\d+[A-Z]?$|CONNECTOR|INLINE|BULKHEAD|STECKER`)
	spliceName    = regexp.MustCompile(`^(?:SP|SPL|SPLICE|JOINT)[-_]?[A-Z]?\d*[A-Z]?$|^SPLICE|^S[-_]?\d+[A-Z]?$`)
	studName      = regexp.MustCompile(`^(?:G|GND|GRD|GROUND|EARTH|E|MASSE|STUD|KL31|GX|CHASSIS|FRAME)[-_]?\d*[A-Z]?$|^(?:GND|GROUND|MASSE|EARTH|CHASSIS)`)
	switchName    = regexp.MustCompile(`SWITCH|SCHALTER|BUTTON|TASTER|^SW?[-_]?\d+$|^SW$`)
)

func looksLikeSplice(name string) bool { return spliceName.MatchString(name) }
func looksLikeStud(name string) bool   { return studName.MatchString(name) }

// places groups the ends of all wires by name, and judges what each name is.
func (l *list) places(o ImportOptions) (map[string]*place, []string) {
	found := map[string]*place{}
	var order []string
	for _, w := range l.wires {
		for _, e := range []end{w.from, w.to} {
			p := found[e.place]
			if p == nil {
				p = &place{name: e.place, ends: map[string]int{}, line: w.line}
				found[e.place] = p
				order = append(order, e.place)
			}
			if e.cavity != "" && p.ends[e.cavity] == 0 {
				p.cavities = append(p.cavities, e.cavity)
			}
			p.ends[e.cavity]++
			if e.side != "" && !has(p.sides, e.side) {
				p.sides = append(p.sides, e.side)
			}
		}
	}
	said := map[string]placeKind{}
	for _, s := range []struct {
		names []string
		kind  placeKind
	}{{o.Modules, aModule}, {o.Devices, aDevice}, {o.Connectors, aConnector}, {o.Splices, aSplice}, {o.Grounds, aStud}} {
		for _, name := range s.names {
			said[strings.ReplaceAll(cleanName(name), ".", "-")] = s.kind
		}
	}
	for _, name := range order {
		p := found[name]
		if kind, ok := said[name]; ok {
			p.kind = kind
			if kind == aDevice && len(p.cavities) > 3 && !p.isRelay() {
				l.guessed(p.line, fmt.Sprintf("%s has %d wires, and a device has three terminals at most: it was taken for a module", name, len(p.cavities)), "describe it as several parts, one for each function")
				p.kind = aModule
			}
			continue
		}
		p.kind, p.why = p.judge(l.sides)
	}
	return found, order
}

// judge tells what a place is, and from what. sided says that the list names the halves of its in-line connectors, so a
// name without a half is none.
func (p *place) judge(sided bool) (placeKind, string) {
	n := strings.ToUpper(p.name)
	mated, most := 0, 0
	for _, c := range p.cavities {
		most = max(most, p.ends[c])
		if p.ends[c] == 2 {
			mated++
		}
	}
	bare := len(p.cavities) == 0
	switch {
	case p.name == "B+" || p.name == "B-":
		return aPost, ""
	case len(p.sides) > 0:
		return aConnector, ""
	case bare && looksLikeStud(n):
		return aStud, ""
	case bare && spliceName.MatchString(n):
		return aSplice, ""
	case bare:
		return aSplice, "its having no cavities"
	case moduleName.MatchString(n):
		return aModule, ""
	case sided:
		if len(p.cavities) > 3 && !p.isRelay() {
			return aModule, fmt.Sprintf("its %d cavities", len(p.cavities))
		}
		return aDevice, ""
	case looksLikeStud(n) && len(p.cavities) == 1:
		return aStud, ""
	case spliceName.MatchString(n) && (len(p.cavities) == 1 || most > 1) && mated < 2:
		return aSplice, ""
	case 2*mated >= len(p.cavities) && mated > 0 && connectorName.MatchString(n):
		return aConnector, ""
	case 2*mated >= len(p.cavities) && mated > 1:
		return aConnector, "wires on both sides of its cavities"
	case p.isRelay():
		return aDevice, ""
	case connectorName.MatchString(n):
		return aConnector, ""
	case len(p.cavities) > 3:
		return aModule, fmt.Sprintf("its %d cavities", len(p.cavities))
	}
	return aDevice, ""
}

// The terminals of a relay (DIN 72552, from memory).
var (
	coilWays    = []string{"85", "86"}
	contactWays = []string{"30", "87", "87a", "87A"}
)

// isRelay tells a relay by the numbers of its terminals.
func (p *place) isRelay() bool {
	coil := false
	for _, c := range p.cavities {
		coil = coil || has(coilWays, c)
		if !has(coilWays, c) && !has(contactWays, c) {
			return false
		}
	}
	return coil
}

func within(list, all []string) bool {
	for _, s := range list {
		if !has(all, s) {
			return false
		}
	}
	return len(list) > 0
}

func has(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}
