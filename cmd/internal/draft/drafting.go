package draft

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
)

// drafting is the circuit so far: what is taken, and the parts in the order in which they were answered.
type drafting struct {
	module   string
	parts    []*part
	names    map[string]string   // every name in use, with the word for what it is
	pins     []pinUse            // in the order of their use
	splices  map[string]string   // splice -> the point that its line starts from
	cavities map[string][]string // in-line connector -> cavities in use
	studs    []string
	order    []string // in-line connectors and splices as the answers name them

	power, ground string // the module's own pins; "" for none
	fuse          fuse   // in the module's feed
	volts         float64
	title         string
}

// pinUse is a module pin and the line that made it.
type pinUse struct {
	cavity string
	kind   string // kind of pin; "return raised" for a return above ground
	word   string // the line's word
	part   string // the part's name
	from   *part
}

func newDrafting() *drafting {
	return &drafting{names: map[string]string{}, splices: map[string]string{}, cavities: map[string][]string{}}
}

// pin finds a module pin in use; nil where it is free.
func (d *drafting) pin(cavity string) *pinUse {
	for i := range d.pins {
		if d.pins[i].cavity == cavity {
			return &d.pins[i]
		}
	}
	return nil
}

// pinOf is the kind of the module pin that a line of a part starts from, and the role of its run.
func (d *drafting) pinOf(p *part, i int) (kind, role string) {
	switch word := p.lines[i].word; word {
	case "signal":
		return "input", "signal"
	case "return":
		if p.values["bias"] == "raised" {
			return "return raised", "return"
		}
		return "return", "return"
	case "common", "ground":
		return "return", "return"
	case "supply":
		if p.kind.word == "current_loop" {
			return "high_side", "power"
		}
		return "reference", "reference"
	case "feed":
		return "high_side", "power"
	case "control":
		return p.values["side"] + "_side", "other"
	case "high":
		return "can_high", "bus"
	case "low":
		return "can_low", "bus"
	}
	return "input", "other"
}

// role is the role of a line's run, by where it starts.
func (d *drafting) role(p *part, i int) string {
	switch p.starts[i].at {
	case atBattery:
		return "power"
	case atGround:
		return "ground"
	}
	_, role := d.pinOf(p, i)
	return role
}

// add keeps an answered part and takes what it uses.
func (d *drafting) add(p *part) {
	d.parts = append(d.parts, p)
	for _, name := range p.deviceNames() {
		d.names[name] = "part"
	}
	if p.fuse.name != "" {
		d.names[p.fuse.name] = "fuse"
	}
	if p.far.name != "" {
		d.names[p.far.name] = "module"
	}
	for i, s := range p.starts {
		switch s.at {
		case atGround:
			if d.names[s.name] == "" {
				d.studs = append(d.studs, s.name)
			}
			d.names[s.name] = "ground stud"
		case atPin:
			if d.pin(s.name) == nil {
				kind, _ := d.pinOf(p, i)
				d.pins = append(d.pins, pinUse{s.name, kind, p.lines[i].word, p.name, p})
			}
		}
	}
	for _, s := range p.steps {
		word := "in-line connector"
		if s.splice {
			word = "splice"
			if d.splices[s.name] == "" {
				d.splices[s.name] = d.point(p, p.starts[lineIndex(p.lines, s.line)])
			}
		}
		if d.names[s.name] == "" {
			d.order = append(d.order, s.name)
		}
		d.names[s.name] = word
	}
	for _, r := range p.routes {
		for _, element := range r.path {
			if place, cavity, ok := strings.Cut(element, ":"); ok && d.names[place] == "in-line connector" {
				d.cavities[place] = append(d.cavities[place], cavity)
			}
		}
	}
	if p.kind.word == "can" {
		for _, name := range p.joints() {
			d.names[name] = "splice"
		}
	}
}

// deviceNames are the devices that a part becomes: a CAN pair has two terminators.
func (p *part) deviceNames() []string {
	if p.kind.word == "can" {
		return []string{p.name + "1", p.name + "2"}
	}
	return []string{p.name}
}

// uses tells whether a part has a name on its way.
func (p *part) uses(name string) bool {
	if slices.Contains(p.deviceNames(), name) || name == p.name || name == p.far.name || p.kind.word == "can" && slices.Contains(p.joints(), name) {
		return true
	}
	for _, s := range p.steps {
		if s.name == name {
			return true
		}
	}
	for _, s := range p.starts {
		if s.at == atGround && s.name == name {
			return true
		}
	}
	return false
}

// nameFree checks that nothing has one of the names that a part needs, with the part's own name being name.
func (d *drafting) nameFree(p *part, name string) error {
	if err := plainName(name); err != nil {
		return err
	}
	as := &part{kind: p.kind, name: name, far: far{name: " "}} // both ends of a bus
	needs := as.deviceNames()
	if p.kind.word == "can" {
		needs = append(needs, as.joints()...)
	}
	for _, n := range needs {
		if old := d.names[n]; old != "" {
			return fmt.Errorf("%s is the name of %s already", n, a(old))
		}
	}
	return nil
}

// free is the kind's usual name, with a number behind it where it is taken.
func (d *drafting) free(p *part) string {
	name := p.kind.name
	base := strings.TrimRightFunc(name, unicode.IsDigit)
	for n := 2; d.nameFree(p, name) != nil; n++ {
		name = fmt.Sprintf("%s%d", base, n)
		if p.kind.word == "can" {
			name = base + strings.Repeat("T", n-1)
		}
	}
	return name
}

// freeFuse is the first F1, F2, … that nothing is called.
func (d *drafting) freeFuse(p *part) string {
	for n := 1; ; n++ {
		name := fmt.Sprintf("F%d", n)
		if d.names[name] == "" && (p == nil || !p.uses(name)) {
			return name
		}
	}
}

// stud is the usual ground stud: the last one named, or G1.
func (d *drafting) stud() string {
	if len(d.studs) > 0 {
		return d.studs[len(d.studs)-1]
	}
	for n := 1; ; n++ {
		if name := fmt.Sprintf("G%d", n); d.names[name] == "" {
			return name
		}
	}
}

func (d *drafting) usualTitle() string {
	var labels []string
	for _, p := range d.parts {
		label := p.label
		if p.kind.word == "can" && p.assumed["label"] {
			label = "CAN pair"
		}
		labels = append(labels, label)
	}
	title := strings.Join(labels, ", ")
	if title == "" {
		return d.module
	}
	first := []rune(title)
	first[0] = unicode.ToUpper(first[0])
	return string(first) + " on " + d.module
}

// subject is what a question is about, for a message.
func (d *drafting) subject(p *part) string {
	switch {
	case p == nil && d.power == "":
		return "a module without a power pin"
	case p == nil:
		return "this circuit"
	case p.kind.word == "":
		return "this part"
	}
	return "this " + p.kind.word
}

func stepNamesOf(steps []step) []string {
	var out []string
	for _, s := range steps {
		out = append(out, s.name)
	}
	return out
}

// roundTo rounds to a number of decimals, so that a sum such as 0.6 + 0.3 is written 0.9.
func roundTo(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p) / p
}

// a is a word with its article.
func a(word string) string {
	if strings.ContainsRune("aeiou", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}
