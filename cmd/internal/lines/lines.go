// Package lines breaks texts into lines, whatever these are measured in: columns of a terminal, letters, or millimetres of
// a font. Libraries that do it count columns alone.
package lines

import "strings"

// Width measures a text; the width of two is the sum of their widths.
type Width func(string) float64

// Wrap breaks a text at its spaces into lines of at most that width; there is at least one line, which may be empty. A
// longer word is cut by chop, or stands alone where that is nil. Spaces that do not break (U+00A0) hold words together.
func Wrap(text string, most float64, width Width, chop func(word string) []string) []string {
	var out []string
	line, used, space := "", 0.0, width(" ")
	for _, word := range strings.Split(text, " ") {
		if word == "" {
			continue
		}
		w := width(word)
		if line != "" && used+space+w <= most {
			line, used = line+" "+word, used+space+w
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		if chop != nil && w > most {
			pieces := chop(word)
			out = append(out, pieces[:len(pieces)-1]...)
			word = pieces[len(pieces)-1]
			w = width(word)
		}
		line, used = word, w
	}
	return append(out, line)
}
