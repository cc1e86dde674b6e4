package draw

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
)

// mostNamed is how many names of one kind a sentence on what is left out lists.
const mostNamed = 12

// LeftOut says in sentences what a drawing of a part does not show of the whole circuit.
func LeftOut(l circuits.LeftOut) []string {
	if l.Wires == 0 {
		return []string{"No wire of the circuit is left out."}
	}
	wires, are := "wires", "are"
	if l.Wires == 1 {
		wires, are = "wire", "is"
	}
	s := fmt.Sprintf("%d %s of the circuit %s left out", l.Wires, wires, are)
	var with []string
	if len(l.Modules) > 0 {
		with = append(with, named("module", l.Modules))
	}
	if len(l.Devices) > 0 {
		with = append(with, named("part", l.Devices))
	}
	if len(with) > 0 {
		s += ", with the " + strings.Join(with, " and the ")
	}
	out := []string{s + "."}
	if len(l.GoesOn) > 0 {
		var names []string
		for _, p := range l.GoesOn {
			names = append(names, p.String())
		}
		out = append(out, "The circuit goes on at "+listed(names)+".")
	}
	return out
}

// named is a kind of thing and its names.
func named(kind string, names []string) string {
	if len(names) > 1 {
		kind += "s"
	}
	return kind + " " + listed(names)
}

// listed joins names, the first few where they are many.
func listed(names []string) string {
	if n := len(names) - mostNamed; n > 1 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostNamed], ", "), n)
	}
	return strings.Join(names, ", ")
}
