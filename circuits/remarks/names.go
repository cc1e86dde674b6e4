package remarks

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"github.com/agnivade/levenshtein"

	"ohmtrail/circuits"
)

// unusedPlaces warns of places that no wire touches, or only half.
func (r *remarker) unusedPlaces() {
	unused := func(line int, kind, name string) {
		r.remark(line, fmt.Sprintf("the %s %s is joined to nothing", kind, name), "add its runs, or check how they spell the name")
	}
	for _, m := range r.c.Modules {
		if len(r.runs[m.Name]) == 0 {
			unused(m.Line, "module", m.Name)
		}
	}
	for i := range r.c.Devices {
		d := &r.c.Devices[i]
		if len(r.runs[d.Name]) == 0 {
			r.remark(d.Line, wordsOf(d)+" is joined to nothing", "add its runs, or check how they spell the name")
			continue
		}
		for _, t := range d.Terminals {
			if p := (circuits.Point{Place: d.Name, Cavity: t.Cavity}); !r.wired(p) {
				r.remark(d.Line, fmt.Sprintf("no wire runs to %s, the %s of %s", p, t.Role, d.Name), "add the run, or live with a part that is half connected")
			}
		}
	}
	for _, k := range r.c.Connectors {
		if len(r.runs[k.Name]) == 0 {
			unused(k.Line, "in-line connector", k.Name)
		}
	}
	for _, s := range r.c.Splices {
		switch {
		case s.Legs == 0:
			unused(s.Line, "splice", s.Name)
		case s.Legs == 1:
			hint := "add the run of its other leg, or check the name"
			if other := r.meantBare(s.Name); other != "" && !r.declared("splice", s.Name) {
				hint = fmt.Sprintf("did you mean the %s %s?", r.c.KindOf(other), other)
			}
			r.remark(s.Line, fmt.Sprintf("the splice %s joins only one wire", s.Name), hint)
		}
	}
	for _, s := range r.c.Studs {
		if len(r.runs[s.Name]) == 0 {
			unused(s.Line, "ground stud", s.Name)
		}
	}
}

// meantBare is the splice or stud that an undeclared bare name was probably meant to be, "" for none. Splices differ
// by number everywhere; a stud must be declared, so G2 beside a declared G1 is worth the question.
func (r *remarker) meantBare(name string) string {
	for _, s := range r.c.Studs {
		if near(name, s.Name) {
			return s.Name
		}
	}
	for _, s := range r.c.Splices {
		if s.Name != name && alike(name, s.Name) {
			return s.Name
		}
	}
	return ""
}

// likelyTypos warns of an in-line connector that exists only because one path spells a name that nothing declares, and
// that looks like another name of the file.
func (r *remarker) likelyTypos() {
	for _, k := range r.c.Connectors {
		runs := r.runs[k.Name]
		if len(runs) != 1 || r.declared("connector", k.Name) {
			continue
		}
		run := r.c.Runs[runs[0]]
		ends := run.Path[0].Place == k.Name || run.Path[len(run.Path)-1].Place == k.Name
		if ends {
			var parts []string
			for _, m := range r.c.Modules {
				parts = append(parts, m.Name)
			}
			parts = append(parts, r.c.DeviceNames()...)
			if other := r.meant(k.Name, parts); other != "" {
				r.remark(k.Line, fmt.Sprintf("%s is declared nowhere and only the run %q names it, so it is taken for an in-line connector at which the wire ends", k.Name, run.Title()),
					fmt.Sprintf("did you mean the %s %s? else declare [connector.%s]", r.c.KindOf(other), other, k.Name))
				continue
			}
		}
		for _, other := range r.c.Connectors {
			known := r.declared("connector", other.Name) || len(r.runs[other.Name]) > 1
			if known && other.Name != k.Name && near(k.Name, other.Name) && (alike(k.Name, other.Name) || r.fitsGap(run, k.Name, other)) {
				r.remark(k.Line, fmt.Sprintf("%s is declared nowhere and only the run %q crosses it, while %s has nearly the same name", k.Name, run.Title(), other.Name),
					fmt.Sprintf("did you mean %s? else declare [connector.%s]", other.Name, k.Name))
				break
			}
		}
	}
}

// fitsGap tells whether the cavity that a run has in one connector is free in another, declared one, through which
// other wires from the same place go: C8:3 beside C7:1 and C7:2.
func (r *remarker) fitsGap(run circuits.Run, name string, other circuits.Connector) bool {
	others := r.runs[other.Name]
	if !r.declared("connector", other.Name) || len(others) < 2 {
		return false
	}
	for _, cavity := range r.c.Cavities(name) {
		if slices.Contains(r.c.Cavities(other.Name), cavity) {
			return false
		}
	}
	for _, i := range others {
		path := r.c.Runs[i].Path
		if path[0].Place == run.Path[0].Place || path[len(path)-1].Place == run.Path[len(run.Path)-1].Place {
			return true
		}
	}
	return false
}

// meant is the known name that a name was probably meant to be, "" for none.
func (r *remarker) meant(name string, known []string) string {
	for _, k := range known {
		if k != name && near(name, k) {
			return k
		}
	}
	return ""
}

// near tells whether two names differ by a slip: one letter, or signs that look alike.
func near(a, b string) bool {
	return alike(a, b) || levenshtein.ComputeDistance(strings.ToLower(a), strings.ToLower(b)) <= 1
}

// leadingZeros finds the zeros that C07 has before its number.
var leadingZeros = regexp.MustCompile(`(^|\D)0+(\d)`)

// alike tells whether two names are one name written in two ways, or differ in one letter; C7 and C8 are not alike,
// for numbering is what names differ by in every harness.
func alike(a, b string) bool {
	fold := func(s string) string {
		s = strings.NewReplacer("-", "", "_", "", "#", "", "O", "0", "I", "1", "L", "1").Replace(strings.ToUpper(s))
		return leadingZeros.ReplaceAllString(s, "$1$2")
	}
	if fold(a) == fold(b) {
		return true
	}
	letters := func(s string) string {
		return strings.Map(func(c rune) rune {
			if unicode.IsDigit(c) {
				return -1
			}
			return unicode.ToLower(c)
		}, s)
	}
	digits := func(s string) string {
		return strings.Map(func(c rune) rune {
			if unicode.IsDigit(c) {
				return c
			}
			return -1
		}, s)
	}
	return digits(a) == digits(b) && min(len(letters(a)), len(letters(b))) >= 3 && levenshtein.ComputeDistance(letters(a), letters(b)) == 1
}
