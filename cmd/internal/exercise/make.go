package exercise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/circuits/read"
)

// Request asks for a set of exercises.
type Request struct {
	CircuitName string
	CircuitText []byte
	Level       int // 1 to Levels
	Count       int
	Seed        uint64
	Progress    func(tried, found int) // called after each batch of machines; nil for none
}

// Set is what was made.
type Set struct {
	Exercises []*Exercise
	Families  int         // with two exercises or more
	Levels    [Levels]int // machines of each level that were proved on the way
	Harder    int         // too hard for the level already by what is open at first
	Allowed   int         // machines that the circuit allows, or that were drawn
	Tried     int         // of these, put before the planner
	Quiet     int         // show nothing from outside
	Unproved  int         // the planner does not end at the true place
}

// Make draws machines with hidden faults until enough of the level have been proved. The same request gives the same
// exercises. It is an error where the circuit cannot be used; where it gives fewer than asked, the set is smaller, and
// Short says why.
func Make(q Request) (Set, error) {
	c, problems := read.Circuit(q.CircuitName, q.CircuitText)
	if c == nil {
		return Set{}, problems.Errors()
	}
	if c.Pyrotechnic {
		return Set{}, fmt.Errorf("%s: %w", q.CircuitName, ErrPyrotechnic)
	}
	m := newMaker(q, c)
	m.list()
	m.prove()
	return m.set, nil
}

func newMaker(q Request, c *circuits.Circuit) *maker {
	m := &maker{q: q, c: c, text: strings.ToValidUTF8(strings.ReplaceAll(string(q.CircuitText), "\r\n", "\n"), "�"), prover: newProver(),
		random: rand.New(rand.NewPCG(q.Seed, 17)), taken: map[string]bool{}}
	m.stands = standing(c, m.random)
	return m
}

// Short says why a set is smaller than asked; "" where it is not.
func (s Set) Short(q Request) string {
	if len(s.Exercises) >= q.Count {
		return ""
	}
	var parts []string
	for i, n := range s.Levels {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d of level %d", n, i+1))
		}
	}
	if s.Harder > 0 {
		parts = append(parts, fmt.Sprintf("%d harder than level %d, for too many places are open at first or it takes too many readings", s.Harder, q.Level))
	}
	if s.Unproved > 0 {
		parts = append(parts, fmt.Sprintf("%d that readings do not find for certain", s.Unproved))
	}
	quiet := ""
	if s.Quiet > 0 {
		quiet = fmt.Sprintf("; %d more show nothing from outside", s.Quiet)
	}
	return fmt.Sprintf("the circuit gives %d of level %d, not %d (tried: %s%s; two at one place with one symptom count once)", len(s.Exercises), q.Level, q.Count, strings.Join(parts, ", "), quiet)
}

// maker is a set under construction.
type maker struct {
	q      Request
	c      *circuits.Circuit
	text   string
	prover *prover
	random *rand.Rand
	stands []circuits.SetDevice
	drawn  []*drawn // machines to be tried, in their order
	set    Set
	taken  map[string]bool // signature and place
}

// drawn is one machine before its proof.
type drawn struct {
	x         *Exercise
	outside   outside
	signature string
	place     string
}

// batch is how many machines are tried before what was found is counted: the same on every machine, so that the same
// request gives the same exercises.
const batch = 8

// mostTried bounds the machines tried, in multiples of those asked for.
const mostTried = 12

// prove puts machine after machine before the planner until there are enough.
func (m *maker) prove() {
	for todo := m.drawn; len(todo) > 0 && len(m.set.Exercises) < m.q.Count && m.set.Tried < max(mostTried*m.q.Count, 100); {
		n := min(batch, len(todo))
		now := todo[:n]
		todo = todo[n:]
		verdicts := make([]verdict, n)
		var wait sync.WaitGroup
		slots := make(chan struct{}, runtime.GOMAXPROCS(0))
		for i := range now {
			if m.taken[now[i].signature+now[i].place] {
				continue
			}
			slots <- struct{}{}
			wait.Go(func() {
				verdicts[i] = m.grade(now[i])
				<-slots
			})
		}
		wait.Wait()
		for i, d := range now {
			m.keep(d, verdicts[i])
		}
		todo = m.companions(todo)
		if m.q.Progress != nil {
			m.q.Progress(m.set.Tried, len(m.set.Exercises))
		}
	}
	m.finish()
}

// companions puts those machines first that look like an exercise which is still alone.
func (m *maker) companions(todo []*drawn) []*drawn {
	alone := map[string]int{}
	for _, x := range m.set.Exercises {
		alone[x.Hidden.Family]++
	}
	var first, rest []*drawn
	for _, d := range todo {
		if alone[d.signature] == 1 && !m.taken[d.signature+d.place] && len(first) < batch {
			first = append(first, d)
		} else {
			rest = append(rest, d)
		}
	}
	return append(first, rest...)
}

// grade reckons a machine's difficulty and lets the planner find its fault.
func (m *maker) grade(d *drawn) verdict {
	h := &d.x.Hidden
	h.Difficulty = Difficulty{Readings: 1, FirstPlaces: m.prover.firstPlaces(d.x, d.outside), Hides: hides(d.x, NewMachine(d.x), d.outside),
		Intermittent: d.x.Intermittent, Double: h.Fault.IsDouble()}
	if h.Difficulty.Level() > m.q.Level {
		return tooHard // with one reading already
	}
	h.Plan = m.prover.way(d.x, Planned, h.Difficulty.mostReadingsAt(m.q.Level))
	h.Difficulty.Readings = len(h.Plan.Readings)
	h.Level = h.Difficulty.Level()
	if h.Level > m.q.Level {
		return tooHard
	}
	if h.Plan.Done && h.Plan.Right {
		return provedRight
	}
	return unproved
}

// verdict is what trying a machine came to.
type verdict uint8

const (
	notTried verdict = iota
	tooHard
	unproved
	provedRight
)

// keep counts a machine, and takes it into the set where it is of the level and no other is like it.
func (m *maker) keep(d *drawn, v verdict) {
	key := d.signature + d.place
	if v == notTried || m.taken[key] || len(m.set.Exercises) == m.q.Count {
		return
	}
	m.set.Tried++
	switch v {
	case tooHard:
		m.set.Harder++
		return
	case unproved:
		m.set.Unproved++
		return
	}
	m.set.Levels[d.x.Hidden.Level-1]++
	if d.x.Hidden.Level != m.q.Level {
		return
	}
	m.taken[key] = true
	d.x.Hidden.Family = d.signature
	d.x.Hidden.HalfSplit = m.prover.way(d.x, HalfSplit, math.MaxInt)
	var others, sensor string
	d.x.Complaint, others = d.outside.complaint(m.q.Seed, d.x.Intermittent)
	if len(d.outside.shows) > 0 {
		sensor = m.named(d.outside.shows[0].label)
	}
	tell(d.x, others, sensor, rand.New(rand.NewPCG(d.x.Hidden.Seed, 3)))
	m.set.Exercises = append(m.set.Exercises, d.x)
}

// named is the name of the part with that label, "" where it is none.
func (m *maker) named(label string) string {
	for i := range m.c.Devices {
		if m.c.Label(m.c.Devices[i].Name) == label {
			return m.c.Devices[i].Name
		}
	}
	return ""
}

// finish mixes the exercises, numbers them, and gives the families their letters.
func (m *maker) finish() {
	all := m.set.Exercises
	m.random.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
	letters, size := map[string]string{}, map[string]int{}
	for i, x := range all {
		x.Name = fmt.Sprintf("%02d", i+1)
		x.Machine = Clean(fmt.Sprintf("%s, machine %d", m.c.Title, i+1))
		if m.c.Title == "" {
			x.Machine = fmt.Sprintf("machine %d", i+1)
		}
		s := x.Hidden.Family
		if letters[s] == "" {
			letters[s] = letter(len(letters))
		}
		if size[s]++; size[s] == 2 {
			m.set.Families++
		}
		x.Hidden.Family = letters[s]
	}
}

// letter is A, B, … Z, AA, …
func letter(n int) string {
	if n < 26 {
		return string(rune('A' + n))
	}
	return letter(n/26-1) + letter(n%26)
}
