package circuits

import (
	"fmt"

	"ohmtrail/models"
)

// celsius bounds a temperature: nothing is colder than absolute zero.
var celsius = bounds{-models.ZeroCelsius, 3000, true}

func (p *circuitParser) device(name string, c cursor) {
	if _, isTable := c.value.(map[string]any); !isTable {
		c.fail("must be a table, not "+describe(c.value), "")
		return
	}
	d := Device{Name: name, Line: c.at()}
	p.register(name, isDevice, len(p.c.Devices), c)
	kind := c.textOr("kind", "")
	switch k, given := c.key("kind"); {
	case !given:
		c.fail("the device has no kind", didYouMean("", DeviceKinds()))
	case !contains(DeviceKinds(), kind):
		k.fail(fmt.Sprintf("no device is a %q", kind), didYouMean(kind, DeviceKinds()))
	default:
		d.Kind = DeviceKind(kind)
		d.parameters(c)
		d.terminals(c)
	}
	p.c.Devices = append(p.c.Devices, d)
}

func (d *Device) terminals(c cursor) {
	roles := d.Kind.Roles()
	t, ok := c.key("terminals")
	if !ok {
		c.fail("the device has no terminals", fmt.Sprintf("write terminals = { %s = \"1\", … } with the roles %v", roles[0], roles))
		return
	}
	if !t.table(roles...) {
		return
	}
	seen := map[string]string{}
	for _, role := range roles {
		sub, ok := t.key(role)
		if !ok {
			t.fail(fmt.Sprintf("a %s needs a terminal %q", d.Kind, role), fmt.Sprintf("its terminals are %v", roles))
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
			sub.fail(fmt.Sprintf("cavity %s is the %s already", cavity, other), "give each terminal a cavity of its own")
			continue
		}
		seen[cavity] = role
		d.Terminals = append(d.Terminals, Terminal{Role: role, Cavity: cavity})
	}
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
	needed := func(to *float64, key string) {
		if _, ok := c.key(key); !ok {
			c.fail(fmt.Sprintf("a %s needs %s", d.Kind, key), "")
		}
		ohms(to, key, 1, positive)
	}
	d.Label = c.textOr("label", "")
	d.AccessMin = c.numberOr("access_min", 2, notNegative)
	limits := anyNumber
	switch d.Kind {
	case Resistor:
		needed(&d.Ohms, "ohms")
		number(&d.TolerancePct, "tolerance_pct", 5, percent)
	case Load:
		needed(&d.Ohms, "ohms")
		number(&d.TolerancePct, "tolerance_pct", 10, percent)
	case Thermistor:
		limits = celsius
		d.Range = [2]float64{-20, 110}
		keys = append(keys, "table", "ohms_25", "beta")
		d.thermistorLaw(c)
		number(&d.TolerancePct, "tolerance_pct", 5, percent)
	case RTD:
		limits = bounds{-200, 850, false}
		d.Range = [2]float64{-40, 300}
		ohms(&d.Ohms0, "ohms_0", 100, positive)
	case Potentiometer:
		limits = share
		d.Range = [2]float64{0.05, 0.95}
		needed(&d.Ohms, "ohms")
		number(&d.TolerancePct, "tolerance_pct", 20, percent)
		ohms(&d.WiperOhms, "wiper_ohms", 100, notNegative)
	case Ratiometric:
		limits = share
		d.Range = [2]float64{0, 1}
		number(&d.Low, "low", 0.1, share)
		number(&d.High, "high", 0.9, share)
		ohms(&d.SupplyOhms, "supply_ohms", 1000, positive)
		ohms(&d.OutputOhms, "output_ohms", 100, positive)
		number(&d.MinSupply, "min_supply_volts", 4, notNegative)
		ohms(&d.UnpoweredOhms, "unpowered_ohms", 10e3, positive)
		number(&d.AccuracyPct, "accuracy_pct", 1.5, percent)
	case Switching:
		limits = share
		d.Range = [2]float64{0, 1}
		ohms(&d.SupplyOhms, "supply_ohms", 2000, positive)
		ohms(&d.OnOhms, "on_ohms", 40, notNegative)
		number(&d.MinSupply, "min_supply_volts", 3.5, notNegative)
	case Switch:
		limits = share
		d.Range = [2]float64{0, 1}
		ohms(&d.ClosedOhms, "closed_ohms", 0.05, notNegative)
	case Zirconia:
		limits = bounds{-0.5, 2, false}
		d.Range = [2]float64{0.05, 0.95}
		ohms(&d.Ohms, "ohms", 5000, positive)
		number(&d.TolerancePct, "tolerance_pct", 50, bounds{0, 95, false})
	case CurrentLoop:
		limits = bounds{0, 1000, true}
		d.Range = [2]float64{4, 20}
		number(&d.MinVolts, "min_volts", 3, positive)
	case Fuse:
		needed(&d.Amps, "amps")
	case Diode:
		number(&d.ForwardVolts, "forward_volts", 0.7, notNegative)
	}
	if d.Kind.HasStimulus() {
		keys = append(keys, "set", "range", "reads")
		d.stimulus(c, limits)
	}
	c.table(keys...)
}

// stimulus reads set and range, and what they mean in the sensor's own unit.
func (d *Device) stimulus(c cursor, limits bounds) {
	if r, given := c.key("range"); given {
		d.Range = c.pairOr("range", d.Range)
		if !limits.holds(d.Range[0]) || !limits.holds(d.Range[1]) {
			r.fail(fmt.Sprintf("[%g, %g] is impossible for a %s", d.Range[0], d.Range[1], d.Kind), "give values "+limits.String())
		}
	}
	if s, given := c.key("set"); given {
		d.Set, d.HasSet = d.readSet(s)
	}
	r, given := c.key("reads")
	if !given || !r.table("low", "high", "unit", "table") {
		return
	}
	reads := Reads{Unit: r.textOr("unit", "")}
	if t, ok := r.key("table"); ok {
		reads.Table = pairs(t)
	} else if _, ok := r.key("low"); ok {
		reads.Table = [][2]float64{{0, r.numberOr("low", 0, anyNumber)}, {1, r.numberOr("high", 1, anyNumber)}}
		if _, ok := r.key("high"); !ok {
			r.fail("reads has a low and no high", `write reads = { low = 0, high = 250, unit = "kPa" }`)
		}
	}
	for i := 1; i < len(reads.Table); i++ {
		if reads.Table[i][0] <= reads.Table[i-1][0] {
			r.fail("the stimuli of the table must rise from row to row", "sort the rows")
			return
		}
	}
	if len(reads.Table) < 2 || reads.Unit == "" {
		r.fail("reads needs a unit, and low and high or a table of two rows or more", `write reads = { low = 0, high = 250, unit = "kPa" }`)
		return
	}
	d.Reads = &reads
}

// readSet reads a stimulus of this device and checks that it is possible.
func (d *Device) readSet(s cursor) (float64, bool) {
	v, ok := s.number()
	if !ok {
		return 0, false
	}
	if hint := d.impossible(v); hint != "" {
		s.fail(fmt.Sprintf("%g is no stimulus of a %s", v, d.Kind), hint)
		return 0, false
	}
	return v, true
}

// impossible says what a stimulus must be where v cannot be one.
func (d *Device) impossible(v float64) string {
	limits := anyNumber
	switch d.Kind {
	case Potentiometer, Ratiometric:
		limits = share
	case Switching, Switch:
		if v != 0 && v != 1 {
			return "give 0 or 1"
		}
	case Thermistor:
		limits = celsius
	case RTD:
		limits = bounds{-200, 850, false}
	case CurrentLoop:
		limits = bounds{0, 1000, true}
	case Zirconia:
		limits = bounds{-0.5, 2, false}
	}
	if !limits.holds(v) {
		return "give a value " + limits.String()
	}
	return ""
}

// thermistorLaw reads either a table or ohms_25 with beta.
func (d *Device) thermistorLaw(c cursor) {
	t, table := c.key("table")
	_, ohms25 := c.key("ohms_25")
	_, beta := c.key("beta")
	switch {
	case table && !ohms25 && !beta:
		for _, row := range pairs(t) {
			d.Table = append(d.Table, models.CelsiusOhms{Celsius: row[0], Ohms: row[1]})
		}
		if len(d.Table) < 2 {
			t.fail("the table needs two rows or more", "write table = [[0, 5896], [100, 187]]")
			d.Table = nil
			return
		}
		for i, row := range d.Table {
			if i > 0 && row.Celsius <= d.Table[i-1].Celsius {
				t.fail(fmt.Sprintf("row %d: the temperatures must rise from row to row", i+1), "sort the rows")
				return
			}
			if row.Ohms <= 0 || !celsius.holds(row.Celsius) {
				t.fail(fmt.Sprintf("row %d: %g Ω at %g °C is impossible", i+1, row.Ohms, row.Celsius), "")
				return
			}
		}
	case !table && ohms25 && beta:
		d.Ohms25 = c.ohmsOr("ohms_25", 1, positive)
		d.Beta = c.numberOr("beta", 1, positive)
	default:
		c.fail("a thermistor needs either a table or ohms_25 with beta", "write table = [[0, 5896], [100, 187]], or ohms_25 = 2000 and beta = 3500")
	}
}

// pairs reads a list of pairs of numbers.
func pairs(c cursor) [][2]float64 {
	if !c.isList() {
		c.fail("must be a list of pairs of numbers, not "+describe(c.value), "")
		return nil
	}
	var out [][2]float64
	for _, row := range c.list() {
		r := row.list()
		if !row.isList() || len(r) != 2 {
			row.fail("must be a pair of numbers", "write [25, 2000]")
			return out
		}
		a, okA := r[0].number()
		b, okB := r[1].ohms()
		if !okA || !okB {
			return out
		}
		out = append(out, [2]float64{a, b})
	}
	return out
}
