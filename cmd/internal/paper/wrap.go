package paper

import "strings"

// gauge measures text of one face.
type gauge func(string) float64

// broken breaks a text into lines of at most that width: at its spaces, else behind a sign that ends a part of a name,
// else within a word. Spaces that do not break (U+00A0) hold words together, and are plain ones when printed.
func broken(text string, most float64, width gauge) []string {
	var out []string
	for _, part := range strings.Split(text, "\n") {
		line, used := "", 0.0
		space := width(" ")
		for _, word := range strings.Split(part, " ") {
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
			if w > most {
				pieces := chopped(word, most, width)
				out = append(out, pieces[:len(pieces)-1]...)
				word = pieces[len(pieces)-1]
				w = width(word)
			}
			line, used = word, w
		}
		out = append(out, line)
	}
	for i := range out {
		out[i] = strings.ReplaceAll(out[i], "\u00a0", " ")
	}
	return out
}

// chopped cuts a word that is wider than a line: behind a no-break space or one of the signs of names where that keeps
// half the line, else wherever the line is full.
func chopped(word string, most float64, width gauge) []string {
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
