package read

import (
	"fmt"
	"slices"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
)

// state reads what the machine was put into.
func (p *jobParser) state(c cursor, r *circuits.Reading) {
	s := &r.State
	s.Key = circuits.Key(c.textOr("key", string(circuits.KeyOn)))
	if k := c.first("key"); s.Key != circuits.KeyOff && s.Key != circuits.KeyOn && s.Key != circuits.KeyRun {
		k.fail(fmt.Sprintf("the key cannot be %q", s.Key), `write "off", "on" or "run"`)
	}
	if u, ok := c.key("unplugged"); ok {
		names, ok := u.texts()
		if !ok {
			names = nil
		}
		for i, n := range names {
			plugs := p.c.PlugsNamed(n)
			if plugs == nil {
				what := fmt.Sprintf("nothing called %q can be unplugged", n)
				if kind := p.c.KindOf(n); kind != "" {
					what = fmt.Sprintf("%s is %s: it cannot be unplugged", n, wording.An(kind))
				}
				u.list()[i].fail(what, wording.DidYouMean(n, p.c.Plugs()))
			}
			for _, plug := range plugs {
				if !slices.Contains(s.Unplugged, plug) {
					s.Unplugged = append(s.Unplugged, plug)
				}
			}
		}
	}
	if jumpers, ok := c.key("jumper"); ok {
		for _, e := range jumpers.list() {
			p.jumper(e, s)
		}
	}
	if loads, ok := c.key("load"); ok {
		for _, e := range loads.list() {
			p.load(e, s)
		}
	}
	if set, ok := c.key("set"); ok {
		s.Set = p.stimuli(set, true)
	}
}

// jumper reads one pair of points that a lead joins.
func (p *jobParser) jumper(e cursor, s *circuits.State) {
	ends, isList := e.value.([]any)
	if !isList || len(ends) != 2 {
		what := "a jumper is a pair of points, not " + describe(e.value)
		if isList && len(ends) == 1 {
			what = "a jumper has two ends, and this one has 1"
		}
		e.fail(what, `write jumper = [["MHS:1", "MHS:2"]]`)
		return
	}
	names, ok := e.texts()
	if !ok {
		return
	}
	from, okFrom := p.lead(e.list()[0], names[0], s)
	to, okTo := p.lead(e.list()[1], names[1], s)
	switch {
	case !okFrom || !okTo:
	case from == to:
		e.fail(fmt.Sprintf("both ends of the jumper are on %s", from), "name another point for one of them")
	default:
		s.Jumpers = append(s.Jumpers, [2]circuits.Point{from, to})
	}
}

// load reads one test load.
func (p *jobParser) load(e cursor, s *circuits.State) {
	if !e.table("from", "to", "ohms") {
		return
	}
	whole := true
	for _, k := range []string{"from", "to", "ohms"} {
		if _, ok := e.key(k); !ok {
			whole = false
			if e.lacks(k) {
				e.fail("the load has no "+k, `write load = [{ from = "B+", to = "MHS:3", ohms = 50 }]`)
			}
		}
	}
	if !whole {
		return
	}
	ends := [2]circuits.Point{}
	for i, k := range []string{"from", "to"} {
		end, _ := e.key(k)
		text, ok := end.text()
		if ok {
			ends[i], ok = p.lead(end, text, s)
		}
		whole = whole && ok
	}
	ohms := e.ohmsOr("ohms", 1, circuits.Positive)
	switch {
	case !whole:
	case ends[0] == ends[1]:
		e.fail(fmt.Sprintf("both ends of the load are on %s", ends[0]), "name another point for one of them")
	default:
		s.Loads = append(s.Loads, circuits.LoadLead{From: ends[0], To: ends[1], Ohms: ohms})
	}
}
