package circuittext

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Quote writes a text as a TOML basic string. A line's end becomes \n, other control characters \u escapes, bytes that are no UTF-8 the
// replacement character.
func Quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "�") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// Key writes a name as a TOML key: bare where TOML allows it, else in quotes.
func Key(s string) string {
	bare := func(r rune) bool {
		return r == '_' || r == '-' || r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z'
	}
	if s != "" && strings.IndexFunc(s, func(r rune) bool { return !bare(r) }) < 0 {
		return s
	}
	return Quote(s)
}

// Number writes a number with as many digits as it takes to read the same number back.
func Number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// Comment makes a text fit for one comment line: no line break and no control character can end it early.
func Comment(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "�"))
	return strings.Join(strings.Fields(s), " ")
}

// list writes a TOML array of already written values.
func list(values []string) string { return "[" + strings.Join(values, ", ") + "]" }

// oneOrList writes one value where all are equal, else a list.
func oneOrList(values []string) string {
	for _, v := range values {
		if v != values[0] {
			return list(values)
		}
	}
	return values[0]
}

// CompareCavities orders cavities as a person counts them: A2 before A10, plain numbers before letters.
func CompareCavities(a, b string) int {
	for a != "" && b != "" {
		na, nb := leadingDigits(a), leadingDigits(b)
		switch {
		case na > 0 && nb > 0:
			x, y := strings.TrimLeft(a[:na], "0"), strings.TrimLeft(b[:nb], "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[na:], b[nb:]
		case a[0] != b[0]:
			return cmp.Compare(a[0], b[0])
		default:
			a, b = a[1:], b[1:]
		}
	}
	return cmp.Compare(len(a), len(b))
}

func leadingDigits(s string) int {
	return len(s) - len(strings.TrimLeft(s, "0123456789"))
}
