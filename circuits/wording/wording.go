// Package wording has the turns of phrase that problems of a file are told with: what a misspelt word was probably meant
// to be, articles, counts, lists of cavities.
package wording

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// Nearest is the known word that a misspelt one was probably meant for, "" where none is near. Fewer than half of
// its letters may be wrong, two at the most; two neighbours that changed places are one mistake in a word of any length.
func Nearest(word string, known []string) string {
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

// DidYouMean is a hint with the nearest of the known words, or with all of them where none is near and they are few.
func DidYouMean(word string, known []string) string {
	if best := Nearest(word, known); best != "" {
		return fmt.Sprintf("did you mean %s?", best)
	}
	if len(known) == 0 || len(known) > 24 {
		return ""
	}
	return "known here: " + strings.Join(known, ", ")
}

// ItHas lists the cavities of a place: a wrong one among them has no nearest.
func ItHas(cavities []string) string {
	switch {
	case len(cavities) == 0:
		return "it has none"
	case len(cavities) > 40:
		return fmt.Sprintf("it has %s, … %s", strings.Join(cavities[:40], ", "), cavities[len(cavities)-1])
	}
	return "it has " + strings.Join(cavities, ", ")
}

// An is a word with its article: a module, an in-line connector, an rtd.
func An(word string) string {
	if word != "" && strings.ContainsAny(word[:1], "aeiou") || word == "rtd" {
		return "an " + word
	}
	return "a " + word
}

// After is a hint behind a semicolon; nothing where there is none.
func After(hint string) string {
	if hint == "" {
		return ""
	}
	return "; " + hint
}

// Count words a number of things.
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
