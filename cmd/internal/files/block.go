package files

import (
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draft/circuittext"
)

// ReadingBlock is a reading as a job file has it: a [[reading]] in the contract's order of keys, what has its usual value
// left away.
func ReadingBlock(r circuits.Reading) string {
	var b strings.Builder
	b.WriteString("[[reading]]\n")
	key := func(name, value string) { b.WriteString(name + " = " + value + "\n") }
	key("at", circuittext.Quote(r.At.String()))
	meter := r.Quantity == circuits.Volts || r.Quantity == circuits.Ohms
	if meter && r.To != circuits.BNegative && !r.To.IsZero() {
		key("to", circuittext.Quote(r.To.String()))
	}
	if r.Taken {
		key(string(r.Quantity), valueText(r))
	} else if r.Quantity != circuits.Volts {
		key("quantity", circuittext.Quote(string(r.Quantity)))
	}
	if r.State.Key != "" && r.State.Key != circuits.KeyOn {
		key("key", circuittext.Quote(string(r.State.Key)))
	}
	if len(r.State.Unplugged) > 0 {
		key("unplugged", quotedList(r.State.Unplugged))
	}
	if len(r.State.Jumpers) > 0 {
		var jumpers []string
		for _, j := range r.State.Jumpers {
			jumpers = append(jumpers, quotedList([]string{j[0].String(), j[1].String()}))
		}
		key("jumper", "["+strings.Join(jumpers, ", ")+"]")
	}
	if len(r.State.Loads) > 0 {
		var loads []string
		for _, l := range r.State.Loads {
			loads = append(loads, "{ from = "+circuittext.Quote(l.From.String())+", to = "+circuittext.Quote(l.To.String())+", ohms = "+circuittext.Number(l.Ohms)+" }")
		}
		key("load", "["+strings.Join(loads, ", ")+"]")
	}
	if len(r.State.Set) > 0 {
		var set []string
		for _, s := range r.State.Set {
			value := circuittext.Number(s.Set)
			if s.Moved {
				value = "[" + value + ", " + circuittext.Number(s.To) + "]"
			}
			set = append(set, circuittext.Key(s.Device)+" = "+value)
		}
		key("set", "{ "+strings.Join(set, ", ")+" }")
	}
	text := func(name, value string) {
		if value != "" {
			key(name, circuittext.Quote(value))
		}
	}
	text("wiggle", r.Wiggle)
	text("symptom", string(r.Symptom))
	if r.Sound {
		key("sound", "true")
	}
	text("note", r.Note)
	return b.String()
}

// TriedBlock is something that was tried as a job file has it.
func TriedBlock(t circuits.Tried) string {
	done := ""
	if t.Done != "" {
		done = "done = " + circuittext.Quote(t.Done) + "\n"
	}
	return "[[tried]]\nat = " + circuittext.Quote(t.At.String()) + "\n" + done + "result = " + circuittext.Quote(string(t.Result)) + "\n"
}

// valueText is one value, or the two of a reading that moved.
func valueText(r circuits.Reading) string {
	high := decimal(r.High)
	if r.OL {
		high = `"OL"`
	}
	if r.Pair {
		return "[" + decimal(r.Value) + ", " + high + "]"
	}
	return high
}

// decimal is a number with a point, as a reading is written.
func decimal(v float64) string {
	s := circuittext.Number(v)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}

func quotedList(list []string) string {
	var out []string
	for _, s := range list {
		out = append(out, circuittext.Quote(s))
	}
	return "[" + strings.Join(out, ", ") + "]"
}
