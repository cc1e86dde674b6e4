package exercise

import (
	"fmt"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/network"
	"ohmtrail/solver/plan"
)

// Play is one student's way through an exercise. It holds no more than its steps: the same actions give the same play.
type Play struct {
	Exercise *Exercise
	Student  string
	Steps    []Step
	Altered  []int // steps of a resumed play whose reply is not what the machine answers: the file was changed by hand

	machine  *Machine
	repaired []circuits.Location
	reached  map[string]bool
	total    float64
	done     bool
}

// NewPlay begins a play.
func NewPlay(x *Exercise, student string) *Play {
	return &Play{Exercise: x, Student: Clean(student), machine: NewMachine(x), reached: map[string]bool{}}
}

// Done tells whether the student has committed to a finding.
func (p *Play) Done() bool { return p.done }

// Minutes of work so far.
func (p *Play) Minutes() float64 { return p.total }

// Finding is the action that ended the play; ok is false where it has not ended.
func (p *Play) Finding() (Action, bool) {
	if !p.done {
		return Action{}, false
	}
	return p.Steps[len(p.Steps)-1].Action, true
}

// Minutes beyond those of the circuit (ours).
const (
	minutesWatch = 2
	minutesLook  = 1
	minutesAsk   = 0.5
)

// mostSteps bounds a play: nobody measures that often, and a file of more is no play.
const mostSteps = 500

// Cost is what an action would take in minutes as the play stands, so that it can be told before it is done.
func (p *Play) Cost(a Action) float64 {
	c := p.Exercise.Circuit
	switch a.Kind {
	case Measure:
		cost := c.Minutes(a.Reading, p.reached)
		if a.Watch {
			cost += minutesWatch
		}
		return cost
	case Look:
		return minutesLook + p.way(nearEnd(c, a.At))
	case Ask:
		return minutesAsk
	case Repair:
		at := nearEnd(c, a.At)
		f := circuits.Fault{First: circuits.Single{Kind: circuits.Open, At: a.At}}
		if kind := c.KindOf(a.At.From.Place); !a.At.IsWire() && a.At.From.Cavity == "" {
			f.First.Kind = circuits.DeviceInside
			if kind == "module" {
				f.First.Kind = circuits.ModuleInside
			}
		}
		return hypothesis.RepairMinutes(c, f) - c.AccessMin(at) + p.way(at)
	}
	return 0
}

// way is what reaching a place takes as the play stands.
func (p *Play) way(name string) float64 {
	if p.reached[name] {
		return 0
	}
	return p.Exercise.Circuit.AccessMin(name)
}

// nearEnd is the element where a place is reached: for a wire the end that is reached sooner.
func nearEnd(c *circuits.Circuit, l circuits.Location) string {
	if l.IsWire() && c.AccessMin(l.To.Place) < c.AccessMin(l.From.Place) {
		return l.To.Place
	}
	return l.From.Place
}

// Do carries out an action, keeps it with its reply, and gives the reply. An action that is refused is kept too, for it
// is marked; it takes no minutes.
func (p *Play) Do(a Action) Reply {
	a.Reason, a.Remedy = Clean(a.Reason), Clean(a.Remedy)
	reply := p.reply(a)
	p.total += reply.Minutes
	reply.Total = p.total
	if reply.Refused == "" {
		p.touch(a)
	}
	p.Steps = append(p.Steps, Step{a, reply})
	if a.Kind == Find && reply.Refused == "" {
		p.done = true
	}
	return reply
}

func (p *Play) reply(a Action) Reply {
	switch {
	case p.done:
		return Reply{Refused: "the exercise has ended with your finding"}
	case len(p.Steps) >= mostSteps:
		return Reply{Refused: fmt.Sprintf("%d steps are enough: name what you found", mostSteps)}
	}
	cost := p.Cost(a)
	switch a.Kind {
	case Measure:
		return p.measure(a, cost)
	case Look:
		return Reply{Words: p.look(a.At), Minutes: cost}
	case Ask:
		return Reply{Words: p.Exercise.Hidden.Answers[a.Question], Minutes: cost}
	case Repair:
		return p.repair(a, cost)
	}
	return Reply{Words: "Noted: " + a.Fault.String() + ".", Minutes: cost}
}

// touch notes the places that an action reached.
func (p *Play) touch(a Action) {
	c := p.Exercise.Circuit
	switch a.Kind {
	case Measure:
		for _, name := range c.Touches(a.Reading) {
			p.reached[name] = true
		}
	case Look, Repair:
		p.reached[nearEnd(c, a.At)] = true
	}
}

func (p *Play) measure(a Action, cost float64) Reply {
	if f := p.machine.refuse(a, p.machine.left(p.repaired)); f != nil {
		return Reply{Refused: f.words, Unsafe: f.unsafe}
	}
	nth := 0
	for _, s := range p.Steps {
		if s.Action.Kind == Measure && circuits.ReadingKey(s.Action.Reading) == circuits.ReadingKey(a.Reading) && s.Reply.Refused == "" {
			nth++
		}
	}
	read, none := p.machine.show(a.Reading, a.Watch, p.repaired, nth)
	if none.Kind != network.NoReason {
		return Reply{Words: noValueWords(none), Minutes: cost}
	}
	words := view.Read(read)
	units := view.InUnits(p.Exercise.Job(), read)
	if d, _, possible := plan.InUnits(p.Exercise.Job(), read); possible {
		words += " (" + units + ")"
	} else if d != nil {
		words += ": " + units
	}
	switch {
	case read.Pair && plain(read):
		words += "; the complaint came and went meanwhile"
	case read.Symptom == circuits.SymptomThere:
		words += "; the complaint was there"
	case read.Symptom == circuits.SymptomAway:
		words += "; the complaint was away"
	}
	return Reply{Taken: true, Reading: read, Words: words, Minutes: cost}
}

func noValueWords(why network.Reason) string {
	switch why.Kind {
	case network.Unpowered:
		return "no value: the module does not answer"
	case network.Unsteady:
		return "no steady value: it jumps about"
	}
	return "no value: " + view.NoValue(why)
}

// look is what an eye finds at a place.
func (p *Play) look(at circuits.Location) string {
	c := p.Exercise.Circuit
	var found []string
	for _, s := range p.Exercise.Hidden.Seen {
		whole := !at.IsWire() && at.From.Cavity == "" && (s.At.From.Place == at.From.Place && !s.At.IsWire())
		if s.At == at || whole {
			found = append(found, view.Place(c, s.At)+": "+seenWords[s.Seen])
		}
	}
	if len(found) == 0 {
		return "nothing to be seen"
	}
	return strings.Join(found, "; ")
}

// Looked are the inspections among the steps of a play, as evidence; where nothing was seen it is "clean".
func (p *Play) Looked(from, upTo int) []circuits.Inspection {
	var out []circuits.Inspection
	for _, s := range p.Steps[from:upTo] {
		if s.Action.Kind != Look || s.Reply.Refused != "" {
			continue
		}
		at, any := s.Action.At, false
		for _, seen := range p.Exercise.Hidden.Seen {
			if seen.At == at || !at.IsWire() && at.From.Cavity == "" && seen.At.From.Place == at.From.Place && !seen.At.IsWire() {
				out, any = append(out, seen), true
			}
		}
		if !any {
			out = append(out, circuits.Inspection{At: at, Seen: "clean"})
		}
	}
	return out
}

func (p *Play) repair(a Action, cost float64) Reply {
	before := p.machine.left(p.repaired)
	p.repaired = append(p.repaired, a.At)
	after := p.machine.left(p.repaired)
	reply := Reply{Minutes: cost, Cured: after != before}
	what := "Repaired " + a.At.String()
	if !a.At.IsWire() && a.At.From.Cavity == "" && p.Exercise.Circuit.Stud(a.At.From.Place) == nil {
		what = "Replaced " + a.At.String()
	}
	codes := p.machine.with(after).Codes()
	switch {
	case !reply.Cured && p.Exercise.Intermittent:
		reply.Words = what + ". It ran well for an hour; then the complaint was back."
	case !reply.Cured:
		reply.Words = what + ". The complaint is as it was."
	case after == circuits.Fault{}:
		reply.Words = what + ". The complaint is gone, and no code comes back."
	case len(codes) == 0:
		reply.Words = what + ". The complaint has changed: something is still wrong, and no code is set."
	default:
		reply.Words = what + ". The complaint has changed; codes now: " + strings.Join(codes, ", ") + "."
	}
	return reply
}

// CodesAfter are the codes that the machine sets after the repairs among the first steps.
func (p *Play) CodesAfter(steps int) []string {
	var repaired []circuits.Location
	for _, s := range p.Steps[:steps] {
		if s.Action.Kind == Repair && s.Reply.Refused == "" {
			repaired = append(repaired, s.Action.At)
		}
	}
	return p.machine.with(p.machine.left(repaired)).Codes()
}
