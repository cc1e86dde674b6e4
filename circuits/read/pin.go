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
	kind, ok := kindOf(c, "pin", circuits.PinKinds())
	if !ok {
		return p
	}
	p.Kind = circuits.PinKind(kind)
	keys := []string{"kind", "label"}
	number := func(to *float64, key string, def float64, b bounds) {
		keys = append(keys, key)
		*to = c.numberOr(key, def, b)
	}
	ohms := func(to *float64, key string, def float64, b bounds) {
		keys = append(keys, key)
		*to = c.ohmsOr(key, def, b)
	}
	railVolts := bounds{0, circuits.MaxVolts, false}
	p.Label = c.textOr("label", "")
	switch p.Kind {
	case circuits.PinReference:
		number(&p.Volts, "volts", 5, bounds{0, circuits.MaxVolts, true})
		number(&p.TolerancePct, "tolerance_pct", 1, percent)
		ohms(&p.SourceOhms, "source_ohms", 0.2, notNegative)
		number(&p.LimitMA, "limit_ma", 80, positive)
		ohms(&p.LeakOhms, "leak_ohms", 50e3, positive)
	case circuits.PinInput:
		ohms(&p.PullUpOhms, "pull_up_ohms", 0, positive)
		number(&p.PullUpVolts, "pull_up_volts", 5, railVolts)
		ohms(&p.PullDownOhms, "pull_down_ohms", 0, positive)
		number(&p.TolerancePct, "tolerance_pct", 5, percent)
		ohms(&p.InputOhms, "input_ohms", 1e6, positive)
		keys = append(keys, "range_volts", "bits", "below", "above")
		p.RangeVolts = c.pairOr("range_volts", [2]float64{0, 5})
		p.Bits = bitsOr(c, 10)
		p.Below, p.Above = limit(c, "below"), limit(c, "above")
	case circuits.PinReturn:
		ohms(&p.Ohms, "ohms", 0.02, notNegative)
		number(&p.OffsetVolts, "offset_volts", 0, bounds{-circuits.MaxVolts, circuits.MaxVolts, false})
	case circuits.PinLowSide:
		ohms(&p.OnOhms, "on_ohms", 0.2, notNegative)
		ohms(&p.SenseOhms, "sense_ohms", 10e3, positive)
		number(&p.SenseVolts, "sense_volts", 5, railVolts)
		p.On, keys = c.boolOr("on", false), append(keys, "on")
	case circuits.PinHighSide:
		ohms(&p.OnOhms, "on_ohms", 0.05, notNegative)
		p.On, keys = c.boolOr("on", true), append(keys, "on")
	case circuits.PinCANHigh, circuits.PinCANLow:
		number(&p.BiasVolts, "bias_volts", 2.5, railVolts)
		ohms(&p.BiasOhms, "bias_ohms", 15e3, positive)
	case circuits.PinLIN:
		p.Commander, keys = c.boolOr("commander", false), append(keys, "commander")
		def := 30e3
		if p.Commander {
			def = 1e3
		}
		ohms(&p.LINOhms, "pull_up_ohms", def, positive)
	}
	c.table(keys...)
	return p
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
	v := c.numberOr("bits", float64(def), bounds{1, 24, false})
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
