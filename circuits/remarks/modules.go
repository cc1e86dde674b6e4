package remarks

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
)

// modulePower warns of a module that cannot live: its power or ground pins lead nowhere, or it lists none while other
// modules list theirs (a module without listed pins counts as powered and grounded).
func (r *remarker) modulePower() {
	var with, without [2][]*circuits.Module // power, ground
	for i := range r.c.Modules {
		m := &r.c.Modules[i]
		for k, kind := range []circuits.PinKind{circuits.PinPower, circuits.PinGround} {
			listed := false
			for j := range m.Pins {
				if m.Pins[j].Kind == kind {
					listed = true
					r.leadsNowhere(m.Pins[j])
				}
			}
			if listed {
				with[k] = append(with[k], m)
			} else {
				without[k] = append(without[k], m)
			}
		}
	}
	for k, word := range []string{"power", "ground"} {
		if len(with[k]) == 0 {
			continue
		}
		for _, m := range without[k] {
			r.remark(m.Line, fmt.Sprintf("the module %s has no %s pin while %s has, so its %s counts as perfect here", m.Name, word, with[k][0].Name, word),
				fmt.Sprintf("add the pin and its run: pins.CAVITY = { kind = %q }", word))
		}
	}
}

// leadsNowhere warns of a power pin that no feed reaches, or a ground pin that reaches no ground.
func (r *remarker) leadsNowhere(pin circuits.Pin) {
	post := func(p circuits.Point) bool {
		return p == circuits.BNegative || r.c.Element(p.Place).Kind == circuits.ElementStud
	}
	switch pin.Kind {
	case circuits.PinPower:
		fed := func(p circuits.Point) bool {
			other := r.pins[p]
			return p == circuits.BPositive || other != nil && (other.Kind == circuits.PinHighSide || other.Kind == circuits.PinReference)
		}
		if _, ok := r.search(pin.Point(), nil, fed); !ok {
			r.remark(pin.Line, fmt.Sprintf("no feed reaches the power pin %s, so it gives the module %s no power", pin.Point(), pin.Module),
				"add the run from B+ or its fuse, or leave the pin out")
		}
	case circuits.PinGround:
		if _, ok := firstOf(r.fused.Net(pin.Point()), post); !ok {
			r.remark(pin.Line, fmt.Sprintf("the ground pin %s reaches no stud and not B-, so it does not ground the module %s", pin.Point(), pin.Module),
				"add the run to a stud or B-, or leave the pin out")
		}
	}
}

// floatingInputs warns of an input that nothing gives a voltage: it has no pull-up or pull-down, and only passive parts
// stand on its wires. Its own input_ohms is no driver: what it then reads is noise.
func (r *remarker) floatingInputs() {
	for _, m := range r.c.Modules {
		for _, pin := range m.Pins {
			if pin.Kind != circuits.PinInput || pin.PullUpOhms > 0 || pin.PullDownOhms > 0 || !r.wired(pin.Point()) {
				continue
			}
			if _, ok := r.search(pin.Point(), nil, func(p circuits.Point) bool { return r.drives(p, pin.Point()) }); ok {
				continue
			}
			r.remark(pin.Line, fmt.Sprintf("the input %s has neither pull-up nor pull-down and nothing%s drives it, so its voltage means nothing", pin.Point(), r.onItsWires(pin.Point())),
				`add pull_up_ohms or pull_down_ohms as the module has them`)
		}
	}
}

// drives tells whether a point can put a voltage on an input.
func (r *remarker) drives(p, input circuits.Point) bool {
	if p == input {
		return false
	}
	if r.isFeed(p) {
		return true
	}
	if pin := r.pins[p]; pin != nil {
		switch pin.Kind {
		case circuits.PinInput:
			return r.pullsUp(p)
		case circuits.PinLowSide, circuits.PinCANHigh, circuits.PinCANLow, circuits.PinLIN:
			return true
		}
		return false
	}
	d := r.devices[p]
	if d.Device == nil {
		return false
	}
	switch d.Kind {
	case circuits.Ratiometric, circuits.Potentiometer:
		return d.role != "return"
	case circuits.Zirconia:
		return d.role == "signal"
	}
	return false
}

// onItsWires names the parts on an input's copper, for the sentence.
func (r *remarker) onItsWires(input circuits.Point) string {
	var names []string
	for _, p := range r.copper.Net(input) {
		if d := r.devices[p]; d.Device != nil && !slices.Contains(names, d.Name) {
			names = append(names, d.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return " on its wires (" + strings.Join(names, ", ") + ")"
}
