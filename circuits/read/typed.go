package read

import (
	"fmt"

	"ohmtrail/circuits"
)

// Said is a planned reading as somebody says it: names that are still to be looked up, and what the machine is put into.
// What is not said is empty.
type Said struct {
	At, To, Quantity string
	Key, Wiggle      string
	Unplugged        []string
	Jumpers          [][2]string
	Loads            []SaidLoad
	Set              []circuits.SetDevice
}

// SaidLoad is a test load between two points.
type SaidLoad struct {
	From, To string
	Ohms     float64
}

// Reading reads a planned reading on a circuit by the rules of a job file's [[reading]]. The reading counts only where no
// problem is an error. A problem's line is the place of what is at fault among the fields of Said.
func Reading(c *circuits.Circuit, s Said) (circuits.Reading, circuits.Problems) {
	keys, places := s.keys()
	d := &decoder{file: "reading", misspelt: map[string]bool{}, titles: map[string]string{}, positions: positions{lines: places, orders: places}}
	p := jobParser{j: &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}, Intermittent: true}, c: c, d: d,
		greatest: greatestVolts(c), apart: "unplug %s"}
	r, _ := p.reading(cursor{d: d, value: keys}, true)
	return r, d.problems.Sorted()
}

// keys are the keys of a job file's [[reading]] with what they hold, and the place of each.
func (s Said) keys() (keys map[string]any, places map[string]int) {
	keys, places = map[string]any{}, map[string]int{}
	put := func(said bool, key string, value any) {
		if said {
			keys[key] = value
			places[key] = len(keys)
		}
	}
	var unplugged, jumpers, loads []any
	for _, u := range s.Unplugged {
		unplugged = append(unplugged, u)
	}
	for _, j := range s.Jumpers {
		jumpers = append(jumpers, []any{j[0], j[1]})
	}
	for _, l := range s.Loads {
		loads = append(loads, map[string]any{"from": l.From, "to": l.To, "ohms": l.Ohms})
	}
	set := map[string]any{}
	for _, d := range s.Set {
		if set[d.Device] = d.Set; d.Moved {
			set[d.Device] = []any{d.Set, d.To}
		}
	}
	put(true, "at", s.At)
	put(true, "quantity", s.Quantity)
	put(s.To != "", "to", s.To)
	put(s.Key != "", "key", s.Key)
	put(s.Wiggle != "", "wiggle", s.Wiggle)
	put(len(unplugged) > 0, "unplugged", unplugged)
	put(len(jumpers) > 0, "jumper", jumpers)
	put(len(loads) > 0, "load", loads)
	put(len(set) > 0, "set", set)
	for i, d := range s.Set {
		places[join("set", d.Device)] = len(keys) + i
	}
	return keys, places
}

// unplug says how a plug is taken apart, in the words of whoever wrote the reading: a job file, or a line that was typed.
func (p *jobParser) unplug(plug string) string {
	if p.apart != "" {
		return fmt.Sprintf(p.apart, plug)
	}
	return fmt.Sprintf("unplugged = [%q]", plug)
}

// TooDeep is the line on which a text opens more brackets than any file of ours needs, 0 where it does not: what reads
// TOML recurses, so a file of nothing but brackets must not reach it.
func TooDeep(text []byte) int { return tooDeep(text) }
