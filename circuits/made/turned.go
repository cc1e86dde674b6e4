package made

import (
	"regexp"
	"slices"
	"strings"
)

var runList = regexp.MustCompile(`^(path|color|size_mm2|awg|length_m|risk)(\s*=\s*)\[([^\]]*)\](.*)$`)

// Turned is the text of a circuit file with some of its runs written from the other end: path, and whatever is given one a
// wire. The runs are counted from 0; lists stand on one line each.
func Turned(text string, turn func(run int) bool) string {
	lines := strings.Split(text, "\n")
	run, within := -1, false
	for i, line := range lines {
		if strings.HasPrefix(line, "[") {
			if within = line == "[[run]]"; within {
				run++
			}
		}
		if m := runList.FindStringSubmatch(line); within && m != nil && turn(run) {
			items := strings.Split(m[3], ",")
			for k := range items {
				items[k] = strings.TrimSpace(items[k])
			}
			slices.Reverse(items)
			lines[i] = m[1] + m[2] + "[" + strings.Join(items, ", ") + "]" + m[4]
		}
	}
	return strings.Join(lines, "\n")
}
