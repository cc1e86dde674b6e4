package lines

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

func letters(s string) float64 { return float64(utf8.RuneCountInString(s)) }

func TestWrap(t *testing.T) {
	halves := func(word string) []string { return []string{word[:len(word)/2], word[len(word)/2:]} }
	for _, c := range []struct {
		text string
		most float64
		chop func(string) []string
		want []string
	}{
		{"", 5, nil, []string{""}},
		{"one two three", 7, nil, []string{"one two", "three"}},
		{"one  two ", 99, nil, []string{"one two"}},
		{"4.98\u00a0V of 5\u00a0V", 9, nil, []string{"4.98\u00a0V of", "5\u00a0V"}},
		{"a longest b", 4, nil, []string{"a", "longest", "b"}},
		{"a longest b", 6, halves, []string{"a", "lon", "gest b"}},
	} {
		if got := Wrap(c.text, c.most, letters, c.chop); !slices.Equal(got, c.want) {
			t.Errorf("%q in %g letters: %q, want %q", c.text, c.most, got, c.want)
		}
	}
}

// FuzzWrap: nothing of a text is lost but spaces, and no line is too long that has a space.
func FuzzWrap(f *testing.F) {
	f.Add("one two three", 7.0)
	f.Fuzz(func(t *testing.T, text string, most float64) {
		got := Wrap(text, most, letters, nil)
		if strings.ReplaceAll(strings.Join(got, ""), " ", "") != strings.ReplaceAll(text, " ", "") {
			t.Errorf("%q became %q", text, got)
		}
		for _, l := range got {
			if letters(l) > most && strings.Contains(l, " ") {
				t.Errorf("%q is longer than %g", l, most)
			}
		}
	})
}
