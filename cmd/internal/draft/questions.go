package draft

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/models"
)

// Question is one thing that new asks, and the option that answers it beforehand.
type Question struct {
	Name  string // the option's name
	Usage string // what it asks, for a help text
}

// Questions lists all questions in the order in which they are put.
func Questions() []Question {
	var out []Question
	for _, q := range append(append([]question{}, partQuestions...), circuitQuestions...) {
		out = append(out, Question{q.name, q.usage})
	}
	return out
}

// question is one entry of the dialogue. take checks an answer and keeps it; an error says what is wrong with it.
type question struct {
	name, usage string
	when        func(d *drafting, p *part) bool // nil: always
	asks        func(d *drafting, p *part) string
	usual       func(d *drafting, p *part) string
	take        func(d *drafting, p *part, answer string) error
}

func text(s string) func(*drafting, *part) string {
	return func(*drafting, *part) string { return s }
}

// value is a question that only some kinds have, with a usual answer a kind; the answer is kept as it is.
func value(name, asks, usage string, check func(string) error) question {
	return question{name: name, usage: usage,
		asks: func(_ *drafting, p *part) string {
			if asks == "" {
				return p.kind.ohmsAre
			}
			return asks
		},
		when:  func(_ *drafting, p *part) bool { return p.asksFor(name) },
		usual: func(_ *drafting, p *part) string { return p.kind.usual[name] },
		take: func(_ *drafting, p *part, answer string) error {
			p.values[name] = answer
			return check(answer)
		}}
}

var partQuestions = []question{
	{name: "part", usage: "what the part is: " + strings.Join(KindWords(), ", "),
		asks: func(d *drafting, _ *part) string {
			if len(d.parts) > 0 {
				return "What part is it? (as above)"
			}
			var b strings.Builder
			for i, k := range kinds {
				fmt.Fprintf(&b, "%3d  %-14s %s\n", i+1, k.word, k.says)
			}
			return b.String() + "What part is it?"
		},
		usual: text("ratiometric"),
		take: func(_ *drafting, p *part, answer string) (err error) {
			p.kind, err = kindOf(answer)
			p.lines = p.kind.lines
			return err
		}},
	{name: "name", usage: "the part's short name on the diagram, such as MOT", asks: text("Its short name on the diagram"),
		usual: func(d *drafting, p *part) string { return d.free(p) },
		take: func(d *drafting, p *part, answer string) error {
			p.name = answer
			return d.nameFree(p, answer)
		}},
	{name: "label", usage: "the part's long name", asks: text("Its long name"),
		usual: func(_ *drafting, p *part) string { return p.kind.label },
		take:  func(_ *drafting, p *part, answer string) error { p.label = answer; return nil }},
	{name: "module", usage: "the module's name, such as ECU", asks: text("The module that it goes to"),
		when:  func(d *drafting, _ *part) bool { return len(d.parts) == 0 },
		usual: text("ECU"),
		take: func(d *drafting, p *part, answer string) error {
			if err := plainName(answer); err != nil {
				return err
			}
			if p.uses(answer) {
				return fmt.Errorf("%s is a name that the part needs", answer)
			}
			d.module = answer
			d.names[answer] = "module"
			return nil
		}},
	{name: "side", usage: "on which side the module switches a lamp, heater or coil: low (to ground) or high (to feed)",
		asks:  text("Which side does the module switch? (low, high)"),
		when:  func(_ *drafting, p *part) bool { return p.kind.low != nil },
		usual: func(_ *drafting, p *part) string { return p.kind.usual["side"] },
		take: func(_ *drafting, p *part, answer string) error {
			p.values["side"] = answer
			switch answer {
			case "low":
				p.lines = p.kind.low
			case "high":
				p.lines = p.kind.high
			default:
				return fmt.Errorf("%q is neither low nor high", answer)
			}
			return nil
		}},
	value("bias", "Is its return at ground, or raised to 2.5 V? (ground, raised)", "an oxygen sensor's return: ground, or raised (2.5 V above ground)", func(s string) error {
		if s != "ground" && s != "raised" {
			return fmt.Errorf("%q is neither ground nor raised", s)
		}
		return nil
	}),
	{name: "far", usage: "the module at the other end of a CAN pair with its pins for high and low, such as DSP:5+6, and for power and ground where the diagram has them, DSP:5+6+1+2; or none", asks: text("The module at the other end with its pins, such as DSP:5+6, or none"),
		when:  func(_ *drafting, p *part) bool { return p.kind.word == "can" },
		usual: text("none"), take: takeFar},
	{name: "pins", usage: "where the part's lines start, one each: a module pin (A1), B+ for the battery through a fuse, or a ground stud (G1)",
		asks: func(_ *drafting, p *part) string {
			var asks []string
			for _, l := range p.lines {
				asks = append(asks, l.asks)
			}
			return "Module pins: " + strings.Join(asks, ", ")
		},
		usual: usualPins, take: takePins},
	{name: "at", usage: "the cavities at the part's own plug, one a line", asks: text("Cavities at the part's own plug, in the same order"),
		usual: func(_ *drafting, p *part) string {
			var out []string
			for i := range p.lines {
				out = append(out, fmt.Sprint(i+1))
			}
			return strings.Join(out, ",")
		},
		take: func(_ *drafting, p *part, answer string) error {
			p.cavities = splitList(answer)
			if err := oneEach(p, p.cavities, "cavity"); err != nil {
				return err
			}
			for i, c := range p.cavities {
				if err := cavityName(c); err != nil {
					return err
				}
				if slices.Contains(p.cavities[:i], c) {
					return fmt.Errorf("cavity %s stands twice", c)
				}
			}
			return nil
		}},
	{name: "through", usage: "in-line connectors and splices between module and part, in order: C7 or C7:4+5+6 with its cavities, S2 or S2=return with its line; or none",
		asks:  text("In-line connectors and splices on the way, in order (C7, S2), or none"),
		usual: usualWay,
		take: func(d *drafting, p *part, answer string) (err error) {
			if p.steps, err = stepsOf(answer, p.lines); err == nil {
				p.routes, err = d.route(p, p.steps)
			}
			return err
		}},
	{name: "colors", usage: "wire colours by IEC 60757, one a line: GN/BK,BN",
		asks: func(_ *drafting, p *part) string {
			return "Wire colours: " + strings.Join(lineWords(p.lines), ", ")
		},
		usual: func(_ *drafting, p *part) string {
			var out []string
			for i, l := range p.lines {
				switch color := l.color; {
				case p.starts[i].at == l.starts[0]:
					out = append(out, color)
				default:
					out = append(out, map[string]string{atPin: "BN", atBattery: "RD", atGround: "BK"}[p.starts[i].at])
				}
			}
			return strings.Join(out, ",")
		},
		take: func(_ *drafting, p *part, answer string) error {
			p.colors = splitList(answer)
			if err := oneEach(p, p.colors, "colour"); err != nil {
				return err
			}
			for i, c := range p.colors {
				p.colors[i] = strings.ToUpper(c)
				if _, ok := models.Colour(p.colors[i]); !ok {
					return fmt.Errorf("%q is no colour of IEC 60757: write %s, or two of them as GN/BK", c, strings.Join(models.ColourCodes(), " "))
				}
			}
			return nil
		}},
	{name: "size", usage: "wire size in mm²", asks: text("Wire size in mm²"), usual: text("0.5"),
		take: func(_ *drafting, p *part, answer string) (err error) {
			p.sizeMM2, err = positiveNumber(answer)
			if err == nil && (p.sizeMM2 < 0.08 || p.sizeMM2 > 99) {
				err = fmt.Errorf("no harness wire has %s mm²", answer)
			}
			return err
		}},
	{name: "length", usage: "metres of wire, in order: from the module to each element of --through, and on to the part; or one number for each of them",
		asks: func(_ *drafting, p *part) string {
			if len(p.steps) == 0 {
				return "Metres of wire"
			}
			return fmt.Sprintf("Metres of wire: to %s, then to the part (%d numbers, or one for each)", strings.Join(stepNamesOf(p.steps), ", to "), len(p.steps)+1)
		},
		usual: text("1"), take: takeLengths},
	value("ohms", "", "the part's ohms: a thermistor's at 25 °C, a platinum sensor's at 0 °C, a load's hot, a current loop's shunt", ohmsAnswer),
	value("beta", "Its Beta in kelvin", "a thermistor's Beta in kelvin", func(s string) error {
		v, err := positiveNumber(s)
		if err == nil && (v < 1500 || v > 6000) {
			err = fmt.Errorf("no thermistor has a Beta of %s K", s)
		}
		return err
	}),
	{name: "pull", usage: `the input's pull resistor: "up 2k2", "down 220k" or "none"`, asks: text(`The input's pull resistor ("up 2k2", "down 220k", "none")`),
		when: func(_ *drafting, p *part) bool { return p.asksFor("pull") },
		usual: func(_ *drafting, p *part) string {
			if p.kind.word == "switch" && p.fed() {
				return "down 22k"
			}
			return p.kind.usual["pull"]
		},
		take: func(_ *drafting, p *part, answer string) error {
			p.values["pull"] = strings.Join(splitList(answer), " ")
			if err := pullAnswer(p.values["pull"]); err != nil {
				return err
			}
			return p.pullFits()
		}},
	value("reads", `What it reads at its lowest and highest output ("0 250 kPa"), or none`, `what the sensor reads at its lowest and highest output and the unit, such as "0 250 kPa"; or none`, readsAnswer),
	{name: "codes", usage: "the codes that the module sets for a signal too low and too high, or none", asks: text("Codes for a signal too low, too high, or none"),
		when:  func(_ *drafting, p *part) bool { return p.asksFor("codes") },
		usual: func(_ *drafting, p *part) string { return p.name + "-LOW," + p.name + "-HIGH" },
		take: func(_ *drafting, p *part, answer string) error {
			if answer == "none" {
				return nil
			}
			codes := splitList(answer)
			if len(codes) != 2 {
				return fmt.Errorf("two codes are needed, such as P0117,P0118, or none")
			}
			p.low, p.high = codes[0], codes[1]
			return nil
		}},
	{name: "fuse", usage: "the fuse between B+ and the part with its amperes, such as F1:10, or none", asks: text("The fuse in its feed with its amperes, such as F1:10, or none"),
		when:  func(_ *drafting, p *part) bool { return p.fed() },
		usual: func(d *drafting, p *part) string { return d.freeFuse(p) + ":10" },
		take: func(d *drafting, p *part, answer string) (err error) {
			p.fuse, err = d.fuseOf(p, answer)
			return err
		}},
}

var circuitQuestions = []question{
	{name: "power", usage: "the module's own power pin (B1), fed through a fuse; or none, then its power counts as perfect", asks: text("The module's own power pin, or none"), usual: text("none"),
		take: func(d *drafting, _ *part, answer string) error {
			if err := d.farAlike(answer != "none"); err != nil {
				return err
			}
			return d.modulePin(&d.power, answer)
		}},
	{name: "ground", usage: "the module's own ground pin (B2), to a stud; or none, then its ground counts as perfect", asks: text("The module's own ground pin, or none"), usual: text("none"),
		take: func(d *drafting, _ *part, answer string) error {
			if answer != "none" && answer == d.power {
				return fmt.Errorf("%s is the power pin", answer)
			}
			if err := d.farAlike(answer != "none"); err != nil {
				return err
			}
			return d.modulePin(&d.ground, answer)
		}},
	{name: "module-fuse", usage: "the fuse in the module's feed with its amperes, such as F1:10, or none", asks: text("The fuse in the module's feed with its amperes, or none"),
		when:  func(d *drafting, _ *part) bool { return d.power != "" },
		usual: func(d *drafting, _ *part) string { return d.freeFuse(nil) + ":10" },
		take: func(d *drafting, _ *part, answer string) (err error) {
			d.fuse, err = d.fuseOf(nil, answer)
			return err
		}},
	{name: "volts", usage: "the battery's volts at rest: 12.6, or 25.2 for a machine of 24 V", asks: text("Battery volts at rest (25.2 for a machine of 24 V)"), usual: text("12.6"),
		take: func(d *drafting, _ *part, answer string) (err error) {
			d.volts, err = positiveNumber(answer)
			switch {
			case err == nil && (d.volts < 5.5 || d.volts > circuits.MaxVolts):
				err = fmt.Errorf("%s V is no battery for this: between 5.5 and %d V", answer, circuits.MaxVolts)
			case d.volts == 12:
				d.volts = 12.6 // who says 12 V means a battery of six cells, at rest
			case d.volts == 24:
				d.volts = 25.2
			}
			return err
		}},
	{name: "title", usage: "the circuit's title", asks: text("Title of the circuit"),
		usual: func(d *drafting, _ *part) string { return d.usualTitle() },
		take:  func(d *drafting, _ *part, answer string) error { d.title = answer; return nil }},
}

// oneEach checks that there is one answer a line.
func oneEach(p *part, answers []string, word string) error {
	if len(answers) != len(p.lines) {
		return fmt.Errorf("%d are needed, one %s each for %s; here are %d", len(p.lines), word, strings.Join(lineWords(p.lines), ", "), len(answers))
	}
	return nil
}
