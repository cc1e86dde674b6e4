package read

import (
	"fmt"
	"regexp"

	"ohmtrail/circuits"
)

// after reads what a job says for its report: who, when, how long, what was repaired, and the readings after it.
func (p *jobParser) after(root cursor) {
	if w, ok := root.key("writeup"); ok {
		p.writeUp(w)
	}
	if r, ok := root.key("repair"); ok {
		p.repair(r)
	}
	if list, ok := root.key("verification"); ok {
		for _, v := range list.list() {
			if reading, ok := p.reading(v, true); ok {
				p.j.Verification = append(p.j.Verification, reading)
			}
		}
	}
}

func (p *jobParser) writeUp(c cursor) {
	if !c.table("author", "workshop", "customer", "date", "reproduced", "minutes") {
		return
	}
	w := &p.j.WriteUp
	w.Author, w.Workshop, w.Customer = c.textOr("author", ""), c.textOr("workshop", ""), c.textOr("customer", "")
	w.Reproduced = c.answer("reproduced", `write reproduced = true, false, or how: "mast raised twice"`)
	if d, ok := c.key("date"); ok {
		w.Date = d.date()
	}
	if m, ok := c.key("minutes"); ok {
		m.each(func(kind string, entry cursor) {
			minutes, ok := entry.number()
			if ok && !(minutes >= 0 && minutes <= mostMinutes) {
				entry.fail(fmt.Sprintf("%g is impossible here", minutes), fmt.Sprintf("give minutes between 0 and %d", mostMinutes))
				return
			}
			if ok {
				w.Minutes = append(w.Minutes, circuits.Work{Kind: kind, Minutes: minutes})
			}
		})
	}
}

// mostMinutes is more than any one job takes: ten weeks.
const mostMinutes = 100_000

func (p *jobParser) repair(c cursor) {
	if !c.table("at", "fault", "done", "why_failed", "neighbours", "retested", "codes_after") {
		return
	}
	r := &p.j.Repair
	r.Line = c.at()
	r.Done, r.WhyFailed = c.textOr("done", ""), c.textOr("why_failed", "")
	r.Neighbours = c.answer("neighbours", `write neighbours = true, false, or what was found: "no other wire rubbed"`)
	r.Retested = c.answer("retested", `write retested = true, false, or how: "mast raised ten times over the bump"`)
	if codes, ok := c.key("codes_after"); ok {
		r.CodesAfter, r.CodesRead = codes.texts()
	}
	at, hasAt := c.key("at")
	fault, hasFault := c.key("fault")
	if hasAt && hasFault {
		at.fail("the repair has a fault and a place", "remove at: the fault names its place")
		return
	}
	if text, isText := at.value.(string); hasAt && isText {
		l, err := p.c.Somewhere(text)
		if err != nil {
			at.fail(err.Error(), "")
			return
		}
		r.At = l
	} else if hasAt {
		at.text()
	}
	if !hasFault {
		return
	}
	text, ok := fault.text()
	if !ok {
		return
	}
	f, err := circuits.ParseFault(text)
	if err == nil {
		f, err = p.c.ResolveFault(f)
	}
	switch {
	case err != nil:
		fault.problem(false, c.name(), err.Error(), "")
	case f.First.Kind == circuits.Healthy || f.First.Kind == circuits.Unlisted:
		fault.fail(fmt.Sprintf("%s is nothing that can be repaired", f), `name what was found, such as "open C7:3", or its place with at`)
	default:
		r.Fault = f
	}
}

// answer reads true, false, or words that say how.
func (c cursor) answer(key, hint string) circuits.Answer {
	sub, ok := c.key(key)
	if !ok {
		return circuits.Answer{}
	}
	switch v := sub.value.(type) {
	case bool:
		return circuits.Answer{Given: true, Yes: v}
	case string:
		return circuits.Answer{Given: v != "", Words: v}
	}
	sub.fail("must be true, false or text in quotes, not "+describe(sub.value), hint)
	return circuits.Answer{}
}

// dated is a date as ISO 8601 writes it.
var dated = regexp.MustCompile(`^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$`)

// IsDate tells whether a text is a date as a job writes it, such as 2026-11-25.
func IsDate(s string) bool { return dated.MatchString(s) }

// date reads a date, as text or as TOML has dates.
func (c cursor) date() string {
	s, isText := c.value.(string)
	if d, isDate := c.value.(interface{ Format(string) string }); isDate {
		s, isText = d.Format("2006-01-02"), true
	}
	if !isText || !IsDate(s) {
		c.fail("must be a date, not "+describe(c.value), "write 2026-11-25")
		return ""
	}
	return s
}
