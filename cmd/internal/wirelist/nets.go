package wirelist

import (
	"fmt"
	"regexp"

	"ohmtrail/circuits"
)

// class is what a wire carries.
type class string

const (
	unknown   class = ""
	reference class = "reference"
	returning class = "return"
	ground    class = "ground"
	power     class = "power"
	signal    class = "signal"
	control   class = "control"
	canHigh   class = "CAN high"
	canLow    class = "CAN low"
	lin       class = "LIN"
)

// nameClasses tell a class from a signal's name, the first that fits (common practice, no source).
var nameClasses = []struct {
	class class
	name  *regexp.Regexp
}{
	{canHigh, regexp.MustCompile(`(?i)CAN[ _-]?\d*[ _-]?H(I|IGH)?\b|\bCANH`)},
	{canLow, regexp.MustCompile(`(?i)CAN[ _-]?\d*[ _-]?L(O|OW)?\b|\bCANL`)},
	{lin, regexp.MustCompile(`(?i)\bLIN\b|\bLIN[ _-]?\d`)},
	{returning, regexp.MustCompile(`(?i)RTN|RETURN|\bRET\b|[_-]RET\b|S[_-]?GND|SIG(NAL)?[ _-]?(GND|GROUND)|SENS(OR)?[ _-]?(GND|GROUND|MASSE)|A[_-]?GND|\b0 ?V\b|LOW[ _-]?REF|REF[ _-]?LOW|RUECKLEITUNG`)},
	{reference, regexp.MustCompile(`(?i)\+? ?5 ?V(DC)?\b|5V[_-]|V[_-]?REF|\bREF|[_-]REF|REFERENCE|\bVCC|\b5 ?VOLT|SENSOR[ _-]?(SUPPLY|FEED)|SENSORVERSORGUNG`)},
	{ground, regexp.MustCompile(`(?i)GND|GROUND|MASSE|EARTH|CHASSIS|KL[ ._-]?31`)},
	{power, regexp.MustCompile(`(?i)B\+|BATT?\b|BATTERY|V[_-]?BAT|\b(12|24) ?V|KL[ ._-]?(30|15)|\bIGN|PWR|POWER|\bFEED|SUPPLY|FUSED?\b|VERSORGUNG`)},
	{control, regexp.MustCompile(`(?i)CTRL|CONTROL|DRV|DRIVE|LSD|HSD|LOW[ _-]?SIDE|HIGH[ _-]?SIDE|\bCMD|COMMAND|PWM|COIL|SOLENOID|INJECT|HEATER`)},
	{signal, regexp.MustCompile(`(?i)SIG|SENS|TEMP|PRESS|\bPOS|LEVEL|SPEED|WIPER|OUT(PUT)?\b`)},
}

func classOf(name string) class {
	for _, c := range nameClasses {
		if name != "" && c.name.MatchString(name) {
			return c.class
		}
	}
	return unknown
}

// carries is the class of one wire, from its role, else its name, with what it was guessed from.
func (w wire) carries() (class, string) {
	switch w.role {
	case "reference", "return", "ground", "power", "signal":
		return class(w.role), "its role"
	}
	if c := classOf(w.name); c != unknown {
		return c, fmt.Sprintf("%q", w.name)
	}
	if w.role == "other" {
		return control, "its role"
	}
	return unknown, ""
}

// net is what wires, splices and connectors join; it knows what it carries as well as the list tells.
type net struct {
	wires []int
	ends  []end // terminals of modules and devices, in list order
	class class
	why   string
}

// nets joins all terminals of the list that copper joins.
func (l *list) nets(found map[string]*place) (map[end]*net, []*net) {
	var joints []circuits.Joint
	for _, w := range l.wires {
		joints = append(joints, circuits.Joint{A: w.from.terminal().point(), B: w.to.terminal().point()})
	}
	copper := circuits.Join(joints)
	var all []*net
	for range copper.Nets() {
		all = append(all, &net{})
	}
	of := map[end]*net{}
	for _, w := range l.wires {
		for _, e := range []end{w.from.terminal(), w.to.terminal()} {
			if of[e] != nil {
				continue
			}
			i, _ := copper.NetOf(e.point())
			of[e] = all[i]
			if k := found[e.place].kind; k == aModule || k == aDevice {
				all[i].ends = append(all[i].ends, e)
			}
		}
	}
	for i, w := range l.wires {
		n := of[w.from.terminal()]
		n.wires = append(n.wires, i)
	}
	for _, n := range all {
		n.class, n.why = l.classOfNet(n, found)
	}
	return of, all
}

// classOfNet is what most wires of a net say, else what it is joined to.
func (l *list) classOfNet(n *net, found map[string]*place) (class, string) {
	counts := map[class]int{}
	best, why := unknown, ""
	for _, i := range n.wires {
		c, from := l.wires[i].carries()
		if c == unknown {
			continue
		}
		counts[c]++
		if best == unknown || counts[c] > counts[best] {
			best, why = c, from
		}
	}
	if best != unknown {
		return best, why
	}
	for _, i := range n.wires {
		for _, e := range []end{l.wires[i].from, l.wires[i].to} {
			switch {
			case e.place == "B+":
				return power, "B+"
			case e.place == "B-" || found[e.place].kind == aStud:
				return ground, e.place
			}
		}
	}
	return unknown, ""
}

// throughFuses lets a fuse hand on what one side of it carries.
func throughFuses(of map[end]*net, parts []*device) {
	for range parts {
		for _, d := range parts {
			if d.kind != "fuse" || len(d.terminals) != 2 {
				continue
			}
			a, b := of[d.end(0)], of[d.end(1)]
			if a == nil || b == nil {
				continue
			}
			if a.class == unknown && b.class == power {
				a.class, a.why = power, "the fuse "+d.name
			}
			if b.class == unknown && a.class == power {
				b.class, b.why = power, "the fuse "+d.name
			}
		}
	}
}
