package marking

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
)

// Marks is one play marked.
type Marks struct {
	Student  string
	Exercise string
	Level    int
	Family   string
	Parts    []Part   // gains, then losses, in the order of the table
	Total    float64  // never below 0
	Most     float64  // that the table brings
	Steps    []Advice // by step of the play
	Truth    string
	Found    string
	Remedy   string
	Minutes  float64 // of the play, repairs and looks included
	Plan     exercise.Way
	Half     exercise.Way
	Altered  []int  // steps whose reply in the play's file is not the machine's
	Note     string // of an override
	Readings int
	Nothing  int // readings that told nothing
	Unsafe   int
	Guesses  int
	GoodPart int // good parts condemned, joints not counted
}

// Part is one line of the marks, with the numbers that it comes from.
type Part struct {
	Name   string // as the table of points calls it
	Title  string
	Points float64
	Most   float64 // 0 for a loss
	Why    string
	Set    bool // by the trainer
}

// partNames are the parts in their order.
var partNames = []string{"place", "kind", "proof", "reasons", "placing", "telling", "minutes", "remedy", "good_part", "good_joint", "unsafe", "guess"}

func isPart(name string) bool { return slices.Contains(partNames, name) }

// ErrOpen says that a play has no finding yet, so that nothing may be told.
var ErrOpen = errors.New("it has no finding yet: nothing is told before the student has committed")

// Mark marks a play that has ended.
func (j *Judge) Mark(p *exercise.Play, points Points) (Marks, error) {
	finding, ok := p.Finding()
	if !ok {
		return Marks{}, ErrOpen
	}
	x := p.Exercise
	m := Marks{Student: p.Student, Exercise: x.Name, Level: x.Hidden.Level, Family: x.Hidden.Family, Most: points.most(), Truth: x.Hidden.Fault.String(),
		Found: finding.Fault.String(), Remedy: finding.Remedy, Minutes: p.Minutes(), Plan: x.Hidden.Plan, Half: x.Hidden.HalfSplit, Altered: p.Altered}
	w := &way{j: j, p: p, m: &m, points: points, finding: finding}
	w.walk()
	w.gains()
	w.losses()
	m.add()
	return m, nil
}

// add sums the parts up.
func (m *Marks) add() {
	m.Total = 0
	for _, p := range m.Parts {
		m.Total += p.Points
	}
	m.Total = max(m.Total, 0)
}

// Apply lets a trainer's overrides have their way.
func (m *Marks) Apply(overrides []Override) {
	for _, o := range overrides {
		if o.Student != m.Student || o.Exercise != m.Exercise {
			continue
		}
		for i := range m.Parts {
			if v, ok := o.Set[m.Parts[i].Name]; ok {
				m.Parts[i].Points, m.Parts[i].Set = v, true
				m.Parts[i].Why += " (set by the trainer)"
			}
		}
		m.add()
		if o.Total != nil {
			m.Total = *o.Total
		}
		if o.Note != "" {
			m.Note = o.Note
		}
	}
}

// way is a play on its way to marks.
type way struct {
	j       *Judge
	p       *exercise.Play
	m       *Marks
	points  Points
	finding exercise.Action

	asked, reasoned, able int     // readings asked for; with a reason; that could tell something
	worth                 float64 // sum over readings of what each was expected to tell a minute, against the best
	last                  *standing
	cured                 []circuits.Single  // true faults taken away before the finding
	tried                 []hypothesis.Place // put right so far
	inOrder               float64            // minutes of repairs that were right or in their turn
	goodParts, goodJoints []string
	guesses               []string
	guessed               bool    // what was right was hit, not found
	known                 float64 // then: how likely the readings made it
	unsafe                []string
}

// walk goes from step to step.
func (w *way) walk() {
	for i, s := range w.p.Steps {
		a := Advice{Line: s.Action.Line, Reason: s.Action.Reason, Reply: s.Reply.Words, Minutes: s.Reply.Minutes}
		if s.Reply.Refused != "" {
			a.Reply, a.Unsafe = "refused: "+s.Reply.Refused, s.Reply.Unsafe
			if s.Reply.Unsafe {
				w.unsafe = append(w.unsafe, s.Action.Line)
			}
		}
		switch s.Action.Kind {
		case exercise.Measure:
			w.asked++
			if said(s.Action.Reason) {
				w.reasoned++
			}
			if s.Reply.Refused == "" {
				w.reading(i, &a)
			}
		case exercise.Repair:
			if s.Reply.Refused == "" {
				w.repair(i, s, &a)
			}
		case exercise.Find:
			w.last = w.j.at(w.p, i)
			a.Reply = ""
			w.found(&a)
		}
		w.m.Steps = append(w.m.Steps, a)
	}
	w.m.Readings, w.m.Unsafe, w.m.Guesses, w.m.GoodPart = w.asked, len(w.unsafe), len(w.guesses), len(w.goodParts)
}

// said tells whether a reason was given: three letters are the least that says anything.
func said(reason string) bool { return len([]rune(strings.TrimSpace(reason))) >= 3 }

// toldBits is the least information, expected or got, that counts as something.
const toldBits = 0.02

func (w *way) reading(i int, a *Advice) {
	before, after := w.j.at(w.p, i), w.j.at(w.p, i+1)
	a.measure(before, after, w.p.Steps[i])
	if a.Nothing {
		w.m.Nothing++
	}
	if !before.sure && after.sure && before.done { // the one reading more that proves what is all but decided
		w.able, w.worth = w.able+1, w.worth+1
		return
	}
	if before.own == nil {
		return
	}
	bits := before.own.bits
	if w.p.Steps[i].Action.Watch { // what watching catches is not reckoned beforehand, but seen
		bits = max(bits, a.Told)
	}
	if bits >= toldBits {
		w.able++
	}
	if before.best != nil {
		w.worth += min(1, bits/before.own.minutes/(before.best.bits/before.best.minutes))
	}
}

// repair judges a place put right before the finding. Where the readings have told all that pays, to try the places that
// are left in their order is the best that can be done, and a good one among them is no mistake.
func (w *way) repair(i int, s exercise.Step, a *Advice) {
	known := w.j.at(w.p, i)
	place := s.Action.At.String()
	share, likeliest := 0.0, 0.0
	for _, o := range known.places {
		if slices.Contains(o.Place.Locations(), s.Action.At) {
			share += o.Probability
		}
		if !slices.Contains(w.tried, o.Place) {
			likeliest = max(likeliest, o.Probability)
		}
	}
	turn := known.done && share >= openFrom && share >= turnShare*likeliest
	w.tried = append(w.tried, hypothesis.Place{First: hypothesis.Spot{At: s.Action.At}})
	if turn || s.Reply.Cured && share >= surePlace {
		w.inOrder += s.Reply.Minutes
	}
	if share < surePlace && !turn {
		w.guesses = append(w.guesses, "repair "+place)
		a.say("A guess: your readings gave %s %s, and open were %s.", place, view.PercentInWords(share), places(known.open()))
	}
	if s.Reply.Cured {
		for _, f := range w.truths() {
			if exercise.Cures(s.Action.At, f) {
				w.cured = append(w.cured, f)
				if share < surePlace && !turn {
					w.guessed, w.known = true, share
				}
			}
		}
		return
	}
	if turn {
		a.say("%s was good; your readings could not tell, and it was in its turn.", place)
		return
	}
	a.say("%s was good.", place)
	w.condemn(s.Action.At, place)
}

// turnShare is how likely a place must be, against the likeliest that was not tried, to be in its turn: the order is by
// odds over minutes, so the likeliest is not always the first.
const turnShare = 0.4

// condemn notes a good place that was opened, replaced or named.
func (w *way) condemn(at circuits.Location, place string) {
	c := w.p.Exercise.Circuit
	if !at.IsWire() && (at.From.Cavity == "" || at.From.Side == "device") && c.Stud(at.From.Place) == nil {
		w.goodParts = append(w.goodParts, place)
	} else {
		w.goodJoints = append(w.goodJoints, place)
	}
}

// surePlace is the probability from which on a place was no guess.
const surePlace = 0.9

// found judges the finding itself.
func (w *way) found(a *Advice) {
	for _, f := range []circuits.Single{w.finding.Fault.First, w.finding.Fault.Second} {
		if f.Kind == circuits.Healthy || f.Kind == circuits.Unlisted {
			continue
		}
		if w.truthAt(f) < 0 && !w.wasCured(f) {
			w.condemn(f.At, hypothesis.PlaceOf(circuits.Fault{First: f}).String())
		}
	}
	place := hypothesis.PlaceOf(w.finding.Fault)
	if len(w.cured) > 0 && w.missing() == 0 {
		return // it was put right and the machine tried: that is no guess
	}
	share := w.last.probability(place)
	if share < surePlace && !w.last.done {
		w.guessed, w.known = true, share
		w.guesses = append(w.guesses, "find "+w.finding.Fault.String())
		a.say("A guess: your readings gave %s %s, and open were %s.", place, view.PercentInWords(share), places(w.last.open()))
		if w.last.best != nil {
			a.say("What would have told: %s", w.last.best.words)
		}
	}
}

// truths are the true faults.
func (w *way) truths() []circuits.Single {
	out := []circuits.Single{w.p.Exercise.Hidden.Fault.First}
	if w.p.Exercise.Hidden.Fault.IsDouble() {
		out = append(out, w.p.Exercise.Hidden.Fault.Second)
	}
	return out
}

// truthAt is the index of the true fault at a found fault's place, -1 where there is none.
func (w *way) truthAt(f circuits.Single) int {
	for i, t := range w.truths() {
		if samePlace(f, t) {
			return i
		}
	}
	return -1
}

// samePlace tells whether two faults are put right at the same place; one of two bridged places will do.
func samePlace(a, b circuits.Single) bool {
	if hypothesis.PlaceOf(circuits.Fault{First: a}) == hypothesis.PlaceOf(circuits.Fault{First: b}) {
		return true
	}
	ends := func(s circuits.Single) []circuits.Location {
		if s.To.IsZero() {
			return []circuits.Location{s.At}
		}
		return []circuits.Location{s.At, s.To}
	}
	for _, x := range ends(a) {
		if a.Kind != circuits.ModuleInside && b.Kind != circuits.ModuleInside && slices.Contains(ends(b), x) {
			return true
		}
	}
	return false
}

func (w *way) wasCured(f circuits.Single) bool {
	return slices.ContainsFunc(w.cured, func(t circuits.Single) bool { return samePlace(f, t) })
}

// missing counts the true faults that were neither put right nor named.
func (w *way) missing() int {
	n := 0
	for _, t := range w.truths() {
		if !w.wasCured(t) && !samePlace(w.finding.Fault.First, t) && !samePlace(w.finding.Fault.Second, t) {
			n++
		}
	}
	return n
}

// places says which places are open.
func places(open []rank.PlaceOdds) string {
	var out []string
	for i, p := range open {
		if i == 4 {
			out = append(out, fmt.Sprintf("%d more", len(open)-i))
			break
		}
		out = append(out, fmt.Sprintf("%s (%s)", p.Place, view.PercentInWords(p.Probability)))
	}
	return joined(out)
}

func joined(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}
