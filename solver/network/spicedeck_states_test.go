package network_test

import (
	"maps"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
)

// This file finds the consistent states of piecewise parts. By rounds: every case of a round goes into one batch, every
// part whose solution asks for another state gets it, until none asks. Where that goes round in a circle, by trying all
// states there are: only where no vector of states agrees with itself is there no steady value.

const (
	spiceRounds  = 40   // rounds before every state is tried
	spiceVectors = 4096 // the most vectors of states to try
)

// spiceJob is a case on its way to its steady state.
type spiceJob struct {
	spiceCase
	states   map[string]int
	net      *spiceNet // the consistent network with its solution; nil: no steady value
	unsteady string    // why
	several  bool      // the rounds do not settle and more than one steady state exists: the contract does not decide
	seen     map[string]bool
	parts    map[string]int // states that each part met so far has
	done     bool
	melted   map[string]int // fuses
}

func newJob(k spiceCase) *spiceJob {
	return &spiceJob{spiceCase: k, states: map[string]int{}, seen: map[string]bool{}, parts: map[string]int{}}
}

// settle takes every job to its steady state, or finds that it has none. Fuses come last: the one that is overloaded most
// melts, and the job begins again without it.
func settle(t *testing.T, program string, jobs []*spiceJob) {
	t.Helper()
	for len(jobs) > 0 {
		settleOthers(t, program, jobs)
		var again []*spiceJob
		for _, j := range jobs {
			if j.net == nil || !j.melts() {
				continue
			}
			again = append(again, j)
		}
		jobs = again
	}
}

// melts melts the fuse that is overloaded most, and makes the job new.
func (j *spiceJob) melts() bool {
	worst, most := "", 1.0
	for _, f := range j.net.fuses {
		if load := f.load(j.net.solution); load > most {
			worst, most = f.id, load
		}
	}
	if worst == "" {
		return false
	}
	if j.melted == nil {
		j.melted = map[string]int{}
	}
	j.melted[worst] = melted
	fresh := newJob(j.spiceCase)
	fresh.melted = j.melted
	maps.Copy(fresh.states, j.melted)
	*j = *fresh
	return true
}

// settleOthers settles everything but the fuses.
func settleOthers(t *testing.T, program string, jobs []*spiceJob) {
	t.Helper()
	for round := range spiceRounds {
		var pending []*spiceJob
		var nets []*spiceNet
		for _, j := range jobs {
			if !j.done {
				net := j.build(j.states)
				for _, p := range net.parts {
					j.parts[p.id] = p.states()
				}
				pending, nets = append(pending, j), append(nets, net)
			}
		}
		flaws := solveNets(t, program, nets)
		for i, j := range pending {
			if flaws[i] != "" {
				j.done, j.unsteady = true, flaws[i]
				continue
			}
			j.advance(nets[i])
			if !j.done && round == spiceRounds-1 {
				j.done, j.unsteady = true, "no consistent state found"
			}
		}
	}
	for _, j := range jobs {
		if j.net == nil {
			j.tryAll(t, program)
		}
	}
}

// asks are the states that a solution asks for, and whether they are the assumed ones.
func (n *spiceNet) asks(states map[string]int) (next map[string]int, agreed bool) {
	next, agreed = map[string]int{}, true
	for id, state := range states {
		next[id] = state
	}
	for _, p := range n.parts {
		state := p.next(n.solution)
		agreed = agreed && state == states[p.id]
		next[p.id] = state
	}
	return next, agreed
}

// advance takes the states that a solution asks for.
func (j *spiceJob) advance(n *spiceNet) {
	next, agreed := n.asks(j.states)
	if agreed {
		j.done, j.net = true, n
		return
	}
	j.seen[statesKey(j.states)] = true
	if j.seen[statesKey(next)] {
		j.done, j.unsteady = true, "the states go round in a circle"
	}
	j.states = next
}

// states is how many states a part has.
func (p spicePart) states() int {
	if strings.HasPrefix(p.id, "reference ") {
		return 3
	}
	return 2
}

// tryAll looks for a vector of states that agrees with itself among all there are.
func (j *spiceJob) tryAll(t *testing.T, program string) {
	t.Helper()
	var ids []string
	vectors := 1
	for id, n := range j.parts {
		ids = append(ids, id)
		vectors *= n
	}
	if vectors > spiceVectors {
		t.Fatalf("%q: %d vectors of states are too many to try", j.fault, vectors)
	}
	slices.Sort(ids)
	var nets []*spiceNet
	var assumed []map[string]int
	for v := range vectors {
		states := maps.Clone(j.melted)
		if states == nil {
			states = map[string]int{}
		}
		for _, id := range ids {
			states[id] = v % j.parts[id]
			v /= j.parts[id]
		}
		net := j.build(states)
		present := map[string]int{} // a part that is not there in these states needs no state
		maps.Copy(present, j.melted)
		for _, p := range net.parts {
			present[p.id] = states[p.id]
		}
		if statesKey(present) == statesKey(states) {
			nets, assumed = append(nets, net), append(assumed, states)
		}
	}
	for i, flaw := range solveNets(t, program, nets) {
		if flaw != "" {
			continue
		}
		if _, agreed := nets[i].asks(assumed[i]); agreed {
			j.several = j.net != nil
			j.net, j.states, j.unsteady = nets[i], assumed[i], ""
		}
	}
}

func statesKey(states map[string]int) string {
	var out []string
	for id, s := range states {
		if s != 0 {
			out = append(out, id+"="+strconv.Itoa(s))
		}
	}
	sort.Strings(out)
	return strings.Join(out, ";")
}
