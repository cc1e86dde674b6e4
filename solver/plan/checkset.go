package plan

import (
	"math"
	"slices"
	"sort"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
)

const (
	// catchable is the chance from which on a slip counts as one that a reading can catch.
	catchable = 0.5
	// asGood is the share of the best reading's chance that another must have to do in its place: nearly all of it at the
	// repaired place itself, less for what is merely beside it.
	asGood, asGoodBeside = 0.9, 0.7
	// mostSteps bounds the search for the shortest set; beyond it the best set so far is kept.
	mostSteps = 200_000
)

// CheckReadings are the readings that may show whether a repair at some places held: what the module reports, readings
// at the places and connectors that were worked on and at the parts on the same conductors, and those of the job.
func CheckReadings(j *circuits.Job, repaired []circuits.Location) []circuits.Reading {
	near := map[string]bool{}
	for _, at := range repaired {
		near[at.From.Place], near[at.To.Place] = true, true
	}
	delete(near, "")
	for p, line := range conductors(j.Circuit) {
		if j.Circuit.Device(p.Place) != nil && line.passes(repaired) {
			near[p.Place] = true
		}
	}
	var out []circuits.Reading
	seen := map[string]bool{}
	add := func(r circuits.Reading) {
		r = circuits.Reading{At: r.At, To: r.To, Quantity: r.Quantity, State: r.State}
		if key := circuits.ReadingKey(r); !seen[key] {
			seen[key] = true
			out = append(out, r)
		}
	}
	for _, r := range j.Readings {
		if !r.Sound && (r.Quantity != circuits.Ohms || r.State.Key == circuits.KeyOff) {
			add(r)
		}
	}
	for _, r := range Candidates(j) {
		touches := r.Quantity == circuits.ScanVolts && len(r.State.Unplugged) == 0
		for _, place := range j.Circuit.Touches(r) {
			touches = touches || near[place]
		}
		if touches && safe(j, r) {
			add(r)
		}
	}
	return out
}

// passes tells whether a conductor passes through one of the places.
func (k *conductor) passes(places []circuits.Location) bool {
	for _, p := range k.points {
		for _, at := range places {
			if at.From.Terminal() == p.Terminal() || !at.To.IsZero() && at.To.Terminal() == p.Terminal() {
				return true
			}
		}
	}
	return false
}

// ShortestChecks picks the fewest checks, and of those the cheapest by the minute, that catch each slip about as well as
// the best of all checks does. have are checks whose readings have been taken already. It gives their indices, the
// cheapest first, and for each slip the chance that they and what is there catch it; a slip that no check catches with a
// chance of one half or more asks for none. reached are the places that need no access any more.
func ShortestChecks(c *circuits.Circuit, slips []hypothesis.Slip, checks, have []evidence.Check, reached map[string]bool) (picked []int, chance []float64) {
	n := len(slips)
	s := coverSearch{c: c, checks: checks, reached: reached, minutes: math.Inf(1)}
	there, most := best(n, have, nil, nil), best(n, append(slices.Clone(checks), have...), nil, nil)
	need, want := make([]bool, n), make([]float64, n)
	for i := range n {
		want[i] = asGoodBeside * most[i]
		if k := slips[i].Kind; k == hypothesis.SlipStays || k == hypothesis.SlipPlace || k == hypothesis.SlipPart {
			want[i] = asGood * most[i]
		}
		need[i] = most[i] >= catchable && there[i] < want[i]
	}
	s.covers = make([][]bool, len(checks))
	for k := range checks {
		s.covers[k] = make([]bool, n)
		for i, p := range checks[k].Catches {
			s.covers[k][i] = need[i] && p >= want[i]
		}
	}
	s.drop()
	s.search(need, nil)
	sort.SliceStable(s.best, func(a, b int) bool { return checks[s.best[a]].Minutes < checks[s.best[b]].Minutes })
	return s.best, best(n, have, checks, s.best)
}

// best is the best chance by slip among all of a and the picked ones of b.
func best(n int, a, b []evidence.Check, picked []int) []float64 {
	out := make([]float64, n)
	add := func(c evidence.Check) {
		for i, p := range c.Catches {
			out[i] = max(out[i], p)
		}
	}
	for _, c := range a {
		add(c)
	}
	for _, k := range picked {
		add(b[k])
	}
	return out
}

// coverSearch looks for the least set of checks, branching on the slip that fewest checks cover.
type coverSearch struct {
	c       *circuits.Circuit
	checks  []evidence.Check
	covers  [][]bool
	use     []int // checks that no other one makes needless
	reached map[string]bool

	best    []int
	minutes float64
	found   bool
	steps   int
}

// within tells whether all that is true in a is true in b.
func within(a, b []bool) bool {
	for i := range a {
		if a[i] && !b[i] {
			return false
		}
	}
	return true
}

// drop leaves out a check whose slips another one covers too at no greater cost, whatever else is taken: it reaches no
// further place and takes no longer once all is reached.
func (s *coverSearch) drop() {
	bare, touches := make([]float64, len(s.checks)), make([][]string, len(s.checks))
	for a := range s.checks {
		touches[a] = s.c.Touches(s.checks[a].Reading)
		all := map[string]bool{}
		for _, place := range touches[a] {
			all[place] = true
		}
		bare[a] = s.c.Minutes(s.checks[a].Reading, all)
	}
	noDearer := func(b, a int) bool {
		for _, place := range touches[b] {
			if !slices.Contains(touches[a], place) {
				return false
			}
		}
		return bare[b] <= bare[a]
	}
	for a := range s.checks {
		keep := slices.Contains(s.covers[a], true)
		for b := range s.checks {
			if keep && a != b && within(s.covers[a], s.covers[b]) && noDearer(b, a) {
				// Of two alike in both, the first stays.
				keep = a < b && within(s.covers[b], s.covers[a]) && noDearer(a, b)
			}
		}
		if keep {
			s.use = append(s.use, a)
		}
	}
}

// cost is what a set takes when its readings share what is reached.
func (s *coverSearch) cost(set []int) float64 {
	reached := map[string]bool{}
	for k := range s.reached {
		reached[k] = true
	}
	total := 0.0
	for _, k := range set {
		total += s.c.Minutes(s.checks[k].Reading, reached)
		for _, place := range s.c.Touches(s.checks[k].Reading) {
			reached[place] = true
		}
	}
	return total
}

// search covers what is open with more checks beside those of the set.
func (s *coverSearch) search(open []bool, set []int) {
	s.steps++
	hardest := s.hardest(open)
	if hardest < 0 {
		minutes := s.cost(set)
		if !s.found || len(set) < len(s.best) || len(set) == len(s.best) && minutes < s.minutes {
			s.best, s.minutes, s.found = slices.Clone(set), minutes, true
		}
		return
	}
	if s.found && (s.steps > mostSteps || len(set)+1 > len(s.best)) {
		return
	}
	var options []int
	for _, k := range s.use {
		if s.covers[k][hardest] {
			options = append(options, k)
		}
	}
	worth := func(k int) int {
		n := 0
		for i := range open {
			if open[i] && s.covers[k][i] {
				n++
			}
		}
		return n
	}
	sort.SliceStable(options, func(a, b int) bool { return worth(options[a]) > worth(options[b]) })
	for _, k := range options {
		left := slices.Clone(open)
		for i := range left {
			left[i] = left[i] && !s.covers[k][i]
		}
		s.search(left, append(slices.Clone(set), k))
	}
}

// hardest is the open slip that fewest checks cover; -1 where none is open.
func (s *coverSearch) hardest(open []bool) int {
	hardest, fewest := -1, math.MaxInt
	for i := range open {
		if !open[i] {
			continue
		}
		count := 0
		for _, k := range s.use {
			if s.covers[k][i] {
				count++
			}
		}
		if count < fewest {
			hardest, fewest = i, count
		}
	}
	return hardest
}
