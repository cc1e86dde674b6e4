package report

import (
	"slices"
	"strconv"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/rank"
)

// correction is the repair that was done, or the one that fits, with the rules for it and why no dearer part.
func (w writer) correction() []paper.Block {
	out := []paper.Block{paper.Heading{Text: say("head.correction")}}
	r := w.j.Repair
	if w.f.standing == Forbidden {
		if r.Done != "" {
			out = append(out, paper.Paragraph{Lead: say("correction.done"), Text: clipped(r.Done, mostLetters)})
		}
		out = append(out, paper.Paragraph{Text: say("correction.squib")})
		return append(out, w.rules([]string{"squib"})...)
	}
	fits, kinds := "", []string(nil)
	if w.v.Fault != (circuits.Fault{}) {
		fits, kinds = w.fits(w.v.Fault)
	} else if w.f.standing == Unproven && !r.Recorded() {
		fits, kinds = w.fits(w.f.fault)
	}
	for _, at := range w.v.Repaired {
		kinds = append(kinds, w.placeKinds(at)...)
	}
	switch {
	case r.Done != "":
		out = append(out, paper.Paragraph{Lead: say("correction.done"), Text: clipped(r.Done, mostLetters)})
	case fits == "":
		out = append(out, paper.Paragraph{Lead: say("correction.done"), Text: say("not_recorded")})
	case w.v.Fault != (circuits.Fault{}):
		out = append(out, paper.Paragraph{Lead: say("correction.proposed"), Text: fits})
	default:
		out = append(out, paper.Paragraph{Lead: say("correction.proposed_next", "place", w.f.place.Place.String()), Text: fits})
	}
	out = append(out, paper.Paragraph{Lead: say("correction.why_failed"), Text: firstOf(clipped(r.WhyFailed, mostLetters), say("not_recorded"))},
		paper.Paragraph{Lead: say("correction.neighbours"), Text: answered(r.Neighbours)})
	if dearer := w.dearer(); dearer != "" {
		out = append(out, paper.Paragraph{Lead: say("correction.dearer"), Text: dearer})
	}
	return append(out, w.rules(kinds)...)
}

// rules are the rules that apply to the kinds of place.
func (w writer) rules(kinds []string) []paper.Block {
	if len(kinds) == 0 {
		return nil
	}
	if list := rulesFor(w.o.Rules, kinds); len(list) > 0 {
		return []paper.Block{paper.Paragraph{Lead: say("correction.rules"), Text: strings.Join(list, " · "), Small: true}}
	}
	return nil
}

// placeKinds are the kinds of place, as rules name them, of a location.
func (w writer) placeKinds(at circuits.Location) []string {
	c := w.j.Circuit
	var out []string
	if w.onBus(at) {
		out = append(out, "bus")
	}
	p := at.From
	switch {
	case at.IsWire():
		if c.Splice(at.From.Place) != nil || c.Splice(at.To.Place) != nil {
			out = append(out, "splice")
		}
		return append(out, "wire")
	case c.Splice(p.Place) != nil:
		return append(out, "splice")
	case c.Stud(p.Place) != nil:
		return append(out, "stud")
	case p.Side == "device" && c.Module(p.Place) != nil, p.Cavity == "" && c.Module(p.Place) != nil:
		return append(out, "module")
	case p.Cavity == "" && c.Device(p.Place) != nil:
		return append(out, "part")
	}
	return append(out, "contact")
}

// onBus tells whether a place is on a run of a bus.
func (w writer) onBus(at circuits.Location) bool {
	for _, x := range w.j.Circuit.Wires {
		if w.j.Circuit.Runs[x.Run].Role != "bus" {
			continue
		}
		if x.Location == at || !at.IsWire() && at.From.Cavity != "" && (x.From.Terminal() == at.From.Terminal() || x.To.Terminal() == at.From.Terminal()) {
			return true
		}
	}
	return false
}

// fits is the repair that fits a fault and its place, and the kinds of place that it is done at.
func (w writer) fits(f circuits.Fault) (text string, kinds []string) {
	var out []string
	for _, s := range singles(f) {
		if t := w.fitsOne(s); !slices.Contains(out, t) {
			out = append(out, t)
		}
		kinds = append(kinds, w.placeKinds(s.At)...)
		if w.onBus(s.At) {
			out = append(out, say("repair.bus"))
		}
	}
	return strings.Join(out, " "), kinds
}

func (w writer) fitsOne(s circuits.Single) string {
	c := w.j.Circuit
	at, to := s.At.String(), s.To.String()
	series := s.Kind == circuits.Open || s.Kind == circuits.HighResistance
	switch {
	case s.Kind == circuits.Swapped:
		return say("repair.swapped", "at", at, "to", to)
	case s.Kind == circuits.ShortBetween && s.At.IsWire():
		return say("repair.between", "at", at, "to", to)
	case s.Kind == circuits.ShortBetween:
		return say("repair.between_ways", "at", at, "to", to)
	case s.Kind == circuits.DeviceInside:
		return say("repair.part", "part", named(c, s.At.From.Place))
	case s.Kind == circuits.ModuleInside:
		return say("repair.module", "part", named(c, s.At.From.Place), "pin", s.At.From.Terminal().String())
	case c.Stud(s.At.From.Place) != nil && !s.At.IsWire():
		return say("repair.stud", "at", named(c, s.At.From.Place))
	case s.At.IsWire() && series:
		text := say("repair.wire_series", "from", s.At.From.String(), "to", s.At.To.String())
		for _, end := range []string{s.At.From.Place, s.At.To.Place} {
			if c.Splice(end) != nil {
				text += " " + say("repair.wire_splice", "splice", named(c, end))
			}
		}
		return text
	case s.At.IsWire():
		return say("repair.wire_short", "from", s.At.From.String(), "to", s.At.To.String())
	case series:
		return say("repair.contact_series", "at", at)
	}
	return say("repair.contact_short", "at", at)
}

// dearer says of the parts on the conductor of the finding, and of the module, what they still hold and which reading
// speaks against them: why a joint is repaired and not a part replaced.
func (w writer) dearer() string {
	if !w.f.speaks() {
		return ""
	}
	here := map[string]bool{}
	for _, s := range singles(w.f.fault) {
		if s.Kind == circuits.DeviceInside || s.Kind == circuits.ModuleInside {
			here[s.At.From.Place] = true
		}
	}
	parts := slices.Clone(w.affected())
	for _, m := range w.j.Circuit.Modules {
		parts = append(parts, m.Name)
	}
	var out []string
	for _, part := range parts {
		if here[part] || len(out) == mostListed {
			continue
		}
		if text := w.dearerPart(part); text != "" {
			out = append(out, sentence(text))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return strings.Join(out, ". ") + "."
}

// dearerPart is what a part's own faults hold, with the reading that speaks most against the likeliest of them.
func (w writer) dearerPart(part string) string {
	var likeliest *rank.Candidate
	sum := 0.0
	for i := range w.r.Candidates {
		c := &w.r.Candidates[i]
		inside := c.Fault.Kind == circuits.DeviceInside || c.Fault.Kind == circuits.ModuleInside
		if !inside || c.Fault.At.From.Place != part || c.Whole().IsDouble() {
			continue
		}
		sum += c.Probability
		if likeliest == nil {
			likeliest = c
		}
	}
	if likeliest == nil {
		return ""
	}
	text := say("correction.dearer_part", "part", named(w.j.Circuit, part), "probability", percent(sum))
	if len(likeliest.Against()) == 0 {
		return text + say("correction.dearer_not")
	}
	index := w.r.Taken[strongest(*likeliest)]
	return text + say("correction.dearer_by", "n", strconv.Itoa(index+1), "where", lead(w.j.Readings[index]))
}

// cautions are the words of care for what the job involved.
func (w writer) cautions() []paper.Block {
	var list []string
	if w.f.standing != Forbidden { // there they are the first lines
		list = view.Cautions(w.v.withAfter())
	}
	if len(list) == 0 {
		return nil
	}
	return []paper.Block{paper.Paragraph{Lead: say("head.cautions") + ":", Text: strings.Join(list, " "), Small: true}}
}

// withAfter is the job with the readings after the repair, taken and proposed, among its readings, for the words of care
// that all of them ask for.
func (v Verification) withAfter() *circuits.Job {
	all := *v.j
	all.Readings = slices.Concat(v.j.Readings, v.j.Verification)
	for _, c := range v.Propose {
		all.Readings = append(all.Readings, c.Reading)
	}
	return &all
}
