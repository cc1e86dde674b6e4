package report

import (
	"math"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/models"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/rank"
)

// cause is the finding twice: in two sentences for the customer, and in the trade's words.
func (w writer) cause() []paper.Block {
	out := []paper.Block{paper.Heading{Text: say("head.cause")}}
	first, second := w.twoSentences()
	out = append(out, paper.Paragraph{Lead: say("plain.lead"), Text: first + " " + second})
	if !w.f.speaks() {
		return out
	}
	text := []string{say("trade.found", "fault", w.f.faults(), "place", clipped(view.FaultPlace(w.j.Circuit, w.f.lead.Whole()), 3*mostLabel), "ohms", ohmsWords(w.f.lead.Ohms))}
	text = append(text, w.wires()...)
	text = append(text, w.signals()...)
	return append(out, paper.Paragraph{Lead: say("trade.lead"), Text: strings.Join(text, " ")})
}

// twoSentences are what a customer understands: what is wrong, and what follows from it.
func (w writer) twoSentences() (first, second string) {
	switch w.f.standing {
	case Forbidden:
		return say("plain.stop"), say("plain.stop_next")
	case NothingMeasured:
		return say("plain.none"), say("plain.none_next")
	case NothingFound:
		return say("plain.healthy"), say("plain.healthy_next")
	case NothingListed:
		return say("plain.unlisted"), say("plain.unlisted_next")
	}
	so := ""
	part := w.f.fault.First.Kind == circuits.DeviceInside || w.f.fault.First.Kind == circuits.ModuleInside
	if devices := w.affected(); len(devices) > 0 && !part {
		var names []string
		for _, d := range devices {
			names = append(names, say("plain.where.part", "name", named(w.j.Circuit, d)))
		}
		so = say("plain.so", "devices", listed(names))
	}
	what := w.plainFinding()
	if w.f.standing == Unproven {
		second = say("plain.more_needed")
		if w.v.After == Verified {
			second = say("plain.unproven_verified")
		} else if w.j.Repair.Recorded() {
			second = say("plain.unproven_repaired")
		}
		if w.f.place.Probability < 0.5 {
			return say("plain.found_open"), second
		}
		return say("plain.found_unproven", "fault", what, "so", so), second
	}
	return sentence(say("plain.found", "fault", what, "so", so)), w.secondSentence(part)
}

// secondSentence is what follows from a proven finding: which part is innocent, and what was or is to be done.
func (w writer) secondSentence(part bool) string {
	kind := "joint"
	if part {
		kind = "part"
	}
	var what string
	switch done := w.j.Repair.Recorded(); {
	case w.mismatch() != "":
		return say("plain.elsewhere")
	case w.v.After == Verified:
		what = say("plain.verified." + kind)
	case w.v.After == Failed:
		what = say("plain.failed." + kind)
	case done:
		what = say("plain.unverified." + kind)
	case part && !w.wiringSound():
		what = say("plain.todo.part_open")
	default:
		what = say("plain.todo." + kind)
	}
	if part {
		return sentence(what)
	}
	switch sound := w.soundParts(); len(sound) {
	case 0:
		return sentence(what)
	case 1:
		return sentence(say("plain.part_sound", "part", sound[0], "what", what))
	default:
		return sentence(say("plain.parts_sound", "part", listed(sound), "what", what))
	}
}

// affected are the parts on the conductor of the finding that feel it, in file order: their own terminal there shows
// another voltage than on a healthy machine, or the module sees another value of theirs.
func (w writer) affected() []string {
	var out []string
	for _, net := range w.j.Circuit.Copper().Nets() {
		hit := false
		for _, at := range places(w.f.fault) {
			for _, p := range net {
				hit = hit || p.Terminal() == at.From.Terminal() && !at.From.IsZero()
			}
		}
		if !hit {
			continue
		}
		seen := false
		for _, p := range net {
			pin := w.j.Circuit.Pin(p)
			seen = seen || pin != nil && pin.Kind == circuits.PinInput && w.changes(p, circuits.ScanVolts)
		}
		for _, d := range w.j.Circuit.Devices {
			for _, t := range d.Terminals {
				p := circuits.Point{Place: d.Name, Cavity: t.Cavity}
				if slices.Contains(net, p) && d.Kind != circuits.Fuse && !slices.Contains(out, d.Name) && (seen || w.changes(p, circuits.Volts)) {
					out = append(out, d.Name)
				}
			}
		}
	}
	return out
}

// changes tells whether the finding changes what a reading shows with everything plugged in.
func (w writer) changes(p circuits.Point, q circuits.Quantity) bool {
	r := circuits.Reading{At: circuits.PointLocation(p), To: circuits.BNegative, Quantity: q, State: circuits.State{Key: circuits.KeyOn}}
	with, without := w.x.Expect(r, w.f.fault), w.x.Expect(r, circuits.Fault{})
	if with.Status != without.Status {
		return true
	}
	return math.Abs(with.Value-without.Value) > 0.05*max(math.Abs(without.Value), 0.2)
}

// soundParts are the affected parts whose own faults the readings have excluded.
func (w writer) soundParts() []string {
	var out []string
	for _, name := range w.affected() {
		if tested, _ := w.excluded(func(c rank.Candidate) bool {
			return c.Fault.Kind == circuits.DeviceInside && c.Fault.At.From.Place == name
		}); tested {
			out = append(out, say("plain.where.part", "name", named(w.j.Circuit, name)))
		}
	}
	return out
}

// wiringSound tells whether the readings have excluded every fault of wires and contacts.
func (w writer) wiringSound() bool {
	sound, _ := w.excluded(func(c rank.Candidate) bool {
		k := c.Fault.Kind
		return k != circuits.DeviceInside && k != circuits.ModuleInside && k != circuits.Unlisted && k != circuits.Healthy
	})
	return sound
}

// soundShare is what a part's own faults may still hold to be called excluded.
const soundShare = 0.01

// excluded tells whether what a group of faults holds is next to nothing, and how much it holds.
func (w writer) excluded(of func(rank.Candidate) bool) (bool, float64) {
	sum, there := 0.0, false
	for _, c := range w.r.Candidates {
		if of(c) {
			sum += c.Probability
			there = true
		}
	}
	return there && sum < soundShare, sum
}

// vague is the ratio of the bounds of a resistance from which on no best value is said.
const vague = 30

// ohmsWords says a resistance with its bounds, or its bounds alone where they are far apart.
func ohmsWords(o *evidence.Ohms) string {
	if o == nil {
		return ""
	}
	best, low, high := held(models.SI(o.Best, "Ω")), held(models.SI(o.Low, "Ω")), held(models.SI(o.High, "Ω"))
	switch {
	case math.IsNaN(o.Low) || math.IsNaN(o.High) || low == high:
		return say("trade.ohms", "best", best)
	case o.High > vague*o.Low:
		return say("trade.ohms_wide", "low", low, "high", high)
	}
	return say("trade.ohms_bounds", "best", best, "low", low, "high", high)
}

// wires say colour, size and run of the wires at the place of the finding.
func (w writer) wires() []string {
	var out []string
	for i := range w.j.Circuit.Wires {
		x := &w.j.Circuit.Wires[i]
		at := false
		for _, l := range places(w.f.fault) {
			at = at || l == x.Location || !l.IsWire() && l.From.Cavity != "" && (x.From.Terminal() == l.From.Terminal() || x.To.Terminal() == l.From.Terminal())
		}
		if !at || len(out) == 4 {
			continue
		}
		key := "trade.wire_detail"
		if x.Color == "" {
			key = "trade.wire_bare"
		}
		detail := say(key, "color", x.Color, "size", number(x.SizeMM2), "length", number(x.LengthM), "run", clipped(w.j.Circuit.Runs[x.Run].Title(), mostLabel))
		out = append(out, say("trade.cavity", "wire", x.Location.String(), "detail", detail))
	}
	return out
}

// signals say what the module takes its inputs for, where a plain scan value differs from a healthy one.
func (w writer) signals() []string {
	var out []string
	for i, index := range w.r.Taken {
		r := w.j.Readings[index]
		units := view.InUnits(w.j, r)
		e := w.r.HealthyReading(i)
		if r.Quantity != circuits.ScanVolts || units == "" || math.IsNaN(e.Low) || r.Value >= e.Low && r.Value <= e.High || len(out) == 2 {
			continue
		}
		out = append(out, say("trade.signal", "at", r.At.String(), "value", strings.TrimSuffix(plainSpace(value(r.Quantity, r.Value)), " V"), "healthy", value(r.Quantity, e.Value)),
			say("trade.unit", "words", units))
	}
	return out
}
