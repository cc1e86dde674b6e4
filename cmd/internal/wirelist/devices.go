package wirelist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draft/circuittext"
)

// device is a part of the list with its guessed kind and terminals.
type device struct {
	place     *place
	name      string
	kind      string
	why       string // what the kind was guessed from
	terminals []terminal
	invented  []string // cavities that the list does not name
}

type terminal struct{ role, cavity string }

func (d *device) end(i int) end { return end{d.place.name, d.terminals[i].cavity, ""} }

// The kinds of part that a name or signal speaks of, the first that fits (common practice, no source). ways is the number
// of wires that such a part has at most.
var deviceNames = []struct {
	kind string
	ways int
	name *regexp.Regexp
}{
	{"fuse", 2, regexp.MustCompile(`^F(U|USE)?[-_]?\d*[A-Z]?$|FUSE|SICHERUNG`)},
	{"diode", 2, regexp.MustCompile(`^D[-_]?\d+$|DIODE`)},
	{"zirconia", 2, regexp.MustCompile(`O2|LAMBDA|OXYGEN`)},
	{"switch", 2, switchName},
	{"rtd", 2, regexp.MustCompile(`RTD|PT ?-?(100|200|1000)|\bEGT|^EGT`)},
	{"thermistor", 2, regexp.MustCompile(`TEMP|NTC|^TMP|^TS[-_]?\d*$|^(ECT|IAT|CTS|CLT|OAT|MAT|ACT)\d*$`)},
	{"load", 2, regexp.MustCompile(`LAMP|LIGHT|VALVE|SOL|RELAY|COIL|HEAT|HTR|MOTOR|PUMP|INJ|HORN|FAN|BULB|LED|^(K|Y|H|L|M|E|P)[-_]?\d+$|LEUCHTE|VENTIL|RELAIS|HUPE`)},
	{"resistor", 2, regexp.MustCompile(`^R[-_]?\d+$|^RT[-_]?\d*$|TERM|RESISTOR|WIDERSTAND`)},
	{"potentiometer", 3, regexp.MustCompile(`POT|TPS|PEDAL|APP|THROTTLE|SLIDER|JOYSTICK`)},
	{"switching", 3, regexp.MustCompile(`HALL|SPEED|SPD|CAM|CRANK|VSS|PROX|RPM|DREHZAHL`)},
	{"ratiometric", 3, regexp.MustCompile(`PRESS|MAP|LEVEL|ANGLE|TILT|HEIGHT|DRUCK`)},
}

// devicesOf turns the places that are parts into devices.
func (l *list) devicesOf(found map[string]*place, order []string, of map[end]*net) []*device {
	var out []*device
	for _, name := range order {
		if p := found[name]; p.kind == aDevice {
			out = append(out, l.part(p, of, p.cavities))
		}
	}
	return out
}

// part guesses what a part of up to three wires is.
func (l *list) part(p *place, of map[end]*net, cavities []string) *device {
	d := &device{place: p, name: p.name}
	cavities = slices.Clone(cavities)
	slices.SortStableFunc(cavities, circuittext.CompareCavities)
	classes := make([]class, len(cavities))
	texts := []string{p.name}
	seen := map[class]bool{}
	for i, c := range cavities {
		n := of[end{p.name, c, ""}]
		classes[i] = n.class
		seen[n.class] = true
		for _, w := range n.wires {
			if l.wires[w].from.place == p.name || l.wires[w].to.place == p.name {
				texts = append(texts, l.wires[w].name)
			}
		}
	}
	switch {
	case len(cavities) <= 2 && within(cavities, coilWays):
		d.kind, d.why = "load", "the numbers of its terminals"
	case len(cavities) <= 2 && within(cavities, contactWays):
		d.kind, d.why = "switch", "the numbers of its terminals"
	}
	for i, t := range texts {
		for _, k := range deviceNames {
			if d.kind != "" || len(cavities) > k.ways || len(cavities) > 2 && k.ways < 3 || len(cavities) == 2 && k.ways == 3 || !k.name.MatchString(strings.ToUpper(t)) {
				continue
			}
			if i > 0 && (k.kind == "fuse" || k.kind == "resistor" || k.kind == "diode" || k.kind == "switch") {
				continue // a wire's name speaks of what it leads to, not of what it ends at
			}
			d.kind, d.why = k.kind, "its name"
			if i > 0 {
				d.why = fmt.Sprintf("%q", t)
			}
		}
	}
	if d.kind == "" {
		d.kind, d.why = byWires(len(cavities), seen)
	}
	if d.kind == "ratiometric" && seen[power] && !seen[reference] && d.why != "its name" {
		d.kind, d.why = "switching", "its feed from the battery"
	}
	roles := circuits.DeviceKind(d.kind).Roles()
	return finish(d, byClass(cavities, classes, roles), roles)
}

// byWires guesses a part's kind from the number of its wires and what they carry.
func byWires(n int, seen map[class]bool) (kind, why string) {
	switch {
	case n == 3:
		return "ratiometric", "its three wires"
	case seen[canHigh] || seen[canLow]:
		return "resistor", "its place across the bus"
	case seen[control]:
		return "load", "the driver on its wire"
	case seen[signal] && seen[returning]:
		return "thermistor", "a signal and a return"
	case seen[signal] && seen[power]:
		return "current_loop", "a feed and a signal"
	case seen[signal] && seen[ground]:
		return "switch", "a signal and a ground"
	case seen[power] || seen[ground]:
		return "load", "its feed or ground"
	}
	return "resistor", "nothing in the list"
}

// byClass puts the cavities into the order of the roles, as far as the wires tell; the rest follow in list order.
func byClass(cavities []string, classes []class, roles []string) []string {
	wants := map[string][]class{"supply": {reference, power}, "return": {returning, ground}, "output": {signal}, "wiper": {signal}, "signal": {signal}, "anode": {power}}
	taken := make([]bool, len(cavities))
	out := make([]string, len(roles))
	for ri, role := range roles {
		for i, c := range classes {
			if taken[i] || out[ri] != "" {
				continue
			}
			for _, want := range wants[role] {
				if c == want {
					out[ri], taken[i] = cavities[i], true
					break
				}
			}
		}
	}
	for ri := range roles {
		for i := range cavities {
			if out[ri] == "" && !taken[i] {
				out[ri], taken[i] = cavities[i], true
			}
		}
	}
	return out
}

// finish gives a device its terminals; a cavity that the list lacks gets a name of its own.
func finish(d *device, cavities, roles []string) *device {
	used := append([]string(nil), cavities...)
	for i, role := range roles {
		cavity := ""
		if i < len(cavities) {
			cavity = cavities[i]
		}
		for n := 1; cavity == ""; n++ {
			name := fmt.Sprintf("open%d", n)
			if !has(used, name) {
				cavity = name
				used = append(used, name)
				d.invented = append(d.invented, name)
			}
		}
		d.terminals = append(d.terminals, terminal{role, cavity})
	}
	return d
}
