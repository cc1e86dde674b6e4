package circuits

import (
	"fmt"
	"strings"

	"ohmtrail/models"
)

// celsius bounds a temperature: nothing is colder than absolute zero.
var celsius = bounds{-models.ZeroCelsius, 3000, true}

func (p *circuitParser) device(name string, c cursor) {
	d := Device{Name: name, Line: c.at()}
	p.register(name, isDevice, len(p.c.Devices), c)
	if _, isTable := c.value.(map[string]any); !isTable {
		c.fail("must be a table, not "+describe(c.value), fmt.Sprintf("write [device.%s] and its keys below", name))
	} else if kind, ok := kindOf(c, "device", DeviceKinds()); ok {
		d.Kind = DeviceKind(kind)
		d.parameters(c)
		d.terminals(c)
	}
	p.doubtful[name] = len(d.Terminals) != len(d.Kind.Roles()) || d.Kind == ""
	p.c.Devices = append(p.c.Devices, d)
}

// terminals reads which cavity each terminal of the device has.
func (d *Device) terminals(c cursor) {
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
				t.fail(fmt.Sprintf("%s has a terminal %q too", an(string(d.Kind)), role), fmt.Sprintf("write terminals = { %s }, with the cavities of its connector", exampleTerminals(roles)))
			}
			continue
		}
		cavity, ok := sub.text()
		if !ok {
			continue
		}
		if !validName(cavity) {
			sub.fail(fmt.Sprintf("%q cannot be a cavity", cavity), "use letters and digits, such as 1")
			continue
		}
		if other, taken := seen[cavity]; taken {
			sub.fail(fmt.Sprintf("cavity %s is terminal %q already", cavity, other), "give each terminal a cavity of its own")
			continue
		}
		seen[cavity] = role
		d.Terminals = append(d.Terminals, Terminal{Role: role, Cavity: cavity})
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
func (d *Device) parameters(c cursor) {
	keys := []string{"kind", "label", "access_min", "terminals"}
	number := func(to *float64, key string, def float64, b bounds) {
		keys = append(keys, key)
		*to = c.numberOr(key, def, b)
	}
	ohms := func(to *float64, key string, def float64, b bounds) {
		keys = append(keys, key)
		*to = c.ohmsOr(key, def, b)
	}
	var needs []string // keys without a default
	needed := func(to *float64, key string) {
		needs = append(needs, key)
		ohms(to, key, 1, positive)
	}
	d.Label = c.textOr("label", "")
	d.AccessMin = c.numberOr("access_min", 2, notNegative)
	switch d.Kind {
	case Resistor:
		needed(&d.Ohms, "ohms")
		number(&d.TolerancePct, "tolerance_pct", 5, percent)
	case Load:
		needed(&d.Ohms, "ohms")
		number(&d.TolerancePct, "tolerance_pct", 10, percent)
	case Thermistor:
		d.Range = [2]float64{-20, 110}
		keys = append(keys, "table", "ohms_25", "beta")
		d.thermistorLaw(c)
		number(&d.TolerancePct, "tolerance_pct", 5, percent)
	case RTD:
		d.Range = [2]float64{-40, 300}
		ohms(&d.Ohms0, "ohms_0", 100, positive)
	case Potentiometer:
		d.Range = [2]float64{0.05, 0.95}
		needed(&d.Ohms, "ohms")
		number(&d.TolerancePct, "tolerance_pct", 20, percent)
		ohms(&d.WiperOhms, "wiper_ohms", 100, notNegative)
	case Ratiometric:
		d.Range = [2]float64{0, 1}
		number(&d.Low, "low", 0.1, share)
		number(&d.High, "high", 0.9, share)
		ohms(&d.SupplyOhms, "supply_ohms", 1000, positive)
		ohms(&d.OutputOhms, "output_ohms", 100, positive)
		number(&d.MinSupply, "min_supply_volts", 4, notNegative)
		ohms(&d.UnpoweredOhms, "unpowered_ohms", 10e3, positive)
		number(&d.AccuracyPct, "accuracy_pct", 1.5, percent)
	case Switching:
		d.Range = [2]float64{0, 1}
		ohms(&d.SupplyOhms, "supply_ohms", 2000, positive)
		ohms(&d.OnOhms, "on_ohms", 40, notNegative)
		number(&d.MinSupply, "min_supply_volts", 3.5, notNegative)
	case Switch:
		d.Range = [2]float64{0, 1}
		ohms(&d.ClosedOhms, "closed_ohms", 0.05, notNegative)
	case Zirconia:
		d.Range = [2]float64{0.05, 0.95}
		ohms(&d.Ohms, "ohms", 5000, positive)
		number(&d.TolerancePct, "tolerance_pct", 50, bounds{0, 95, false})
	case CurrentLoop:
		d.Range = [2]float64{4, 20}
		number(&d.MinVolts, "min_volts", 3, positive)
	case Fuse:
		needs = append(needs, "amps")
		number(&d.Amps, "amps", 1, positive)
	case Diode:
		number(&d.ForwardVolts, "forward_volts", 0.7, notNegative)
	}
	if d.Kind.HasStimulus() {
		keys = append(keys, "set", "range", "reads")
		d.stimulus(c)
	}
	c.table(keys...)
	for _, key := range needs {
		if c.lacks(key) {
			example := `"4k7"`
			if key == "amps" {
				example = "10"
			}
			c.fail(fmt.Sprintf("%s needs %s", an(string(d.Kind)), key), fmt.Sprintf("write %s = %s", key, example))
		}
	}
}

// stimulus reads set and range, and what they mean in the sensor's own unit.
func (d *Device) stimulus(c cursor) {
	if r, given := c.key("range"); given {
		d.Range = c.pairOr("range", d.Range)
		limits := d.Kind.stimulusBounds()
		if !limits.holds(d.Range[0]) || !limits.holds(d.Range[1]) {
			r.fail(fmt.Sprintf("[%g, %g] is impossible for %s", d.Range[0], d.Range[1], an(string(d.Kind))), "give values "+limits.String())
		}
	}
	if s, given := c.key("set"); given {
		d.Set, d.HasSet = d.readSet(s)
	}
	if r, given := c.key("reads"); given {
		d.reads(r)
	}
}

// reads reads what a stimulus means: low and high for a stimulus of 0 and 1 (of a current loop: for the
// ends of its range), or a table.
func (d *Device) reads(r cursor) {
	if !r.table("low", "high", "unit", "table") {
		return
	}
	const example = `write reads = { low = 0, high = 250, unit = "kPa" }`
	reads := Reads{Unit: r.textOr("unit", "")}
	if reads.Unit == "" && r.lacks("unit") {
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
		reads.Table = rows
	case hasLow && hasHigh:
		from, okFrom := low.number()
		to, okTo := high.number()
		if !okFrom || !okTo {
			return
		}
		ends := [2]float64{0, 1}
		if d.Kind == CurrentLoop {
			ends = d.Range // 4 to 20 mA
		} else if d.Kind != Potentiometer && d.Kind != Ratiometric && !d.Kind.TwoState() {
			r.first("low", "high").fail(fmt.Sprintf("low and high say what a stimulus of 0 and 1 means, and %s is set in a unit of its own", an(string(d.Kind))), "write a table = [[stimulus, value], …]")
			return
		}
		reads.Table = [][2]float64{{ends[0], from}, {ends[1], to}}
	case r.lacks("low") && r.lacks("high"):
		r.fail("reads has neither low and high nor a table", example)
	case r.lacks("low"):
		r.fail("reads has a high and no low", example)
	case r.lacks("high"):
		r.fail("reads has a low and no high", example)
	}
	if reads.Unit != "" && reads.Table != nil {
		d.Reads = &reads
	}
}

// readSet reads a stimulus of this device and checks that it is possible.
func (d *Device) readSet(s cursor) (float64, bool) {
	v, ok := s.number()
	if !ok {
		return 0, false
	}
	if hint := d.impossible(v); hint != "" {
		s.fail(fmt.Sprintf("%s cannot be set to %g", an(string(d.Kind)), v), hint)
		return 0, false
	}
	return v, true
}

// impossible says what a stimulus must be where v cannot be one.
func (d *Device) impossible(v float64) string {
	if d.Kind.TwoState() {
		if v != 0 && v != 1 {
			return "give 0 or 1"
		}
		return ""
	}
	if limits := d.Kind.stimulusBounds(); !limits.holds(v) {
		return "give a value " + limits.String()
	}
	return ""
}

// stimulusBounds are what nature allows a stimulus to be, in the unit of the kind.
func (k DeviceKind) stimulusBounds() bounds {
	switch k {
	case Potentiometer, Ratiometric, Switching, Switch:
		return share
	case Thermistor:
		return celsius
	case RTD:
		return bounds{-200, 850, false} // the range of IEC 60751
	case CurrentLoop:
		return bounds{0, 1000, true}
	case Zirconia:
		return bounds{-0.5, 2, false}
	}
	return anyNumber
}

// thermistorLaw reads either a table or ohms_25 with beta.
func (d *Device) thermistorLaw(c cursor) {
	t, table := c.key("table")
	_, ohms25 := c.key("ohms_25")
	_, beta := c.key("beta")
	const either = "write table = [[0, 5896], [100, 187]], or ohms_25 = 2000 and beta = 3500"
	switch {
	case table && !ohms25 && !beta:
		rows, ok := pairs(t, cursor.ohms)
		if !ok {
			return
		}
		if len(rows) < 2 {
			t.fail("the table needs two rows or more", "write table = [[0, 5896], [100, 187]]")
			return
		}
		for i, row := range rows {
			at := t.list()[i]
			switch {
			case row[1] <= 0:
				at.fail(fmt.Sprintf("%g Ω is impossible here", row[1]), "a row is [°C, ohms], with ohms greater than 0")
				return
			case !celsius.holds(row[0]):
				at.fail(fmt.Sprintf("%g °C is impossible", row[0]), "a row is [°C, ohms], with °C "+celsius.String())
				return
			case i > 0 && row[0] <= rows[i-1][0]:
				at.fail(fmt.Sprintf("%g °C comes after %g °C: the temperatures must rise from row to row", row[0], rows[i-1][0]), "sort the rows")
				return
			}
			d.Table = append(d.Table, models.CelsiusOhms{Celsius: row[0], Ohms: row[1]})
		}
	case !table && ohms25 && beta:
		d.Ohms25 = c.ohmsOr("ohms_25", 1, positive)
		d.Beta = c.numberOr("beta", 1, positive)
	case table:
		c.first("ohms_25", "beta").fail("the thermistor has a table already", "remove the table, or ohms_25 and beta")
	case ohms25 || beta:
		c.first("ohms_25", "beta").fail("ohms_25 and beta belong together", either)
	default:
		c.fail("a thermistor needs either a table or ohms_25 with beta", either)
	}
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
