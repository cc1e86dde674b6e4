package circuits

import (
	"fmt"
	"sort"
	"strings"
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

// Sorted puts the problems in line order, errors of a line before its warnings, and drops repetitions.
func (ps Problems) Sorted() Problems {
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
