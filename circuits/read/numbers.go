package read

import (
	"fmt"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/models"
)

// readNumbers reads the numbers of a part by its table: each plainly, as [low, high], or not at all. It gives the keys
// that a file may use for them, and the widths.
func readNumbers[P any](c cursor, p *P, numbers []circuits.Number[P]) (keys []string, widths []models.Width) {
	widths = make([]models.Width, len(numbers))
	plain := make([]bool, len(numbers))
	ranged := make([]bool, len(numbers))
	for i, n := range numbers {
		if n.Hidden {
			continue
		}
		keys = append(keys, n.Key)
		n.Set(p, n.Nominal(p))
		sub, given := c.key(n.Key)
		if !given {
			continue
		}
		take := cursor.number
		if n.Ohms {
			take = cursor.ohms
		}
		if sub.isList() && len(sub.list()) == 2 && !n.Alone {
			if w, ok := sub.span(n.Allowed, n.ByLog, take); ok {
				widths[i], ranged[i] = w, true
				n.Set(p, w.Middle())
			}
			continue
		}
		n.Set(p, c.read(n.Key, n.Nominal(p), n.Allowed, take))
		plain[i] = true
	}
	for i, n := range numbers { // now that what their widths depend on is known
		if !ranged[i] {
			widths[i] = n.Width(p, plain[i])
		}
	}
	return keys, widths
}

// readNumber reads the one number of what has one, and gives its width.
func readNumber[P any](c cursor, p *P, numbers []circuits.Number[P]) models.Width {
	_, widths := readNumbers(c, p, numbers)
	return widths[0]
}

// span reads a list of two: anywhere between.
func (c cursor) span(allowed circuits.Bounds, byLog bool, take func(cursor) (float64, bool)) (models.Width, bool) {
	ends := c.list()
	low, okLow := take(ends[0])
	high, okHigh := take(ends[1])
	switch {
	case !okLow || !okHigh:
		return models.Width{}, false
	case low > high:
		c.fail(fmt.Sprintf("[%g, %g] is in falling order", low, high), "write the lower number first")
	case low == high:
		c.fail(fmt.Sprintf("[%g, %g] has no width", low, high), "write the one number")
	case !allowed.Holds(low):
		ends[0].fail(fmt.Sprintf("%g is impossible here", low), "give a value "+allowed.String())
	case !allowed.Holds(high):
		ends[1].fail(fmt.Sprintf("%g is impossible here", high), "give a value "+allowed.String())
	default:
		return models.Evenly(low, high, byLog), true
	}
	return models.Width{}, false
}

// lacking reports the numbers that a part cannot do without.
func lacking[P any](c cursor, kind string, numbers []circuits.Number[P]) {
	for _, n := range numbers {
		if n.Needed != "" && c.lacks(n.Key) {
			c.fail(fmt.Sprintf("%s needs %s", wording.An(kind), n.Key), fmt.Sprintf("write %s = %s", n.Key, n.Needed))
		}
	}
}
