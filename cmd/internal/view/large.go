package view

import "strings"

// glyphs are letters five lines high, for values that are read from across a machine.
var glyphs = map[rune][5]string{
	'0': {"█████", "█   █", "█   █", "█   █", "█████"},
	'1': {"  █  ", " ██  ", "  █  ", "  █  ", " ███ "},
	'2': {"█████", "    █", "█████", "█    ", "█████"},
	'3': {"█████", "    █", " ████", "    █", "█████"},
	'4': {"█   █", "█   █", "█████", "    █", "    █"},
	'5': {"█████", "█    ", "█████", "    █", "█████"},
	'6': {"█████", "█    ", "█████", "█   █", "█████"},
	'7': {"█████", "    █", "   █ ", "  █  ", "  █  "},
	'8': {"█████", "█   █", "█████", "█   █", "█████"},
	'9': {"█████", "█   █", "█████", "    █", "█████"},
	'.': {"  ", "  ", "  ", "  ", "██"},
	'-': {"     ", "     ", "█████", "     ", "     "},
	'V': {"█   █", "█   █", "█   █", " █ █ ", "  █  "},
	'A': {" ███ ", "█   █", "█████", "█   █", "█   █"},
	'O': {" ███ ", "█   █", "█   █", "█   █", " ███ "},
	'L': {"█    ", "█    ", "█    ", "█    ", "█████"},
	'm': {"       ", "██████ ", "█  █  █", "█  █  █", "█  █  █"},
	'k': {"█   ", "█  █", "███ ", "█ █ ", "█  █"},
	'M': {"█   █", "██ ██", "█ █ █", "█   █", "█   █"},
	'Ω': {" ███ ", "█   █", "█   █", " █ █ ", "██ ██"},
	'µ': {"     ", "█   █", "█   █", "████ ", "█    "},
	' ': {"   ", "   ", "   ", "   ", "   "},
}

// Large sets a value in letters five lines high; a letter that has none is left out.
func Large(text string) string {
	var lines [5]strings.Builder
	for _, r := range strings.ReplaceAll(text, nbsp, " ") {
		g, ok := glyphs[r]
		if !ok {
			continue
		}
		for i := range lines {
			lines[i].WriteString(g[i] + "  ")
		}
	}
	var b strings.Builder
	for i := range lines {
		b.WriteString(strings.TrimRight(lines[i].String(), " ") + "\n")
	}
	return b.String()
}

// Plainly is words with plain spaces only.
func Plainly(s string) string { return spaced(s) }
