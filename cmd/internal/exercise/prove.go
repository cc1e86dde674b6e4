package exercise

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// prover lets the planner find faults. It keeps what it has planned: the machines of one set begin alike.
type prover struct {
	mu    sync.Mutex
	plans map[string]outlook
}

// outlook is what the planner makes of a job.
type outlook struct {
	plan.Plan
	group       []circuits.Fault // the leading group
	probability float64          // of the leading group
}

func newProver() *prover { return &prover{plans: map[string]outlook{}} }

// mostKept bounds the plans kept, some kilobytes each.
const mostKept = 4000

// plan plans a job's next reading.
func (p *prover) plan(j *circuits.Job) outlook {
	key := JobKey(j)
	p.mu.Lock()
	found, ok := p.plans[key]
	p.mu.Unlock()
	if ok {
		return found
	}
	r := rank.Rank(j)
	found = outlook{Plan: plan.Next(&r), probability: r.Groups[0].Probability}
	for _, c := range r.Groups[0].Faults {
		found.group = append(found.group, c.Whole())
	}
	p.mu.Lock()
	if len(p.plans) < mostKept {
		p.plans[key] = found
	}
	p.mu.Unlock()
	return found
}

// JobKey names what a job of one circuit knows.
func JobKey(j *circuits.Job) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%q %v %v", j.Codes, j.Intermittent, j.Assume) // fmt prints maps in the order of their keys
	for _, r := range j.Readings {
		fmt.Fprintf(&b, "|%s %s %s %v %v %v %v", circuits.ReadingKey(r), r.Wiggle, r.Symptom, r.Taken, r.OL, r.Value, r.High)
	}
	for _, i := range j.Inspections {
		fmt.Fprintf(&b, "|%s %s", i.At, i.Seen)
	}
	for _, t := range j.Tried {
		fmt.Fprintf(&b, "|%s %s", t.At, t.Result)
	}
	return b.String()
}

// Order is a way to choose the next reading.
type Order string

// The orders that exercises are proved and compared with.
const (
	Planned   Order = "planned"    // most information for a minute
	HalfSplit Order = "half-split" // most information, whatever it costs
)

// mostReadings bounds a way: whoever has not found it by then gives up. Half-split is there to be compared with, and need
// not be followed so far.
const (
	mostReadings  = 25
	mostHalfSplit = 12
)

// way lets an order find the fault of an exercise, in so many readings at most; two faults are found one after the other, with
// the first one put right in between.
func (p *prover) way(x *Exercise, order Order, most int) Way {
	play := NewPlay(x, "")
	var w Way
	truths := []circuits.Single{x.Hidden.Fault.First}
	if x.Hidden.Fault.IsDouble() {
		truths = append(truths, x.Hidden.Fault.Second)
	}
	found := 0
	for {
		plan := p.search(play, order, most)
		named := plan.names(truths)
		leading := plan.Remaining[0].Place
		w.Done, w.Place, w.Probability, w.Left = plan.Done, leading.String(), plan.probability, 0
		for _, place := range plan.Remaining {
			if place.Probability >= openFrom {
				w.Left++
			}
		}
		right := -1
		for i, t := range truths {
			if named[i] && (right < 0 || leading.Mends(t)) {
				right = i
			}
		}
		if right < 0 {
			break
		}
		found++
		w.PlaceRight = leading.Mends(truths[right])
		if len(truths) == 1 || named[0] && named[1] {
			found = len(truths)
			break
		}
		play.Do(Action{Kind: Repair, At: repairAt(truths[right]), Line: "repair " + repairAt(truths[right]).String()})
		truths = slices.Delete(truths, right, right+1)
		if len(truths) == 0 {
			break
		}
	}
	w.Right = found > 0 && found == len(truths) || len(truths) == 0
	for _, s := range play.Steps {
		if !s.measured() {
			continue
		}
		w.Readings = append(w.Readings, Words(x.Circuit, s.Action))
		w.Minutes += s.Reply.Minutes
	}
	return w
}

// measured tells whether a step is a reading that was made.
func (s Step) measured() bool { return s.Action.Kind == Measure && s.Reply.Refused == "" }

// measured counts the readings made so far.
func (p *Play) measured() int {
	n := 0
	for _, s := range p.Steps {
		if s.measured() {
			n++
		}
	}
	return n
}

// repairAt is the place that takes a fault away when it is put right.
func repairAt(s circuits.Single) circuits.Location {
	if s.Kind == circuits.ModuleInside {
		return circuits.PointLocation(circuits.Point{Place: s.At.From.Place})
	}
	return s.At
}

// search takes readings until the plan is done, nothing is left to take, or so many have been taken in all.
func (p *prover) search(play *Play, order Order, most int) outlook {
	taken := map[string]int{}
	steps := len(play.Steps) + mostReadings
	if order == HalfSplit {
		steps = len(play.Steps) + mostHalfSplit
	}
	for {
		plan := p.plan(play.Evidence(len(play.Steps)))
		if plan.Done || len(play.Steps) >= steps || play.measured() >= most {
			return plan
		}
		r, ok := choose(plan.Plan, order, taken)
		if !ok {
			return plan
		}
		taken[circuits.ReadingKey(r)]++
		if !play.Do(Action{Kind: Measure, Reading: r, Watch: play.Exercise.Intermittent && r.Wiggle == ""}).Taken {
			taken[circuits.ReadingKey(r)] = mostTaken // nothing to read there, now or later
		}
	}
}

// mostTaken is how often one reading is taken.
const mostTaken = 2

// choose picks the next reading of an order; one that was taken twice without a use is left.
func choose(plan plan.Plan, order Order, taken map[string]int) (circuits.Reading, bool) {
	if order == HalfSplit && plan.Telling != nil && taken[circuits.ReadingKey(plan.Telling.Reading)] < mostTaken {
		return plan.Telling.Reading, true
	}
	for _, s := range plan.Suggestions {
		if taken[circuits.ReadingKey(s.Reading)] < mostTaken {
			return s.Reading, true
		}
	}
	return circuits.Reading{}, false
}

// openFrom is the probability from which on a place counts as open.
const openFrom = 0.02

// open tells whether a fault's place is among those that the plan leaves open: where it is not, whoever repairs the
// places left in their order is done before its turn, and nothing has been proved.
func (o outlook) open(t circuits.Single) bool {
	return slices.ContainsFunc(o.Remaining, func(r rank.PlaceOdds) bool {
		return r.Probability >= openFrom && r.Place.Mends(t)
	})
}

// names tells which of the true faults the leading group names, at places that are open.
func (o outlook) names(truths []circuits.Single) [2]bool {
	var out [2]bool
	for _, f := range o.group {
		for i, t := range truths {
			out[i] = out[i] || f.First.WithoutOhms() == t.WithoutOhms() || f.Second.WithoutOhms() == t.WithoutOhms()
		}
	}
	for i, t := range truths {
		out[i] = out[i] && o.open(t)
	}
	return out
}

// Evidence is what the first steps of a play have shown, as a job. After a repair that took a fault away it begins anew,
// with the codes that the machine sets then.
func (p *Play) Evidence(steps int) *circuits.Job {
	j := p.Exercise.Job()
	from := 0
	for i, s := range p.Steps[:steps] {
		if s.Reply.Cured {
			from = i + 1
		}
	}
	if from > 0 {
		j.Codes = p.CodesAfter(from)
	}
	j.Inspections = p.Looked(from, steps)
	for _, s := range p.Steps[from:steps] {
		if s.Reply.Taken {
			j.Readings = append(j.Readings, s.Reply.Reading)
		}
	}
	j.Tried = p.tried(steps)
	return j
}

// tried are the places put right among the first steps while something is still wrong: it lies elsewhere.
func (p *Play) tried(steps int) []circuits.Tried {
	var out []circuits.Tried
	var repaired []circuits.Location
	for _, s := range p.Steps[:steps] {
		if s.Action.Kind == Repair && s.Reply.Refused == "" {
			repaired = append(repaired, s.Action.At)
			out = append(out, circuits.Tried{At: s.Action.At, Result: circuits.ResultRemains})
		}
	}
	if p.machine.left(repaired) == (circuits.Fault{}) {
		return nil
	}
	return out
}

// Words says a reading in a few words: leads and conditions.
func Words(c *circuits.Circuit, a Action) string {
	out := view.Where(a.Reading)
	if w := view.Conditions(c, a.Reading); w != "" {
		out += ", " + w
	}
	if a.Watch {
		out += ", watched"
	}
	return strings.ReplaceAll(out, "\u00a0", " ")
}
