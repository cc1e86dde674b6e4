package marking

import (
	"math/rand/v2"
	"os"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/exercise"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// student is a scripted way to work, for holding the marking against.
type student struct {
	name string
	work func(p *exercise.Play, random *rand.Rand)
}

const because = "it parts what is left"

// students are a perfect one (the planner's readings, with reasons), one who parts the odds whatever it costs, one who
// takes any reading that can tell something, and one who swaps the nearest part and names what comes to mind.
var students = []student{
	{"perfect", func(p *exercise.Play, _ *rand.Rand) {
		measure(p, true, func(r *rank.Ranking, plan plan.Plan, taken map[string]int) (circuits.Reading, bool) {
			return untaken(plan, taken)
		})
	}},
	{"half-split", func(p *exercise.Play, _ *rand.Rand) {
		measure(p, true, func(r *rank.Ranking, plan plan.Plan, taken map[string]int) (circuits.Reading, bool) {
			if plan.Telling != nil && taken[circuits.ReadingKey(plan.Telling.Reading)] == 0 {
				return plan.Telling.Reading, true
			}
			return untaken(plan, taken)
		})
	}},
	{"random", func(p *exercise.Play, random *rand.Rand) {
		measure(p, false, func(r *rank.Ranking, _ plan.Plan, taken map[string]int) (circuits.Reading, bool) {
			var open []circuits.Reading
			for _, s := range plan.All(r) {
				if s.GainBits >= toldBits {
					open = append(open, s.Reading)
				}
			}
			if len(open) == 0 {
				return circuits.Reading{}, false
			}
			return open[random.IntN(len(open))], true
		})
	}},
	{"guesser", func(p *exercise.Play, random *rand.Rand) {
		c := p.Exercise.Circuit
		d := c.Devices[random.IntN(len(c.Devices))]
		p.Do(exercise.Action{Kind: exercise.Repair, At: circuits.PointLocation(circuits.Point{Place: d.Name}), Line: "repair " + d.Name})
		hs := hypothesis.Hypotheses(c, hypothesis.DefaultWeights(), nil)
		f := hs[1+random.IntN(len(hs)-2)].Fault
		p.Do(exercise.Action{Kind: exercise.Find, Fault: circuits.Fault{First: f}, Line: "find " + f.String()})
	}},
}

// untaken is the planner's best reading that was not taken yet: one that showed nothing shows nothing again.
func untaken(plan plan.Plan, taken map[string]int) (circuits.Reading, bool) {
	for _, s := range plan.Suggestions {
		if taken[circuits.ReadingKey(s.Reading)] == 0 {
			return s.Reading, true
		}
	}
	return circuits.Reading{}, false
}

// thought is what the readings of a play come to, and what to do next.
type thought struct {
	ranking rank.Ranking
	plan    plan.Plan
}

// thoughts are those of all students so far: many stand where another one stood.
var thoughts = map[string]thought{}

func weighed(p *exercise.Play) (rank.Ranking, plan.Plan) {
	j := p.Evidence(len(p.Steps))
	key := p.Exercise.CircuitText + exercise.JobKey(j)
	found, ok := thoughts[key]
	if !ok {
		found.ranking = rank.Rank(j)
		found.plan = plan.Next(&found.ranking)
		thoughts[key] = found
	}
	return found.ranking, found.plan
}

// measure takes readings by a choice until the plan is done, then names the likeliest fault.
func measure(p *exercise.Play, reasons bool, choose func(*rank.Ranking, plan.Plan, map[string]int) (circuits.Reading, bool)) {
	taken := map[string]int{}
	for n := 0; ; n++ {
		r, plan := weighed(p)
		var next circuits.Reading
		ok := !plan.Done && n < 25
		if ok {
			next, ok = choose(&r, plan, taken)
		}
		if !ok || taken[circuits.ReadingKey(next)] > 1 {
			if reasons && plan.Done && tryInOrder(p, plan) {
				return
			}
			a := exercise.Action{Kind: exercise.Find, Fault: r.Candidates[0].Whole(), Line: "find " + r.Candidates[0].Name()}
			if reasons {
				a.Reason, a.Remedy = because, "put it right and try"
			}
			p.Do(a)
			return
		}
		taken[circuits.ReadingKey(next)]++
		a := exercise.Action{Kind: exercise.Measure, Reading: next, Watch: p.Exercise.Intermittent && next.Wiggle == "", Line: "a reading"}
		if reasons {
			a.Reason = because
		}
		p.Do(a)
	}
}

// tryInOrder puts the places that a plan leaves right, the likeliest first, until the machine is well, and names it.
func tryInOrder(p *exercise.Play, plan plan.Plan) bool {
	for _, o := range plan.Remaining {
		f := o.Leading
		if o.Probability < 0.02 || !o.Place.Known() || f.IsDouble() {
			return false
		}
		at := f.First.At
		if f.First.Kind == circuits.ModuleInside {
			at = circuits.PointLocation(circuits.Point{Place: at.From.Place})
		}
		if p.Do(exercise.Action{Kind: exercise.Repair, At: at, Reason: because, Line: "repair " + at.String()}).Cured {
			p.Do(exercise.Action{Kind: exercise.Find, Fault: f, Reason: because, Remedy: "put it right and try", Line: "find " + f.String()})
			return true
		}
	}
	return false
}

func made(t *testing.T, name string, level, count int) exercise.Set {
	t.Helper()
	text, err := library.Text(name)
	if name == "mast-height" {
		text, err = os.ReadFile("../../../../testdata/demo/mast-height.circuit.toml")
	}
	if err != nil {
		t.Fatal(err)
	}
	set, err := exercise.Make(exercise.Request{CircuitName: name, CircuitText: text, Level: level, Count: count, Seed: 5})
	if err != nil || len(set.Exercises) == 0 {
		t.Fatal(name, err, len(set.Exercises))
	}
	return set
}

// The marks stand in the order in which one would want to learn: who follows the plan before who parts the odds whatever
// it costs, before who measures at random, before who guesses.
func TestMarksStandInTheOrderOfTheWays(t *testing.T) {
	sums := make([]float64, len(students))
	right := make([]int, len(students))
	n := 0
	judge := NewJudge()
	for _, c := range []struct {
		name         string
		level, count int
	}{{"coolant-temperature", 2, 4}, {"coolant-temperature", 3, 3}, {"level-sender", 1, 3}, {"oil-pressure-switch", 2, 3}} {
		for _, x := range made(t, c.name, c.level, c.count).Exercises {
			n++
			for i, s := range students {
				p := exercise.NewPlay(x, s.name)
				s.work(p, rand.New(rand.NewPCG(uint64(i), x.Hidden.Seed)))
				m, err := judge.Mark(p, DefaultPoints())
				if err != nil {
					t.Fatal(err)
				}
				sums[i] += m.Total
				if m.Parts[0].Points == m.Parts[0].Most {
					right[i]++
				}
			}
		}
	}
	for i, s := range students {
		t.Logf("%-10s %5.1f points on average, the right place in %d of %d", s.name, sums[i]/float64(n), right[i], n)
		if i > 0 && sums[i] >= sums[i-1] {
			t.Errorf("%s has no fewer points than %s", s.name, students[i-1].name)
		}
	}
	if least := 85 * float64(n); sums[0] < least {
		t.Errorf("who follows the plan has %.1f points on average", sums[0]/float64(n))
	}
	if most := 10 * float64(n); sums[len(sums)-1] > most {
		t.Errorf("who guesses has %.1f points on average", sums[len(sums)-1]/float64(n))
	}
}
