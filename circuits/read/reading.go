package read

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/models"
)

// readingKeys are the keys of a [[reading]], in the order in which a job file writes them.
var readingKeys = []string{"at", "to", "volts", "ohms", "amps", "scan_volts", "quantity", "key", "unplugged", "jumper", "load", "set", "wiggle", "symptom", "sound", "note"}

// reading reads one [[reading]]; ok is false where it is at fault.
func (p *jobParser) reading(c cursor, needAt bool) (circuits.Reading, bool) {
	before := len(p.d.problems.Errors())
	if !c.table(readingKeys...) {
		return circuits.Reading{}, false
	}
	r := circuits.Reading{Line: c.at(), To: circuits.BNegative, Quantity: circuits.Volts, Note: c.textOr("note", ""), Symptom: circuits.Symptom(c.textOr("symptom", ""))}
	p.quantity(c, &r)
	p.state(c, &r)
	p.leads(c, &r, needAt)
	p.symptom(c, &r)
	if w, ok := c.key("wiggle"); ok {
		if r.Wiggle, ok = w.text(); ok {
			if _, err := p.c.Somewhere(r.Wiggle); err != nil {
				w.fail(err.Error(), "name the place that was moved: a connector, terminal, wire, splice or part")
			}
		}
	}
	r.Sound = c.boolOr("sound", false)
	p.moved(c, r)
	p.manners(c, r)
	p.doubts(c, r)
	return r, len(p.d.problems.Errors()) == before
}

// moved refuses a stimulus that was moved together with something else, or whose two ends were not read.
func (p *jobParser) moved(c cursor, r circuits.Reading) {
	var moved []string
	for _, s := range r.State.Set {
		if s.Moved {
			moved = append(moved, s.Device)
		}
	}
	set := c.first("set")
	switch {
	case len(moved) == 0:
	case len(moved) > 1:
		set.fail(strings.Join(moved, " and ")+" were moved in one reading", "move one thing at a time, and make a reading of each")
	case r.Wiggle != "":
		c.first("wiggle").fail(fmt.Sprintf("%s was moved and %s was wiggled in one reading", moved[0], r.Wiggle), "move one thing at a time, and make a reading of each")
	case r.Taken && !r.Pair:
		c.first(string(r.Quantity)).fail(fmt.Sprintf("%s was moved from one end to the other, and one value was read", moved[0]), fmt.Sprintf("write %s = [low, high], the two ends that were seen", r.Quantity))
	}
}

// quantity reads what was measured and the value, if there is one.
func (p *jobParser) quantity(c cursor, r *circuits.Reading) {
	var given []string
	for _, q := range circuits.Quantities() {
		if _, ok := c.key(q); ok {
			given = append(given, q)
		}
	}
	if q, ok := c.key("quantity"); ok {
		text, isText := q.text()
		switch {
		case !isText:
		case !slices.Contains(circuits.Quantities(), text):
			q.fail(fmt.Sprintf("no quantity is called %q", text), wording.DidYouMean(text, circuits.Quantities()))
		case len(given) == 1 && given[0] != text:
			q.fail(fmt.Sprintf("quantity is %s, and the value is in %s", text, given[0]), "remove quantity: a reading with a value needs none")
		default:
			r.Quantity = circuits.Quantity(text)
		}
	}
	if len(given) > 1 {
		c.first(given[1:]...).fail("a reading has one value, not "+strings.Join(given, " and "), "make a reading of each")
		return
	}
	if len(given) == 0 {
		return
	}
	r.Quantity, r.Taken = circuits.Quantity(given[0]), true
	v, _ := c.key(given[0])
	values := v.list()
	if v.isList() && len(values) != 2 {
		v.fail("must be one value, not "+describe(v.value), fmt.Sprintf("write %s = 4.98, or [low, high] of a reading that moved", given[0]))
		return
	}
	low, okLow := p.value(values[0], r)
	r.Value, r.High = low, low
	if !v.isList() || !okLow {
		return
	}
	r.Pair = true
	if r.OL {
		v.fail("OL is the higher of two values", `write [low, "OL"]`)
		return
	}
	high, okHigh := p.value(values[1], r)
	r.High = high
	if okHigh && !r.OL && low > high {
		v.fail(fmt.Sprintf("[%g, %g] is in falling order", low, high), "write the lower value first")
	}
}

// value reads one value of the reading's quantity.
// mostShown is a value beyond any meter's display, in volts, amperes or ohms: a slip of the pen, not a reading.
const mostShown = 1e12

func (p *jobParser) value(c cursor, r *circuits.Reading) (float64, bool) {
	if s, isText := c.value.(string); isText && r.Quantity == circuits.Ohms {
		if strings.EqualFold(s, "OL") {
			r.OL = true
			return p.j.Meter.MaxOhms, true
		}
		return c.ohms()
	}
	if s, isText := c.value.(string); isText && strings.EqualFold(s, "OL") {
		c.fail(fmt.Sprintf("OL is no value in %s", r.Quantity), "only ohms go beyond the meter's range; leave the value away if it showed nothing")
		return 0, false
	}
	v, ok := c.number()
	if ok && (v > mostShown || v < -mostShown) {
		c.fail(fmt.Sprintf("%g is more than any meter shows", v), "write the value in "+string(r.Quantity)+" as it was read")
		return 0, false
	}
	if ok && r.Quantity == circuits.Ohms && v < 0 {
		c.fail(fmt.Sprintf("%g Ω is no resistance", v), `write ohms of 0 or more, or "OL"`)
		return 0, false
	}
	return v, ok
}

// symptom reads whether an intermittent fault was there.
func (p *jobParser) symptom(c cursor, r *circuits.Reading) {
	s, ok := c.key("symptom")
	if _, isText := s.value.(string); !ok || !isText {
		return
	}
	switch {
	case r.Symptom != circuits.SymptomThere && r.Symptom != circuits.SymptomAway:
		s.fail(fmt.Sprintf("a symptom cannot be %q", r.Symptom), `write "there" or "away"`)
	case r.Symptom == circuits.SymptomAway && !p.j.Intermittent:
		s.warn("the job does not say that its symptom comes and goes, so it counts as there", "write intermittent = true on top of the job")
	}
}

// lead resolves a point that a meter, jumper or load lead touches in a state.
func (p *jobParser) lead(c cursor, text string, s *circuits.State) (circuits.Point, bool) {
	point, err := circuits.ParsePoint(text)
	if err == nil {
		point, err = p.c.Resolve(point)
	}
	if err != nil {
		c.fail(err.Error(), "")
		return point, false
	}
	if point.Side == "device" && p.c.Connector(point.Place) == nil && !slices.Contains(s.Unplugged, p.c.PlugOf(point)) {
		c.fail(fmt.Sprintf("%s is the part's own pin: a lead reaches it only with %s unplugged", point, p.c.PlugOf(point)),
			fmt.Sprintf("add %s, or measure at %s, the harness side", p.unplug(p.c.PlugOf(point)), point.Terminal()))
		return point, false
	}
	return point, true
}

// leads reads where the meter's leads are, or the element that the ammeter stands in for.
func (p *jobParser) leads(c cursor, r *circuits.Reading, needAt bool) {
	at, ok := c.key("at")
	if !ok {
		if needAt && c.lacks("at") {
			c.fail("the reading does not say where", `write at = "MHS:2"`)
		}
		return
	}
	text, ok := at.text()
	if !ok {
		return
	}
	if to, given := c.key("to"); given {
		toText, isText := to.text()
		switch {
		case !isText:
		case r.Quantity == circuits.Amps || r.Quantity == circuits.ScanVolts:
			to.warn(fmt.Sprintf("a reading in %s has no black lead, so this counts for nothing", r.Quantity), "remove it")
		default:
			r.To, _ = p.lead(to, toText, &r.State)
		}
	}
	if r.Quantity == circuits.Amps {
		l, err := circuits.ParseLocation(text)
		if err == nil {
			l, err = p.c.FaultPlace(l)
		}
		if err != nil {
			at.fail(err.Error(), "amps are read in place of a contact, a wire or a stud's joint")
		}
		r.At = l
		return
	}
	if strings.Contains(text, ">") {
		at.fail(fmt.Sprintf("%s is a wire, and a lead touches a point", text), "name one of its ends")
		return
	}
	point, ok := p.lead(at, text, &r.State)
	r.At = circuits.PointLocation(point)
	if !ok {
		return
	}
	if r.Quantity == circuits.ScanVolts {
		if pin := p.c.Pin(point); pin == nil || pin.Kind != circuits.PinInput || point.Side != "" {
			at.fail(fmt.Sprintf("%s is no input of a module, so no module reports its volts", point), inputsHint(p.c.Inputs()))
		}
	} else if point == r.To {
		at.fail(fmt.Sprintf("both leads are on %s", point), "name another point in at or to")
	}
}

// inputsHint says where scan values can be read.
func inputsHint(inputs []string) string {
	if len(inputs) == 0 {
		return "the circuit has no input pin: read volts with a meter"
	}
	return "the inputs are " + strings.Join(inputs, ", ")
}

// manners refuses what would hurt, and warns of what would harm a reading.
func (p *jobParser) manners(c cursor, r circuits.Reading) {
	if p.c.Pyrotechnic {
		const hint = "follow the maker's procedure with the maker's equipment"
		switch {
		case r.Quantity == circuits.Ohms || r.Quantity == circuits.Amps:
			c.first(string(r.Quantity), "quantity").fail(fmt.Sprintf("this is a pyrotechnic circuit: no %s are read here, for the meter's current can fire it", r.Quantity), hint)
		case len(r.State.Loads) > 0:
			c.first("load").fail("this is a pyrotechnic circuit: no load or lamp is put into it", hint)
		case len(r.State.Jumpers) > 0:
			c.first("jumper").fail("this is a pyrotechnic circuit: no jumper is put into it", hint)
		}
	}
	p.deadShorts(c, r)
	if r.Quantity == circuits.Ohms && (r.State.Key == circuits.KeyOn || r.State.Key == circuits.KeyRun) {
		c.first("key", "ohms", "quantity").warn("ohms are measured with the key off on a dead, isolated circuit", `set key = "off" and measure again`)
	}
	if r.Quantity == circuits.ScanVolts && r.State.Key == circuits.KeyOff {
		c.first("key").warn("with the key off the module reports nothing", `set key = "on"`)
	}
}

// doubts warns of a value that the circuit cannot give, as a slipped decimal point writes it.
func (p *jobParser) doubts(c cursor, r circuits.Reading) {
	if !r.Taken {
		return
	}
	v := c.first(string(r.Quantity))
	switch r.Quantity {
	case circuits.Volts:
		farthest := r.High
		if -r.Value > farthest {
			farthest = r.Value
		}
		if p.greatest > 0 && math.Abs(farthest) > 1.25*p.greatest {
			v.warn(fmt.Sprintf("%g V is more than any source of this circuit gives (%g V)", farthest, p.greatest), "check the decimal point")
		}
	case circuits.ScanVolts:
		if pin := p.c.Pin(r.Point()); pin != nil && pin.Kind == circuits.PinInput && (r.Value < pin.RangeVolts[0] || r.High > pin.RangeVolts[1]) {
			v.warn(fmt.Sprintf("the module reports %s from %g to %g V only", pin.Point(), pin.RangeVolts[0], pin.RangeVolts[1]), "check the value, or range_volts in the circuit")
		}
	case circuits.Ohms:
		if !r.OL && r.High > p.j.Meter.MaxOhms {
			v.warn(fmt.Sprintf("%s is beyond the meter's max_ohms, %s: it would show OL", models.SI(r.High, "Ω"), models.SI(p.j.Meter.MaxOhms, "Ω")), `write "OL", or give the meter's max_ohms`)
		}
	}
}

// leastTestOhms is the least that a test load may have: beyond it a lead carries what a fuse should part.
const leastTestOhms = 0.1

// deadShorts refuses a lead across the battery, and warns of battery voltage put on a module's pin.
func (p *jobParser) deadShorts(c cursor, r circuits.Reading) {
	earth := func(q circuits.Point) bool { return q == circuits.BNegative || p.c.Stud(q.Place) != nil }
	across := func(a, b circuits.Point) bool {
		return a == circuits.BPositive && earth(b) || b == circuits.BPositive && earth(a)
	}
	for _, j := range r.State.Jumpers {
		if across(j[0], j[1]) {
			c.first("jumper").fail(fmt.Sprintf("a jumper from %s to %s is a dead short across the battery", j[0], j[1]), "take it away")
		}
		for k, q := range j {
			if j[1-k] == circuits.BPositive && p.c.Module(q.Place) != nil {
				c.first("jumper").warn(fmt.Sprintf("this puts battery voltage on the module pin %s, which may not bear it", q), "see the maker's data first")
			}
		}
	}
	for _, l := range r.State.Loads {
		if l.Ohms < leastTestOhms {
			c.first("load").fail(fmt.Sprintf("a load of %g Ω is a dead short", l.Ohms), fmt.Sprintf("use %g Ω or more", leastTestOhms))
		}
	}
}
