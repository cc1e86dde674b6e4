package read

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
)

// parsePin reads one pin; the keys allowed are those of its kind. A pin at fault is given with what could be read, so
// that runs to it resolve.
func parsePin(module, cavity string, c cursor) circuits.Pin {
	p := circuits.Pin{Module: module, Cavity: cavity, Line: c.at()}
	if _, isTable := c.value.(map[string]any); !isTable {
		c.fail("must be a table, not "+describe(c.value), fmt.Sprintf("write pins.%s = { kind = \"input\" }", cavity))
		return p
	}
	word, ok := kindOf(c, "pin", circuits.PinKinds())
	if !ok {
		return p
	}
	p.Kind = circuits.PinKind(word)
	p.Label = c.textOr("label", "")
	kind := p.Kind.Type()
	for _, key := range kind.Keys { // first: widths depend on them
		pinKeys[key](&p, c)
	}
	keys, widths := readNumbers(c, &p, kind.Numbers)
	p.Widths = widths
	c.table(slices.Concat([]string{"kind", "label"}, keys, kind.Keys)...)
	return p
}

// pinKeys read the keys of pins that are no numbers.
var pinKeys = map[string]func(*circuits.Pin, cursor){
	"range_volts": func(p *circuits.Pin, c cursor) { p.RangeVolts = c.pairOr("range_volts", [2]float64{0, 5}) },
	"bits":        func(p *circuits.Pin, c cursor) { p.Bits = bitsOr(c, 10) },
	"below":       func(p *circuits.Pin, c cursor) { p.Below = limit(c, "below") },
	"above":       func(p *circuits.Pin, c cursor) { p.Above = limit(c, "above") },
	"on":          func(p *circuits.Pin, c cursor) { p.On = c.boolOr("on", p.Kind == circuits.PinHighSide) },
	"commander":   func(p *circuits.Pin, c cursor) { p.Commander = c.boolOr("commander", false) },
}

// kindOf reads the kind of a pin or device.
func kindOf(c cursor, what string, known []string) (string, bool) {
	k, given := c.key("kind")
	if !given {
		for _, near := range sortedKeys(c.value.(map[string]any)) {
			if wording.Nearest(near, []string{"kind"}) != "" {
				k, _ = c.key(near)
				k.problem(false, c.name(), fmt.Sprintf("unknown key %q", near), "did you mean kind?")
				return "", false
			}
		}
		c.fail(fmt.Sprintf("the %s has no kind", what), `write kind = "…" with one of `+strings.Join(known, ", "))
		return "", false
	}
	kind, ok := k.text()
	if ok && !slices.Contains(known, kind) {
		k.fail(fmt.Sprintf("there is no %s of kind %q", what, kind), wording.DidYouMean(kind, known))
		return "", false
	}
	return kind, ok
}

// bitsOr reads the bits of a converter.
func bitsOr(c cursor, def int) int {
	v := c.numberOr("bits", float64(def), circuits.Bounds{Low: 1, High: 24})
	if v != math.Trunc(v) {
		sub, _ := c.key("bits")
		sub.fail(fmt.Sprintf("%g bits are impossible", v), "give a whole number")
		return def
	}
	return int(v)
}

// limit reads { volts, code }; nil where the key is absent or wrong.
func limit(c cursor, key string) *circuits.Limit {
	l, ok := c.key(key)
	if !ok || !l.table("volts", "code") {
		return nil
	}
	v, given := l.key("volts")
	if !given {
		if l.lacks("volts") {
			l.fail("the limit has no volts", `write { volts = 4.75, code = "…" }`)
		}
		return nil
	}
	volts, ok := v.number()
	if !ok {
		return nil
	}
	return &circuits.Limit{Volts: volts, Code: l.textOr("code", "")}
}
