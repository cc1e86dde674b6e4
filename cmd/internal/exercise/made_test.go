package exercise

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/circuits/read"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/plan"
	"ohmtrail/solver/rank"
)

// circuitText is a circuit of the library, or the demo.
func circuitText(t testing.TB, name string) []byte {
	t.Helper()
	text, err := library.Text(name)
	if name == "mast-height" {
		text, err = os.ReadFile("../../../testdata/demo/mast-height.circuit.toml")
	}
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func request(t testing.TB, name string, level, count int) Request {
	return Request{CircuitName: name, CircuitText: circuitText(t, name), Level: level, Count: count, Seed: 5}
}

func mustParse(t testing.TB, q Request) *circuits.Circuit {
	t.Helper()
	c, problems := read.Circuit(q.CircuitName, q.CircuitText)
	if c == nil {
		t.Fatal(problems)
	}
	return c
}

// provers are one for each circuit: what a test has had planned, the next one need not have planned again.
var provers = map[string]*prover{}

// makerOf begins a set with the plans of the tests before.
func makerOf(t testing.TB, q Request) *maker {
	t.Helper()
	m := newMaker(q, mustParse(t, q))
	if provers[q.CircuitName] == nil {
		provers[q.CircuitName] = m.prover
	}
	m.prover = provers[q.CircuitName]
	m.list()
	return m
}

func mustMake(t testing.TB, q Request) Set {
	t.Helper()
	m := makerOf(t, q)
	m.prove()
	return m.set
}

// some is a set that many tests look at: permanent faults and such as come and go.
func some(t testing.TB) []*Exercise {
	t.Helper()
	if len(someMade) == 0 {
		someMade = mustMake(t, request(t, "coolant-temperature", 3, 8)).Exercises
	}
	return someMade
}

var someMade []*Exercise

// What others have had planned makes no difference: one of the two sets is made with the plans of other tests, one without.
func TestSameRequestMakesSameExercises(t *testing.T) {
	a := mustMake(t, request(t, "level-sender", 2, 3))
	b, err := Make(request(t, "level-sender", 2, 3))
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Exercises) != 3 {
		t.Fatalf("%d exercises", len(a.Exercises))
	}
	for i := range a.Exercises {
		x, y := a.Exercises[i], b.Exercises[i]
		if x.openText() != y.openText() || !reflect.DeepEqual(x.JSON(), y.JSON()) {
			t.Errorf("%s: %s, then %s", x.Name, x.Hidden.Fault, y.Hidden.Fault)
		}
	}
	q := request(t, "level-sender", 2, 3)
	q.Seed++
	if c := mustMake(t, q); reflect.DeepEqual(c.Exercises[0].JSON(), a.Exercises[0].JSON()) && reflect.DeepEqual(c.Exercises[1].JSON(), a.Exercises[1].JSON()) {
		t.Error("another seed makes the same exercises")
	}
}

// Every exercise is of its level and proved; no two are alike; those of one family look alike and are at fault at
// different places.
func TestWhatIsMadeHolds(t *testing.T) {
	families, several := map[string]*Exercise{}, 0
	places := map[string]bool{}
	for _, x := range some(t) {
		h := x.Hidden
		if h.Level != 3 || h.Difficulty.Level() != 3 {
			t.Errorf("%s is of level %d", x.Name, h.Level)
		}
		if !h.Plan.Done || !h.Plan.Right || len(h.Plan.Readings) != h.Difficulty.Readings || h.Plan.Minutes <= 0 || h.HalfSplit.Minutes <= 0 {
			t.Errorf("%s (%s) is not proved: %+v", x.Name, h.Fault, h.Plan)
		}
		place := h.Family + " " + hypothesis.PlaceOf(h.Fault).String()
		if places[place] {
			t.Errorf("two exercises of family %s are at fault at %s", h.Family, place)
		}
		places[place] = true
		if f := families[h.Family]; f == nil {
			families[h.Family] = x
		} else {
			several++
			if f.Complaint != x.Complaint || !reflect.DeepEqual(f.Codes, x.Codes) || !reflect.DeepEqual(f.Stands, x.Stands) {
				t.Errorf("%s and %s are of one family, and say %q %v and %q %v", f.Name, x.Name, f.Complaint, f.Codes, x.Complaint, x.Codes)
			}
		}
		if len(h.Answers) != len(x.Questions) || len(x.Questions) < 4 {
			t.Errorf("%s: %d answers to %d questions", x.Name, len(h.Answers), len(x.Questions))
		}
		for _, s := range h.Seen {
			if s.At == h.Fault.First.At && damage(h.Fault.First) == nil {
				t.Errorf("%s: something is to be seen at %s", x.Name, h.Fault)
			}
		}
	}
	if several == 0 {
		t.Error("no family has two exercises")
	}
}

// A machine on which the planner ends elsewhere, or does not end, is no exercise.
func TestUnprovedMachinesAreLeft(t *testing.T) {
	q := request(t, "level-sender", Levels, 1)
	m := newMaker(q, mustParse(t, q))
	m.list()
	d := m.drawn[0]
	first := JobKey(NewPlay(d.x, "").Evidence(0))
	elsewhere := outlook{Plan: plan.Plan{Done: true, Remaining: []rank.PlaceOdds{{Place: hypothesis.Place{First: hypothesis.Spot{Unlisted: true}}, Probability: 1}}}}
	for name, end := range map[string]outlook{"elsewhere": elsewhere, "nowhere": {Plan: plan.Plan{Remaining: elsewhere.Remaining}, group: []circuits.Fault{d.x.Hidden.Fault}}} {
		m.prover = newProver()
		m.prover.plans[first] = end
		if v := m.grade(d); v != unproved {
			t.Errorf("%s: a machine whose plan ends there is %v", name, v)
		}
		m.keep(d, m.grade(d))
	}
	if len(m.set.Exercises) != 0 || m.set.Unproved != 2 {
		t.Errorf("%d exercises, %d unproved", len(m.set.Exercises), m.set.Unproved)
	}
}

func TestFewerThanAskedForIsSaid(t *testing.T) {
	q := request(t, "level-sender", 1, 300)
	s := mustMake(t, q)
	if len(s.Exercises) >= 300 || len(s.Exercises) == 0 {
		t.Fatalf("%d exercises", len(s.Exercises))
	}
	words := s.Short(q)
	for _, want := range []string{"level 1, not 300", "tried: ", "show nothing from outside"} {
		if !strings.Contains(words, want) {
			t.Errorf("%q does not say %q", words, want)
		}
	}
}

func TestPyrotechnicCircuitsAreRefused(t *testing.T) {
	if _, err := Make(request(t, "squib", 1, 1)); err == nil || !strings.Contains(err.Error(), "pyrotechnic") {
		t.Errorf("making: %v", err)
	}
	x := *some(t)[0]
	x.CircuitText = "pyrotechnic = true\n" + x.CircuitText
	body, err := x.Text()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Read("x", body); err == nil || !strings.Contains(err.Error(), "pyrotechnic") {
		t.Errorf("reading: %v", err)
	}
}

func TestFileHoldsTheExerciseAndHidesTheAnswer(t *testing.T) {
	for _, x := range some(t) {
		body, err := x.Text()
		if err != nil {
			t.Fatal(err)
		}
		y, err := Read("x", body)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(x.JSON(), y.JSON()) || x.openText() != y.openText() {
			t.Errorf("%s reads back as\n%+v\nnot\n%+v", x.Name, y.JSON(), x.JSON())
		}
		rest := strings.Replace(string(body), x.CircuitText, "", 1) // the circuit names all places
		for _, secret := range []string{x.Hidden.Fault.String(), x.Hidden.Fault.First.At.String(), x.Hidden.Fault.First.Kind.String(), x.Hidden.Answers[1]} {
			if secret == "ECT" { // a part, and how it stands is open
				continue
			}
			if strings.Contains(rest, secret) {
				t.Errorf("%s: %q stands open in the file", x.Name, secret)
			}
		}
		windows := strings.ReplaceAll(string(body), "\n", "\r\n")
		if _, err := Read("x", []byte(windows)); err != nil {
			t.Errorf("with another system's line ends: %v", err)
		}
	}
}

func TestChangedFilesAreRefused(t *testing.T) {
	body, err := some(t)[0].Text()
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ old, new, want string }{
		"complaint":  {"complaint = \"", "complaint = \"Not ", "the open part was changed"},
		"stands":     {"ECT = ", "ECT = 1", "stands: ECT cannot stand at"},
		"sealed":     {"-----BEGIN", "-----begin", "the sealed part is damaged"},
		"key":        {"format = 1\nname", "format = 1\nnom = 1\nname", `an exercise has no key "nom"`},
		"format":     {"format = 1\nname", "format = 2\nname", "format is 2"},
		"terminal":   {"complaint = \"", "complaint = \"\\u001b[2J", "steers a terminal"},
		"no TOML":    {"name = ", "name : ", "line 3: "},
		"no circuit": {"[battery]", "[batery]", "its circuit: "},
	} {
		changed := strings.Replace(string(body), c.old, c.new, 1)
		if _, err := Read("01.exercise.toml", []byte(changed)); err == nil || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "01.exercise.toml: ") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
