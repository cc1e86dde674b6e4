package paper

import (
	"strings"

	"ohmtrail/cmd/internal/lines"
)

// broken breaks a text into lines of at most that width: at its spaces, else behind a sign that ends a part of a name,
// else within a word. Spaces that do not break are plain ones when printed.
func broken(text string, most float64, width lines.Width) []string {
	var out []string
	for _, part := range strings.Split(text, "\n") {
		out = append(out, lines.Wrap(part, most, width, func(word string) []string { return chopped(word, most, width) })...)
	}
	for i := range out {
		out[i] = plainSpaces(out[i])
	}
	return out
}

// chopped cuts a word that is wider than a line: behind a no-break space or one of the signs of names where that keeps
// half the line, else wherever the line is full.
func chopped(word string, most float64, width lines.Width) []string {
	var out []string
	letters := []rune(word)
	for len(letters) > 0 {
		n, used, good := 0, 0.0, 0
		for n < len(letters) {
			w := width(string(letters[n]))
			if n > 0 && used+w > most {
				break
			}
			used += w
			n++
			if strings.ContainsRune("\u00a0>:/-–_.,;", letters[n-1]) && used >= most/2 {
				good = n
			}
		}
		if n < len(letters) && good > 0 {
			n = good
		}
		out = append(out, string(letters[:n]))
		letters = letters[n:]
	}
	return out
}

// widths shares a width out among columns: each gets its longest word where that is possible, and the rest goes to
// those whose text would like to be wider.
func widths(total float64, least, likes []float64) []float64 {
	out := make([]float64, len(least))
	sumLeast, sumLikes := 0.0, 0.0
	for i := range least {
		likes[i] = max(likes[i], least[i])
		sumLeast += least[i]
		sumLikes += likes[i]
	}
	for i := range out {
		switch {
		case sumLeast >= total:
			out[i] = least[i] * total / sumLeast
		case sumLikes <= total:
			out[i] = likes[i] * total / sumLikes
		default:
			out[i] = least[i] + (total-sumLeast)*(likes[i]-least[i])/(sumLikes-sumLeast)
		}
	}
	return out
}
