package draft

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
)

// step is one element on the way from the module to the part.
type step struct {
	name     string
	splice   bool
	line     string   // the line that a splice is in
	cavities []string // of an in-line connector, for the lines that cross it, in order; nil for the next free ones
}

// route is one line's way: the path of its run, and the index in steps of the element behind each wire (the part's
// own plug is step len(steps)).
type route struct {
	path []string
	legs []int // for each wire, the step it ends at
	from int   // the step that the path starts at; -1 for the module, the fuse or the stud
}

// stepsOf reads C7:4+5+6,S2=return.
func stepsOf(answer string, lines []line) ([]step, error) {
	if answer == "none" || answer == "" {
		return nil, nil
	}
	var out []step
	for _, text := range splitList(answer) {
		s := step{name: text}
		if name, word, ok := strings.Cut(text, "="); ok {
			s = step{name: name, splice: true, line: word}
		} else if name, cavities, ok := strings.Cut(text, ":"); ok {
			s = step{name: name, cavities: strings.Split(cavities, "+")}
			for _, c := range s.cavities {
				if err := cavityName(c); err != nil {
					return nil, err
				}
			}
		} else if looksLikeSplice(text) {
			s = step{name: text, splice: true, line: usualSpliceLine(lines)}
		}
		if err := plainName(s.name); err != nil {
			return nil, err
		}
		if s.splice && lineIndex(lines, s.line) < 0 {
			return nil, fmt.Errorf("%s: no line is called %q; there are %s", text, s.line, strings.Join(lineWords(lines), ", "))
		}
		out = append(out, s)
	}
	return out, nil
}

// looksLikeSplice tells a splice by its name: S2, SP2, SPL-A. Everything else is an in-line connector.
func looksLikeSplice(name string) bool {
	n := strings.ToUpper(name)
	return strings.HasPrefix(n, "SP") || len(n) > 1 && n[0] == 'S' && n[1] >= '0' && n[1] <= '9'
}

// usualSpliceLine is the line that sensors share most: the return, else the ground side, else the first.
func usualSpliceLine(lines []line) string {
	for _, word := range []string{"return", "ground", "common", "feed"} {
		if lineIndex(lines, word) >= 0 {
			return word
		}
	}
	return lines[0].word
}

func lineIndex(lines []line, word string) int {
	for i, l := range lines {
		if l.word == word {
			return i
		}
	}
	return -1
}

func lineWords(lines []line) []string {
	var out []string
	for _, l := range lines {
		out = append(out, l.word)
	}
	return out
}

// point names where a line starts: what two parts must share a splice for.
func (d *drafting) point(p *part, s start) string {
	switch s.at {
	case atBattery:
		return "B+" // the fuse, where there is one, is put between when the file is written
	case atGround:
		return s.name
	}
	return d.module + ":" + s.name
}

// route finds the way of every line of a part through its steps. A line from a pin that another part uses already must
// share a splice with it, and starts there.
func (d *drafting) route(p *part, steps []step) ([]route, error) {
	if err := d.stepNames(p, steps); err != nil {
		return nil, err
	}
	routes := make([]route, len(p.lines))
	crossing := make([][]int, len(steps)) // the lines that cross each connector
	for i, l := range p.lines {
		first := -1
		if p.starts[i].at == atPin {
			shared, err := d.sharedSplice(p, i, steps)
			if err != nil {
				return nil, err
			}
			first = shared
		}
		r := route{from: first}
		if first < 0 {
			r.path = []string{d.point(p, p.starts[i])}
			if p.kind.word == "can" {
				r.path[0] = p.nearEnd(i)
			}
		} else {
			r.path = []string{steps[first].name}
		}
		for k := first + 1; k < len(steps); k++ {
			switch {
			case !steps[k].splice:
				crossing[k] = append(crossing[k], i)
				r.path = append(r.path, "")
			case steps[k].line == l.word:
				if d.splices[steps[k].name] != "" {
					return nil, fmt.Errorf("the splice %s is in the line from %s already, so it cannot be in the %s of %s too", steps[k].name, d.splices[steps[k].name], l.word, p.name)
				}
				r.path = append(r.path, steps[k].name)
			default:
				continue
			}
			r.legs = append(r.legs, k)
		}
		r.path = append(r.path, d.terminals(p, i)...)
		r.legs = append(r.legs, len(steps))
		routes[i] = r
	}
	for k, s := range steps {
		if s.splice {
			continue
		}
		cavities, err := d.cavitiesOf(p, s, crossing[k])
		if err != nil {
			return nil, err
		}
		for n, i := range crossing[k] {
			for j, leg := range routes[i].legs {
				if leg == k {
					routes[i].path[j+1] = s.name + ":" + cavities[n]
				}
			}
		}
	}
	return routes, nil
}

// terminals is the path element at the part: its cavity.
func (d *drafting) terminals(p *part, i int) []string {
	if p.kind.word == "can" {
		return []string{p.farEnd(i)}
	}
	return []string{p.name + ":" + p.cavities[i]}
}

// stepNames checks that no name stands for two things.
func (d *drafting) stepNames(p *part, steps []step) error {
	met := map[string]bool{}
	for _, s := range steps {
		if met[s.name] {
			return fmt.Errorf("%s stands twice on the way", s.name)
		}
		if own := (&part{kind: p.kind, name: p.name, starts: p.starts, far: p.far}); own.uses(s.name) {
			return fmt.Errorf("%s is a name that %s needs itself", s.name, p.name)
		}
		met[s.name] = true
		word := "in-line connector"
		if s.splice {
			word = "splice"
		}
		if old := d.names[s.name]; old != "" && old != word {
			return fmt.Errorf("%s is the name of %s already", s.name, a(old))
		}
	}
	return nil
}

// sharedSplice is the last step that is a splice of an earlier line from the same pin; -1 where the pin is free.
func (d *drafting) sharedSplice(p *part, i int, steps []step) (int, error) {
	from := d.point(p, p.starts[i])
	used := d.pin(p.starts[i].name)
	if used == nil {
		return -1, nil
	}
	if kind, _ := d.pinOf(p, i); kind != used.kind {
		return -1, fmt.Errorf("%s is the %s of %s already, so it cannot be the %s of %s", from, used.word, used.part, p.lines[i].word, p.name)
	}
	for k := len(steps) - 1; k >= 0; k-- {
		if steps[k].splice && steps[k].line == p.lines[i].word && d.splices[steps[k].name] == from {
			return k, nil
		}
	}
	return -1, fmt.Errorf("%s goes to %s already, and one cavity takes one wire: name the splice at which the %s of both meet, such as S1=%s, in both",
		from, used.part, p.lines[i].word, p.lines[i].word)
}

// cavitiesOf are the cavities that lines take in an in-line connector: the given ones, or the next free numbers.
func (d *drafting) cavitiesOf(p *part, s step, lines []int) ([]string, error) {
	if len(lines) == 0 {
		return nil, fmt.Errorf("no line of %s crosses %s: they all start behind it, at a splice; leave it out", p.name, s.name)
	}
	used := d.cavities[s.name]
	if s.cavities == nil {
		var out []string
		for n := 1; len(out) < len(lines); n++ {
			if c := strconv.Itoa(n); !slices.Contains(used, c) {
				out = append(out, c)
			}
		}
		return out, nil
	}
	if len(s.cavities) != len(lines) {
		var words []string
		for _, i := range lines {
			words = append(words, p.lines[i].word)
		}
		return nil, fmt.Errorf("%s has %d cavities for %d lines that cross it (%s)", s.name, len(s.cavities), len(lines), strings.Join(words, ", "))
	}
	for i, c := range s.cavities {
		if slices.Contains(used, c) || slices.Contains(s.cavities[:i], c) {
			return nil, fmt.Errorf("cavity %s of %s is taken already", c, s.name)
		}
	}
	return s.cavities, nil
}

// isPost tells whether an answer names the battery's positive post.
func isPost(s string) bool { return strings.EqualFold(s, circuits.BPositive.String()) }
