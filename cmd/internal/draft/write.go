package draft

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draft/circuittext"
	"ohmtrail/models"
)

type field = circuittext.Field

func key(name, value string) field { return field{Key: name, Value: value} }

// ohmsText is a checked resistance as TOML: a plain number, or the letter code in quotes.
func ohmsText(answer string) string {
	if v, err := strconv.ParseFloat(answer, 64); err == nil {
		return circuittext.Number(v)
	}
	return circuittext.Quote(answer)
}

// file puts the answers into the shape of a circuit file.
func (d *drafting) file() circuittext.File {
	s := circuittext.File{Title: d.title, Head: d.assumptions(),
		Battery: []field{{Key: "volts", Value: circuittext.Number(d.volts), Comment: "key on, engine off"}}}
	s.Modules = d.modules()
	for _, p := range d.parts {
		s.Places = append(s.Places, d.devices(p)...)
	}
	for _, f := range d.feeds() {
		if f.fuse.name != "" {
			s.Places = append(s.Places, f.fuse.place("feed of "+f.module))
		}
	}
	s.Places = append(s.Places, d.places()...)
	for _, p := range d.parts {
		s.Runs = append(s.Runs, d.runs(p)...)
	}
	s.Runs = append(s.Runs, d.moduleRuns()...)
	return s
}

// assumptions say which answers are usual values that nobody gave.
func (d *drafting) assumptions() []string {
	var out []string
	for _, p := range d.parts {
		var names []string
		for _, q := range partQuestions {
			if p.assumed[q.name] && !slices.Contains([]string{"part", "name", "label", "module", "through", "at", "far", "codes", "reads"}, q.name) {
				names = append(names, map[string]string{"pull": "the input's pull resistor", "size": "wire size", "length": "wire lengths",
					"colors": "wire colours", "beta": "Beta"}[q.name])
				if names[len(names)-1] == "" {
					names[len(names)-1] = q.name
				}
			}
		}
		if len(names) > 0 {
			out = append(out, fmt.Sprintf("  %s: %s", p.name, strings.Join(names, ", ")))
		}
	}
	if len(out) > 0 {
		out = append([]string{"Usual values stand here, not the diagram's; check them before trusting a verdict:"}, out...)
	}
	return out
}

// modules writes the module with its pins in the order of their cavities, and the far module of each bus.
func (d *drafting) modules() []circuittext.Module {
	m := circuittext.Module{Name: d.module}
	for _, u := range d.pins {
		m.Pins = append(m.Pins, circuittext.Pin{Cavity: u.cavity, Fields: d.pinFields(u), Comment: d.pinComment(u)})
	}
	if d.power != "" {
		m.Pins = append(m.Pins, circuittext.Pin{Cavity: d.power, Fields: []field{key("kind", `"power"`)}})
	}
	if d.ground != "" {
		m.Pins = append(m.Pins, circuittext.Pin{Cavity: d.ground, Fields: []field{key("kind", `"ground"`)}})
	}
	slices.SortStableFunc(m.Pins, byCavity)
	switch {
	case d.power == "" && d.ground == "":
		m.Above = []string{"its own power and ground pins are left out: they count as perfect"}
	case d.power == "":
		m.Above = []string{"its own power pin is left out: it counts as perfect"}
	case d.ground == "":
		m.Above = []string{"its own ground pin is left out: it counts as perfect"}
	}
	out := []circuittext.Module{m}
	for _, p := range d.parts {
		if p.far.name == "" {
			continue
		}
		f := circuittext.Module{Name: p.far.name}
		for i, pin := range p.far.pins {
			kind := []string{"can_high", "can_low", "power", "ground"}[i]
			f.Pins = append(f.Pins, circuittext.Pin{Cavity: pin, Fields: []field{key("kind", circuittext.Quote(kind))}})
		}
		slices.SortStableFunc(f.Pins, byCavity)
		out = append(out, f)
	}
	return out
}

func byCavity(a, b circuittext.Pin) int { return circuittext.CompareCavities(a.Cavity, b.Cavity) }

// pinComment names every part on a pin.
func (d *drafting) pinComment(u pinUse) string {
	var parts []string
	for _, p := range d.parts {
		for _, s := range p.starts {
			if s.at == atPin && s.name == u.cavity {
				parts = append(parts, p.name)
			}
		}
	}
	comment := u.word + " of " + strings.Join(parts, ", ")
	if u.word == "high" || u.word == "low" {
		comment = "CAN " + u.word
	}
	if u.kind == "input" && u.from.assumed["pull"] {
		comment += "; usual pull resistor"
	}
	return comment
}

// pinFields are a pin's kind and what its part makes of it.
func (d *drafting) pinFields(u pinUse) []field {
	p := u.from
	kind, raised := strings.CutSuffix(u.kind, " raised")
	out := []field{key("kind", circuittext.Quote(kind))}
	switch {
	case raised:
		out = append(out, key("offset_volts", "2.5"), key("ohms", "10"))
	case kind == "reference":
		out = append(out, key("volts", "5.0"))
	case kind == "low_side" || kind == "high_side":
		out = append(out, key("on", "true"))
	case kind == "input":
		out = append(out, d.inputFields(p)...)
	}
	return out
}

func (d *drafting) inputFields(p *part) []field {
	var out []field
	switch p.kind.word {
	case "zirconia":
		if p.values["bias"] == "raised" {
			out = []field{key("pull_up_ohms", `"330k"`), key("input_ohms", `"10M"`)}
		} else {
			out = []field{key("pull_up_ohms", `"470k"`), key("pull_up_volts", "0.45"), key("input_ohms", `"10M"`), key("range_volts", "[0, 2]")}
		}
	case "current_loop":
		ohms, _ := models.ParseOhms(p.values["ohms"])
		out = []field{key("pull_down_ohms", ohmsText(p.values["ohms"])), key("range_volts", fmt.Sprintf("[0, %s]", circuittext.Number(roundTo(0.022*ohms, 3))))}
	default:
		if direction, ohms, ok := strings.Cut(p.values["pull"], " "); ok {
			out = append(out, key("pull_"+direction+"_ohms", ohmsText(ohms)))
		}
		if p.kind.word == "ratiometric" {
			out = append(out, key("input_ohms", `"10M"`))
		}
		if p.kind.word == "switch" && p.fed() {
			top := "16"
			if d.volts > 16 {
				top = "40"
			}
			if d.volts > 36 {
				top = "70"
			}
			out = append(out, key("range_volts", "[0, "+top+"]"))
		}
	}
	if p.low != "" {
		low, high := p.limits()
		out = append(out, key("below", fmt.Sprintf("{ volts = %s, code = %s }", circuittext.Number(low), circuittext.Quote(p.low))),
			key("above", fmt.Sprintf("{ volts = %s, code = %s }", circuittext.Number(high), circuittext.Quote(p.high))))
	}
	return out
}

// limits are the voltages beyond which the module sets its codes: half-way between the sensor's own ends and the rails
// for what stands on a pull-up, 5 % and 95 % of the supply for what is fed by it, 3.6 and 21 mA for a loop (common
// practice, no source).
func (p *part) limits() (low, high float64) {
	pull := func() float64 {
		_, text, _ := strings.Cut(p.values["pull"], " ")
		ohms, _ := models.ParseOhms(text)
		return ohms
	}
	between := func(least, most float64) (float64, float64) {
		r := pull()
		low := roundTo(5*least/(least+r)/2, 2)
		high := roundTo((5*most/(most+r)+5)/2, 2)
		return min(max(low, 0.01), 4.97), min(max(high, 0.02), 4.99)
	}
	ohms, _ := models.ParseOhms(p.values["ohms"])
	switch p.kind.word {
	case "thermistor":
		beta, _ := positiveNumber(p.values["beta"])
		return between(models.BetaOhms(ohms, beta, 110), models.BetaOhms(ohms, beta, -20))
	case "rtd":
		return between(models.RTDOhms(ohms, -40), models.RTDOhms(ohms, 300))
	case "resistor":
		return between(0.95*ohms, 1.05*ohms)
	case "zirconia":
		if p.values["bias"] == "raised" {
			return 1.5, 4.3
		}
		return 0.03, 1.2
	case "current_loop":
		return roundTo(0.0036*ohms, 4), roundTo(0.021*ohms, 4)
	}
	return 0.25, 4.75
}

// devices are the part, and the fuse in its feed.
func (d *drafting) devices(p *part) []circuittext.Place {
	var out []circuittext.Place
	for _, name := range p.deviceNames() {
		out = append(out, circuittext.Place{Section: "device", Name: name, Fields: p.fields()})
	}
	if p.fuse.name != "" {
		out = append(out, p.fuse.place("feed of "+p.name))
	}
	return out
}

// fields are a device's table.
func (p *part) fields() []field {
	roles := make([]string, len(p.lines))
	for i, l := range p.lines {
		roles[i] = l.terminal + " = " + circuittext.Quote(p.cavities[i])
	}
	out := []field{key("label", circuittext.Quote(p.label)), key("kind", circuittext.Quote(string(p.kind.device))),
		key("terminals", "{ "+strings.Join(roles, ", ")+" }")}
	ohms := ohmsText(p.values["ohms"])
	switch p.kind.device {
	case circuits.Thermistor:
		beta, _ := positiveNumber(p.values["beta"])
		out = append(out, field{Key: "ohms_25", Value: ohms, Comment: "better: the sensor's own table = [[°C, Ω], …]"}, key("beta", circuittext.Number(beta)))
	case circuits.RTD:
		out = append(out, key("ohms_0", ohms))
	case circuits.Potentiometer:
		out = append(out, key("ohms", ohms), field{Key: "range", Value: "[0.1, 0.9]", Comment: "its mechanical stops"})
	case circuits.Load, circuits.Resistor:
		out = append(out, key("ohms", ohms))
	}
	if reads := p.reads(); reads != "" {
		out = append(out, key("reads", reads))
	}
	return out
}

// reads is what the sensor's stimulus means in its own unit.
func (p *part) reads() string {
	f := strings.Fields(p.values["reads"])
	if len(f) != 3 {
		return ""
	}
	low, _ := strconv.ParseFloat(f[0], 64)
	high, _ := strconv.ParseFloat(f[1], 64)
	a, b, unit := circuittext.Number(low), circuittext.Number(high), circuittext.Quote(f[2])
	switch p.kind.device {
	case circuits.Potentiometer:
		return fmt.Sprintf("{ unit = %s, table = [[0.1, %s], [0.9, %s]] }", unit, a, b)
	case circuits.CurrentLoop:
		return fmt.Sprintf("{ unit = %s, table = [[4, %s], [20, %s]] }", unit, a, b)
	}
	return fmt.Sprintf("{ low = %s, high = %s, unit = %s }", a, b, unit)
}

func (f fuse) place(label string) circuittext.Place {
	return circuittext.Place{Section: "device", Name: f.name, Fields: []field{key("label", circuittext.Quote(label)), key("kind", `"fuse"`),
		key("terminals", `{ a = "1", b = "2" }`), key("amps", circuittext.Number(f.amps))}}
}
