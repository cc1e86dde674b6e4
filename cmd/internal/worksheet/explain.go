package worksheet

import (
	"errors"
	"math"
	"slices"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// Explain offers some faults of which some readings decide one.
type Explain struct {
	Complaint string // of an exercise; "" for none
	Codes     []string
	Readings  []circuits.Reading // taken, under Truth
	Truth     circuits.Fault     // with ohms
	Offered   []circuits.Fault   // without ohms, in the order of their letters
	Answer    int                // index of the true one
	Share     float64            // its probability among those offered
	Place     string             // what would be repaired
	PlaceOdds float64            // of its place among all faults that the circuit allows
	Mates     []string           // faults of its group: what no reading here tells from it
	Against   [][]Contradiction  // by offered fault: what speaks against it
}

// Contradiction is a reading that speaks against a fault.
type Contradiction struct {
	Reading  int    // index
	Shows    string // what was read
	Predicts string // what it would show under the fault
}

const (
	offeredFaults  = 4
	fewestReadings = 2
	mostReadings   = 5
	decides        = 0.95 // the least share that counts as decided
	mostTries      = 25   // true faults that are tried before a sheet goes without
)

func (m *maker) explain(asked *circuits.Job, truth circuits.Fault) (*Explain, error) {
	if usable(truth) {
		j := bare(m.job)
		j.Codes, j.Complaint = asked.Codes, asked.Complaint
		if e := m.explained(j, truth); e != nil {
			return e, nil
		}
	}
	for n, i := range m.order(3) {
		f := circuits.Fault{First: m.pool[i]}
		if n > mostTries {
			break
		}
		if m.used[f.WithoutOhms()] || !m.seen(f) {
			continue
		}
		if e := m.explained(bare(m.job), f); e != nil {
			m.used[f.WithoutOhms()] = true
			return e, nil
		}
	}
	return nil, errors.New(say("error.explain"))
}

// usable tells whether the fault of an exercise can stand on a sheet: a single one whose values follow from its name.
func usable(f circuits.Fault) bool {
	return f.First.Kind != circuits.Healthy && !f.IsDouble() && f.First.Words != circuits.ReadsWrong
}

// seen tells whether a fault changes anything at the test points.
func (m *maker) seen(f circuits.Fault) bool {
	healthy, c := m.column("", circuits.Fault{}), m.column("", f)
	for i := range c.Cells {
		if c.Cells[i].unsteady() {
			return false
		}
	}
	for i := range c.Cells {
		if !alikeCells(healthy.Cells[i], c.Cells[i]) {
			return true
		}
	}
	return false
}

// explained takes the planner's readings under a fault until they decide, and offers with it faults that were open after
// the first of them. It is nil where the readings decide nothing.
func (m *maker) explained(j *circuits.Job, truth circuits.Fault) *Explain {
	var early []rank.Candidate
	var r rank.Ranking
	for {
		r = rank.Rank(j)
		if len(j.Readings) == 1 {
			early = r.Candidates
		}
		plan := plan.Next(&r)
		leads := r.Groups[0].Faults[0].Place() == hypothesis.PlaceOf(truth)
		if len(j.Readings) >= fewestReadings && leads && r.Groups[0].Probability > 0.8 || len(j.Readings) == mostReadings {
			break
		}
		taken, ok := m.take(j, plan, truth)
		if !ok {
			break
		}
		j.Readings = append(j.Readings, taken)
	}
	if len(j.Readings) < fewestReadings {
		return nil
	}
	true_, ok := r.Find(truth.WithoutOhms())
	if !ok || r.GroupOf(true_) != 0 {
		return nil
	}
	e := &Explain{Complaint: j.Complaint, Codes: j.Codes, Readings: j.Readings, Truth: truth, Place: true_.Place().String()}
	wrong := m.distractors(r, early, true_)
	if len(wrong) < offeredFaults-1 {
		return nil
	}
	e.offer(m, r, true_, wrong[:offeredFaults-1])
	if e.Share < decides {
		return nil
	}
	return e
}

// take takes the best of the planner's readings that has a value under the fault and was not taken yet.
func (m *maker) take(j *circuits.Job, plan plan.Plan, truth circuits.Fault) (circuits.Reading, bool) {
	for _, s := range plan.Suggestions {
		if s.Reading.Quantity == circuits.Amps || s.Reading.Wiggle != "" {
			continue // a class has a voltmeter and a sheet of paper
		}
		if taken, ok := read(j, s.Reading, truth); ok && !takenAlready(j.Readings, s.Reading) {
			return taken, true
		}
	}
	return circuits.Reading{}, false
}

// distractors are faults elsewhere that were likely after the first reading and are out after the last, the likeliest
// first, of different places and as different kinds as there are.
func (m *maker) distractors(r rank.Ranking, early []rank.Candidate, truth rank.Candidate) []rank.Candidate {
	before := map[string]float64{}
	for _, c := range early {
		before[c.Name()] = c.Probability
	}
	var list []rank.Candidate
	for _, c := range r.Candidates {
		f := c.Whole()
		if f.IsDouble() || f.First.Kind == circuits.Healthy || f.First.Kind == circuits.Unlisted || r.GroupOf(c) == 0 || c.Place() == truth.Place() {
			continue
		}
		if slices.ContainsFunc(c.Against(), func(position int) bool { return clear(r, c, position) }) {
			list = append(list, c)
		}
	}
	sort.SliceStable(list, func(a, b int) bool { return before[list[a].Name()] > before[list[b].Name()] })
	var out, rest []rank.Candidate
	places, kinds := map[hypothesis.Place]bool{}, map[circuits.FaultKind]int{}
	for _, c := range list {
		switch {
		case places[c.Place()]:
		case kinds[c.Whole().First.Kind] >= 2:
			rest = append(rest, c)
		default:
			places[c.Place()] = true
			kinds[c.Whole().First.Kind]++
			out = append(out, c)
		}
	}
	for _, c := range rest {
		if !places[c.Place()] {
			places[c.Place()] = true
			out = append(out, c)
		}
	}
	return out
}

// clear tells whether a reading speaks against a fault so that somebody sees it who reckons by hand: by a quarter of a
// volt, by a factor of 1.5 in ohms, or by a value where none can be.
func clear(r rank.Ranking, c rank.Candidate, position int) bool {
	read, v := r.Job.Readings[r.Taken[position]], c.Predicts[position]
	switch {
	case read.OL || c.Over[position]:
		return read.OL != c.Over[position]
	case math.IsNaN(v):
		return true
	case read.Quantity == circuits.Ohms:
		low, high := min(read.Value, v)+1, max(read.Value, v)+1
		return high > 1.5*low
	}
	return abs(read.Value-v) > 0.25
}

// offer shuffles the faults and keeps what speaks against each.
func (e *Explain) offer(m *maker, r rank.Ranking, truth rank.Candidate, wrong []rank.Candidate) {
	all := append([]rank.Candidate{truth}, wrong...)
	order := m.chance(4).Perm(len(all))
	sum := 0.0
	for letter, i := range order {
		c := all[i]
		sum += c.Probability
		e.Offered = append(e.Offered, c.Whole().WithoutOhms())
		if i == 0 {
			e.Answer = letter
		}
		var against []Contradiction
		for _, position := range c.Against() {
			if !clear(r, c, position) {
				continue
			}
			n := r.Taken[position]
			k := Contradiction{Reading: n, Shows: shown(e.Readings[n]), Predicts: view.NoValue(c.Why[position])}
			if v := c.Predicts[position]; !math.IsNaN(v) {
				k.Predicts = predicted(e.Readings[n], v)
			}
			if c.Over[position] {
				k.Predicts = say("ol")
			}
			against = append(against, k)
		}
		e.Against = append(e.Against, against)
	}
	e.Share = truth.Probability / sum
	for _, p := range r.Places() {
		if p.Place == truth.Place() {
			e.PlaceOdds = p.Probability
		}
	}
	for _, c := range r.Groups[0].Faults {
		if c.Name() != truth.Name() && c.Probability > 0.01 {
			e.Mates = append(e.Mates, c.Name())
		}
	}
}
