package report

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
)

// plainSpace turns the spaces that hold a number to its unit on a terminal into those of running text.
func plainSpace(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

// held keeps a number and its unit on one line.
func held(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

// percent is a probability. One that came out as 0 is merely too small to be reckoned with.
func percent(p float64) string {
	if p < 0.00095 {
		return view.Percent(0.0005)
	}
	return view.Percent(p)
}

// value is a value of a quantity, "OL" for one beyond the meter.
func value(q circuits.Quantity, v float64) string {
	if math.IsInf(v, 1) {
		return "OL"
	}
	return held(view.Value(q, v))
}

// showed is what a reading showed.
func showed(r circuits.Reading) string {
	if !r.Taken {
		return say("readings.planned")
	}
	return view.Read(r)
}

// lead says where the leads of a reading are.
func lead(r circuits.Reading) string {
	at := r.At.String()
	switch {
	case r.Quantity == circuits.ScanVolts:
		return held(say("lead.scan", "at", at))
	case r.Quantity == circuits.Amps:
		return say("lead.amps", "at", at)
	case r.To == circuits.BNegative && r.Quantity == circuits.Volts:
		return say("lead.single", "at", at)
	}
	return say("lead.pair", "at", at, "to", r.To.String())
}

// state says what the machine was put into for a reading.
func state(c *circuits.Circuit, r circuits.Reading) string {
	var out []string
	switch r.State.Key {
	case circuits.KeyOff:
		out = append(out, say("state.key_off"))
	case circuits.KeyRun:
		out = append(out, say("state.key_run"))
	}
	if len(r.State.Unplugged) > 0 {
		out = append(out, say("state.unplugged", "plugs", listed(r.State.Unplugged)))
	}
	for _, j := range r.State.Jumpers {
		out = append(out, say("state.joined", "from", j[0].String(), "to", j[1].String()))
	}
	for _, l := range r.State.Loads {
		out = append(out, say("state.load", "ohms", held(models.SI(l.Ohms, "Ω")), "from", l.From.String(), "to", l.To.String()))
	}
	for _, s := range r.State.Set {
		out = append(out, view.Set(c, s))
	}
	if r.Wiggle != "" {
		out = append(out, say("state.moved", "place", r.Wiggle))
	}
	switch r.Symptom {
	case circuits.SymptomThere:
		out = append(out, say("state.symptom_there"))
	case circuits.SymptomAway:
		out = append(out, say("state.symptom_away"))
	}
	if len(out) == 0 {
		return say("state.key_on")
	}
	return strings.Join(out, ", ")
}

// readingName names a reading by its number in the table.
func (w writer) readingName(index int) string {
	return say("sure.reading_name", "n", strconv.Itoa(index+1), "where", lead(w.j.Readings[index]))
}

// where names a reading that is not in the table: its leads and its state.
func where(c *circuits.Circuit, r circuits.Reading) string {
	s := state(c, r)
	if s == say("state.key_on") {
		return lead(r)
	}
	return lead(r) + ", " + s
}

// mostLabel is how much is printed of what an author calls a place.
const mostLabel = 100

// named is a place's short name with what it is called, or with what it is.
func named(c *circuits.Circuit, name string) string {
	switch label := c.Label(name); {
	case label != name:
		return clipped(label, mostLabel) + " (" + name + ")"
	case c.Connector(name) != nil:
		return say("kind.connector", "name", name)
	case c.Module(name) != nil:
		return say("kind.module", "name", name)
	case c.Splice(name) != nil:
		return say("kind.splice", "name", name)
	case c.Stud(name) != nil:
		return say("kind.stud", "name", name)
	case c.Device(name) != nil:
		return say("kind.part", "name", name)
	}
	return name
}

// plainWhere says where a location is, for somebody who has not seen the drawing.
func plainWhere(c *circuits.Circuit, l circuits.Location) string {
	end := func(p circuits.Point) string {
		if p == circuits.BPositive || p == circuits.BNegative {
			return p.Place
		}
		return say("plain.where.wire_end", "name", named(c, p.Place))
	}
	p := l.From
	switch {
	case l.IsWire():
		return say("plain.where.wire", "from", end(l.From), "to", end(l.To))
	case c.Stud(p.Place) != nil:
		return say("plain.where.stud", "name", named(c, p.Place))
	case p.Cavity != "" && p.Side != "device" && c.Connector(p.Place) != nil:
		return say("plain.where.contact_inline", "connector", named(c, p.Place))
	case p.Cavity != "" && p.Side != "device":
		return say("plain.where.contact_part", "part", named(c, p.Place))
	case c.Module(p.Place) != nil:
		return say("plain.where.module", "name", named(c, p.Place))
	}
	return say("plain.where.part", "name", named(c, p.Place))
}

// plainFinding says what is wrong as far as the readings tell it: where several kinds of fault share the place, no more
// than what they have in common.
func (w writer) plainFinding() string {
	kinds := map[circuits.FaultKind]bool{w.f.lead.Fault.Kind: true}
	for _, c := range w.f.others {
		kinds[c.Fault.Kind] = true
	}
	where := plainWhere(w.j.Circuit, w.f.lead.Fault.At)
	switch {
	case w.f.lead.Whole().IsDouble() || len(kinds) == 1 && len(w.f.others) == 0:
		return plainFault(w.j.Circuit, w.f.fault)
	case len(kinds) == 2 && kinds[circuits.Open] && kinds[circuits.HighResistance]:
		return say("plain.fault.poor", "where", where)
	}
	return say("plain.fault.some", "where", where)
}

// plainFault says what is wrong, for the same reader.
func plainFault(c *circuits.Circuit, f circuits.Fault) string {
	if f.IsDouble() {
		return say("plain.fault.both", "first", plainSingle(c, f.First), "second", plainSingle(c, f.Second))
	}
	return plainSingle(c, f.First)
}

func plainSingle(c *circuits.Circuit, s circuits.Single) string {
	at := plainWhere(c, s.At)
	switch s.Kind {
	case circuits.Open:
		return say("plain.fault.open", "where", at)
	case circuits.HighResistance:
		return say("plain.fault.high_resistance", "where", at)
	case circuits.ShortToGround:
		return say("plain.fault.short_to_ground", "where", at)
	case circuits.ShortToVoltage:
		return say("plain.fault.short_to_voltage", "where", at)
	case circuits.ShortBetween:
		return say("plain.fault.short_between", "where", at)
	case circuits.Swapped:
		return say("plain.fault.swapped", "connector", named(c, s.At.From.Place))
	case circuits.ModuleInside:
		return say("plain.fault.module", "where", at)
	}
	switch s.Words {
	case circuits.OpenInside:
		return say("plain.fault.open_inside", "where", at)
	case circuits.ShortedInside:
		return say("plain.fault.shorted_inside", "where", at)
	}
	return say("plain.fault.reads_wrong", "where", at)
}

// shellWord is a file's name as a shell reads it back whole.
func shellWord(s string) string {
	safe := strings.IndexFunc(s, func(r rune) bool {
		return !(unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("_./+:@-", r))
	}) < 0
	if safe && s != "" {
		return s
	}
	return "'" + strings.ReplaceAll(plainText(s), "'", `'\''`) + "'"
}

// plainText is a text without control characters and without signs that turn its direction.
func plainText(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "�"))
}
