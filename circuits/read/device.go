package read

import (
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/models"
)

func (p *circuitParser) device(name string, c cursor) {
	d := circuits.Device{Name: name, Line: c.at()}
	p.register(name, circuits.ElementDevice, len(p.c.Devices), c)
	p.contactsOf(name, c)
	if _, isTable := c.value.(map[string]any); !isTable {
		c.fail("must be a table, not "+describe(c.value), fmt.Sprintf("write [device.%s] and its keys below", name))
	} else if kind, ok := kindOf(c, "device", circuits.DeviceKinds()); ok {
		d.Kind = circuits.DeviceKind(kind)
		parameters(&d, c)
		terminals(&d, c)
	}
	p.doubtful[name] = len(d.Terminals) != len(d.Kind.Roles()) || d.Kind == ""
	p.c.Devices = append(p.c.Devices, d)
}

// terminals reads which cavity each terminal of the device has.
func terminals(d *circuits.Device, c cursor) {
	roles := d.Kind.Roles()
	t, ok := c.key("terminals")
	if !ok {
		if c.lacks("terminals") {
			c.fail("the device has no terminals", fmt.Sprintf("write terminals = { %s }, with the cavities of its connector", exampleTerminals(roles)))
		}
		return
	}
	if !t.table(roles...) {
		return
	}
	seen := map[string]string{}
	for _, role := range roles {
		sub, ok := t.key(role)
		if !ok {
			if t.lacks(role) {
				t.fail(fmt.Sprintf("%s has a terminal %q too", wording.An(string(d.Kind)), role), fmt.Sprintf("write terminals = { %s }, with the cavities of its connector", exampleTerminals(roles)))
			}
			continue
		}
		cavity, ok := sub.text()
		if !ok {
			continue
		}
		if !circuits.ValidName(cavity) {
			sub.fail(fmt.Sprintf("%q cannot be a cavity", cavity), "use letters and digits, such as 1")
			continue
		}
		if other, taken := seen[cavity]; taken {
			sub.fail(fmt.Sprintf("cavity %s is terminal %q already", cavity, other), "give each terminal a cavity of its own")
			continue
		}
		seen[cavity] = role
		d.Terminals = append(d.Terminals, circuits.Terminal{Role: role, Cavity: cavity})
	}
}

// exampleTerminals shows the roles of a kind with cavities 1, 2, …
func exampleTerminals(roles []string) string {
	var out []string
	for i, role := range roles {
		out = append(out, fmt.Sprintf("%s = \"%d\"", role, i+1))
	}
	return strings.Join(out, ", ")
}

// parameters reads what belongs to the device's kind and refuses every other key.
func parameters(d *circuits.Device, c cursor) {
	kind := d.Kind.Type()
	d.Label = c.textOr("label", "")
	d.AccessMin = c.numberOr("access_min", 2, circuits.NotNegative)
	keys := append([]string{"kind", "label", "access_min", "terminals"}, kind.Keys...)
	law := models.Width{}
	if d.Kind == circuits.Thermistor {
		law = thermistorLaw(d, c)
	}
	numberKeys, widths := readNumbers(c, d, kind.Numbers)
	if d.Widths = widths; !law.Exact() {
		d.Widths[slices.IndexFunc(kind.Numbers, func(n circuits.Number[circuits.Device]) bool { return n.Key == "ohms_25" })] = law
	}
	keys = append(keys, numberKeys...)
	if kind.Stimulus != nil {
		keys = append(keys, "set", "range", "reads")
		d.Range = kind.Stimulus.Range
		stimulus(d, c)
	}
	c.table(append(keys, "contact_ohms")...)
	lacking(c, string(d.Kind), kind.Numbers)
}

// stimulus reads set and range, and what they mean in the sensor's own unit.
func stimulus(d *circuits.Device, c cursor) {
	if r, given := c.key("range"); given {
		d.Range = c.pairOr("range", d.Range)
		limits := d.Kind.Type().Stimulus.Possible
		if !limits.Holds(d.Range[0]) || !limits.Holds(d.Range[1]) {
			r.fail(fmt.Sprintf("[%g, %g] is impossible for %s", d.Range[0], d.Range[1], wording.An(string(d.Kind))), "give values "+limits.String())
		}
	}
	if s, given := c.key("set"); given {
		d.Set, d.HasSet = readSet(d, s)
	}
	if r, given := c.key("reads"); given {
		reads(d, r)
	}
}

// reads reads what a stimulus means: low and high for a stimulus of 0 and 1 (of a current loop: for the
// ends of its range), or a table.
func reads(d *circuits.Device, r cursor) {
	if !r.table("low", "high", "unit", "table") {
		return
	}
	const example = `write reads = { low = 0, high = 250, unit = "kPa" }`
	in := circuits.Reads{Unit: r.textOr("unit", "")}
	if in.Unit == "" && r.lacks("unit") {
		r.fail("reads has no unit", example)
	}
	t, hasTable := r.key("table")
	low, hasLow := r.key("low")
	high, hasHigh := r.key("high")
	switch {
	case hasTable && (hasLow || hasHigh):
		r.first("low", "high").fail("reads has a table already", "remove the table, or low and high")
	case hasTable:
		rows, ok := pairs(t, cursor.number)
		if !ok {
			return
		}
		if len(rows) < 2 {
			t.fail("the table needs two rows or more", "write table = [[0.1, 0], [0.9, 250]]")
			return
		}
		for i := 1; i < len(rows); i++ {
			if rows[i][0] <= rows[i-1][0] {
				t.list()[i].fail(fmt.Sprintf("%g comes after %g: the stimuli must rise from row to row", rows[i][0], rows[i-1][0]), "sort the rows")
				return
			}
		}
		in.Table = rows
	case hasLow && hasHigh:
		from, okFrom := low.number()
		to, okTo := high.number()
		if !okFrom || !okTo {
			return
		}
		ends := [2]float64{0, 1}
		if d.Kind == circuits.CurrentLoop {
			ends = d.Range // 4 to 20 mA
		} else if d.Kind != circuits.Potentiometer && d.Kind != circuits.Ratiometric && !d.Kind.TwoState() {
			r.first("low", "high").fail(fmt.Sprintf("low and high say what a stimulus of 0 and 1 means, and %s is set in a unit of its own", wording.An(string(d.Kind))), "write a table = [[stimulus, value], …]")
			return
		}
		in.Table = [][2]float64{{ends[0], from}, {ends[1], to}}
	case r.lacks("low") && r.lacks("high"):
		r.fail("reads has neither low and high nor a table", example)
	case r.lacks("low"):
		r.fail("reads has a high and no low", example)
	case r.lacks("high"):
		r.fail("reads has a low and no high", example)
	}
	if in.Unit != "" && in.Table != nil {
		d.Reads = &in
	}
}

// readSet reads a stimulus of this device and checks that it is possible.
func readSet(d *circuits.Device, s cursor) (float64, bool) {
	v, ok := s.number()
	if !ok {
		return 0, false
	}
	if hint := impossible(d, v); hint != "" {
		s.fail(fmt.Sprintf("%s cannot be set to %g", wording.An(string(d.Kind)), v), hint)
		return 0, false
	}
	return v, true
}

// impossible says what a stimulus must be where v cannot be one.
func impossible(d *circuits.Device, v float64) string {
	if d.Kind.TwoState() {
		if v != 0 && v != 1 {
			return "give 0 or 1"
		}
		return ""
	}
	if limits := d.Kind.Type().Stimulus.Possible; !limits.Holds(v) {
		return "give a value " + limits.String()
	}
	return ""
}

// thermistorLaw reads either a table or ohms_25 with beta, and gives the width of an ohms_25 that is one.
func thermistorLaw(d *circuits.Device, c cursor) (width models.Width) {
	t, hasTable := c.key("table")
	_, ohms25 := c.key("ohms_25")
	_, beta := c.key("beta")
	const either = "write table = [[0, 5896], [100, 187]], or ohms_25 = 2000 and beta = 3500"
	switch {
	case hasTable && !ohms25 && !beta:
		rows, ok := pairs(t, cursor.ohms)
		if !ok {
			return width
		}
		if len(rows) < 2 {
			t.fail("the table needs two rows or more", "write table = [[0, 5896], [100, 187]]")
			return width
		}
		var table []models.CelsiusOhms
		for i, row := range rows {
			at := t.list()[i]
			switch {
			case row[1] <= 0:
				at.fail(fmt.Sprintf("%g Ω is impossible here", row[1]), "a row is [°C, ohms], with ohms greater than 0")
				return width
			case !circuits.Celsius.Holds(row[0]):
				at.fail(fmt.Sprintf("%g °C is impossible", row[0]), "a row is [°C, ohms], with °C "+circuits.Celsius.String())
				return width
			case i > 0 && row[0] <= rows[i-1][0]:
				at.fail(fmt.Sprintf("%g °C comes after %g °C: the temperatures must rise from row to row", row[0], rows[i-1][0]), "sort the rows")
				return width
			}
			table = append(table, models.CelsiusOhms{Celsius: row[0], Ohms: row[1]})
		}
		d.Table = table
	case !hasTable && ohms25 && beta:
		d.Ohms25 = 1
		if o, _ := c.key("ohms_25"); !o.isList() || len(o.list()) != 2 {
			d.Ohms25 = c.ohmsOr("ohms_25", 1, circuits.Positive)
		} else if w, ok := o.span(circuits.Positive, true, cursor.ohms); ok {
			d.Ohms25, width = w.Middle(), w
		}
		d.Beta = c.numberOr("beta", 1, circuits.Positive)
	case hasTable:
		c.first("ohms_25", "beta").fail("the thermistor has a table already", "remove the table, or ohms_25 and beta")
	case ohms25 || beta:
		c.first("ohms_25", "beta").fail("ohms_25 and beta belong together", either)
	default:
		c.fail("a thermistor needs either a table or ohms_25 with beta", either)
	}
	return width
}

// pairs reads a list of pairs of a number and what take reads; ok is false where one is wrong.
func pairs(c cursor, take func(cursor) (float64, bool)) ([][2]float64, bool) {
	if !c.isList() {
		c.fail("must be a list of pairs of numbers, not "+describe(c.value), "write [[0, 5896], [100, 187]]")
		return nil, false
	}
	var out [][2]float64
	for _, row := range c.list() {
		r := row.list()
		if !row.isList() || len(r) != 2 {
			row.fail("each row must be a pair of numbers, not "+describe(row.value), "write [25, 2000]")
			return out, false
		}
		a, okA := r[0].number()
		b, okB := take(r[1])
		if !okA || !okB {
			return out, false
		}
		out = append(out, [2]float64{a, b})
	}
	return out, true
}
