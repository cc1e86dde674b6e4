// Package marking marks a play of an exercise: the way, not only the answer. Every mark carries the numbers it comes
// from, and what it says of a reading is reckoned from what the student's own readings had shown by then.
//
//	judge := marking.NewJudge()            // one for a whole class; safe for many goroutines
//	judge.Follow(play)                     // after any step, beforehand: some tenths of a second of work a reading
//	marks, err := judge.Mark(play, marking.DefaultPoints())
package marking

import (
	"strings"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Judge reckons what was known at each step of a play, and keeps it: students of one exercise begin alike.
type Judge struct {
	mu    sync.Mutex
	kept  map[string]*standing
	slots chan struct{}
}

// NewJudge is a judge that knows nothing yet. It weighs two plays at once at the most, so that a class's page stays
// quick while it does.
func NewJudge() *Judge {
	return &Judge{kept: map[string]*standing{}, slots: make(chan struct{}, 2)}
}

// standing is what was known at a step, and what the reading taken then was expected to tell.
type standing struct {
	once   sync.Once
	places []rank.PlaceOdds
	bits   float64 // entropy of the places
	done   bool
	why    string // of done
	sure   bool   // a direct reading has confirmed the leading place
	groups [][]circuits.Fault

	best *offer // the planner's next reading, nil where none tells anything
	own  *offer // the reading that was taken; nil where nothing was
}

// offer is a reading with what it was expected to tell.
type offer struct {
	words   string
	key     string
	bits    float64
	minutes float64
	bands   []plan.OutcomeBand
	parts   []string // the places that its likeliest two outcomes speak for
}

// mostKept bounds what a judge keeps.
const mostKept = 20000

// at is what was known before step n of a play (all of it, for the number of its steps).
func (j *Judge) at(p *exercise.Play, n int) *standing {
	job := p.Evidence(n)
	var own *circuits.Reading
	key := p.Exercise.Hidden.Fault.String() + p.Exercise.CircuitText + exercise.JobKey(job)
	empty := map[string]bool{} // readings that had nothing to show, or were refused: they are no better reading later
	for _, step := range p.Steps[:n] {
		if k := circuits.ReadingKey(step.Action.Reading); step.Action.Kind == exercise.Measure && !step.Reply.Taken && !empty[k] {
			empty[k] = true
			key += "-" + k
		}
	}
	if n < len(p.Steps) && p.Steps[n].Action.Kind == exercise.Measure && p.Steps[n].Reply.Refused == "" {
		own = &p.Steps[n].Action.Reading
		key += "?" + circuits.ReadingKey(*own)
	}
	j.mu.Lock()
	if len(j.kept) > mostKept {
		j.kept = map[string]*standing{}
	}
	s := j.kept[key]
	if s == nil {
		s = &standing{}
		j.kept[key] = s
	}
	j.mu.Unlock()
	s.once.Do(func() {
		j.slots <- struct{}{}
		s.reckon(job, own, empty, p.Exercise)
		<-j.slots
	})
	return s
}

func (s *standing) reckon(job *circuits.Job, own *circuits.Reading, empty map[string]bool, x *exercise.Exercise) {
	r := rank.Rank(job)
	next := plan.Next(&r)
	s.places, s.done, s.why, s.sure = next.Remaining, next.Done, view.Reason(&r, next), r.Confirmed()
	var weights []float64
	for _, p := range s.places {
		weights = append(weights, p.Probability)
	}
	s.bits = plan.Entropy(weights)
	for _, g := range r.Groups {
		if g.Probability < 0.001 {
			break
		}
		var faults []circuits.Fault
		for _, c := range g.Faults {
			faults = append(faults, c.Whole())
		}
		s.groups = append(s.groups, faults)
	}
	for _, o := range next.Suggestions {
		if !empty[circuits.ReadingKey(o.Reading)] {
			s.best = newOffer(x.Circuit, o)
			break
		}
	}
	if own != nil {
		w := *own
		w.Taken = false
		s.own = newOffer(x.Circuit, plan.Weigh(&r, []circuits.Reading{w})[0])
	}
}

func newOffer(c *circuits.Circuit, s plan.Suggestion) *offer {
	o := &offer{words: strings.ReplaceAll(view.Instruction(c, circuits.Reading{}, s.Reading), "\u00a0", " "), key: circuits.ReadingKey(s.Reading), bits: max(s.GainBits, 0), minutes: s.Minutes, bands: s.Outcomes}
	for i, b := range s.Outcomes {
		if i < 2 && len(b.Places) > 0 {
			o.parts = append(o.parts, b.Places[0].String())
		}
	}
	return o
}

// Follow reckons beforehand what marking a play's steps so far will need.
func (j *Judge) Follow(p *exercise.Play) {
	for i := range p.Steps {
		if p.Steps[i].Action.Kind == exercise.Measure {
			j.at(p, i)
		}
	}
	j.at(p, len(p.Steps))
}

// probability of a place.
func (s *standing) probability(place hypothesis.Place) float64 {
	for _, p := range s.places {
		if p.Place == place {
			return p.Probability
		}
	}
	return 0
}

// openFrom is the probability from which on a place counts as open.
const openFrom = 0.02

// open are the places that are open, likeliest first.
func (s *standing) open() []rank.PlaceOdds {
	var out []rank.PlaceOdds
	for _, p := range s.places {
		if p.Probability >= openFrom {
			out = append(out, p)
		}
	}
	return out
}
