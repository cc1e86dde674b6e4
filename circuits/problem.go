package circuits

import (
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// Problem is one thing wrong, or odd, in a user's file: where, what, and what to do about it. It becomes a sentence
// only when printed.
type Problem struct {
	File    string
	Line    int    // 1-based; 0 where the file as a whole is meant
	Where   string // the place in the file's own words, such as `run "return"`; may be ""
	What    string
	Hint    string // what to do; may be ""
	Warning bool   // odd, but usable
}

// Error is the one-line form: FILE:LINE: WHERE: WHAT; HINT.
func (p Problem) Error() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d", p.Line)
	}
	b.WriteString(": ")
	if p.Warning {
		b.WriteString("warning: ")
	}
	if p.Where != "" {
		b.WriteString(p.Where + ": ")
	}
	b.WriteString(p.What)
	if p.Hint != "" {
		b.WriteString("; " + p.Hint)
	}
	return b.String()
}

// Problems are all that was found in a file, in line order.
type Problems []Problem

// Error joins the problems, one a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Errors are the problems that make the file unusable.
func (ps Problems) Errors() Problems { return ps.filter(false) }

// Warnings are the problems that do not.
func (ps Problems) Warnings() Problems { return ps.filter(true) }

func (ps Problems) filter(warning bool) Problems {
	var out Problems
	for _, p := range ps {
		if p.Warning == warning {
			out = append(out, p)
		}
	}
	return out
}

// sorted puts the problems in line order, errors of a line before its warnings, and drops repetitions.
func (ps Problems) sorted() Problems {
	sort.SliceStable(ps, func(i, j int) bool {
		if ps[i].Line != ps[j].Line {
			return ps[i].Line < ps[j].Line
		}
		return !ps[i].Warning && ps[j].Warning
	})
	var out Problems
	for i, p := range ps {
		if i == 0 || p != ps[i-1] {
			out = append(out, p)
		}
	}
	return out
}

// nearestWord is the known word that a misspelt one was probably meant for, "" where none is near. Fewer than half of
// its letters may be wrong, two at the most; two neighbours that changed places are one mistake in a word of any length.
func nearestWord(word string, known []string) string {
	best, distance := "", 3
	for _, k := range known {
		a, b := strings.ToLower(word), strings.ToLower(k)
		d := levenshtein.ComputeDistance(a, b)
		longer := max(utf8.RuneCountInString(a), utf8.RuneCountInString(b))
		near := 2*d < max(longer, 1)
		if neighboursSwapped(a, b) {
			d, near = 1, true
		}
		if near && d < distance {
			best, distance = k, d
		}
	}
	return best
}

// neighboursSwapped tells whether two words differ by one pair of letters that changed places.
func neighboursSwapped(a, b string) bool {
	if len(a) != len(b) || a == b {
		return false
	}
	i := 0
	for a[i] == b[i] {
		i++
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}

// didYouMean is a hint with the nearest of the known words, or with all of them where none is near and they are few.
func didYouMean(word string, known []string) string {
	if best := nearestWord(word, known); best != "" {
		return fmt.Sprintf("did you mean %s?", best)
	}
	if len(known) == 0 || len(known) > 24 {
		return ""
	}
	return "known here: " + strings.Join(known, ", ")
}

// itHas lists the cavities of a place: a wrong one among them has no nearest.
func itHas(cavities []string) string {
	switch {
	case len(cavities) == 0:
		return "it has none"
	case len(cavities) > 40:
		return fmt.Sprintf("it has %s, … %s", strings.Join(cavities[:40], ", "), cavities[len(cavities)-1])
	}
	return "it has " + strings.Join(cavities, ", ")
}

// an is a word with its article: a module, an in-line connector, an rtd.
func an(word string) string {
	if word != "" && strings.ContainsAny(word[:1], "aeiou") || word == string(RTD) {
		return "an " + word
	}
	return "a " + word
}
