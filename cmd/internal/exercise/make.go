package exercise

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/reason"
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
	c, problems := circuits.ParseCircuit(q.CircuitName, q.CircuitText)
	if c == nil {
		return Set{}, problems.Errors()
	}
	if c.Pyrotechnic {
		return Set{}, fmt.Errorf("%s: %w", q.CircuitName, ErrPyrotechnic)
	}
	m := &maker{q: q, c: c, text: strings.ToValidUTF8(strings.ReplaceAll(string(q.CircuitText), "\r\n", "\n"), "�"), prover: newProver(),
		random: rand.New(rand.NewPCG(q.Seed, 17))}
	m.stands = standing(c, m.random)
	m.list()
	m.prove()
	return m.set, nil
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
		parts = append(parts, fmt.Sprintf("%d harder than level %d, for too many places are open at first", s.Harder, q.Level))
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

// standing draws how the machine of a set stands: one value for each sensor, round, away from the ends of its range.
func standing(c *circuits.Circuit, random *rand.Rand) []circuits.SetDevice {
	var out []circuits.SetDevice
	for i := range c.Devices {
		d := &c.Devices[i]
		draw := random.Float64()
		switch {
		case !d.Kind.HasStimulus() || d.HasSet:
			continue
		case d.Kind.TwoState():
			out = append(out, circuits.SetDevice{Device: d.Name, Set: math.Round(draw)})
		default:
			width := d.Range[1] - d.Range[0]
			step := roundStep(width / 20)
			set := roundTo(math.Round((d.Range[0]+width*(0.2+0.6*draw))/step)*step, 6)
			out = append(out, circuits.SetDevice{Device: d.Name, Set: min(max(set, d.Range[0]), d.Range[1])})
		}
	}
	return out
}

// roundStep is the greatest of 1, 2 or 5 times a power of ten that is no more than v.
func roundStep(v float64) float64 {
	base := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{5, 2} {
		if v >= k*base*(1-1e-9) {
			return k * base
		}
	}
	return base
}

// roundTo drops what binary fractions add behind so many decimals.
func roundTo(v float64, decimals int) float64 {
	scale := math.Pow(10, float64(decimals))
	return math.Round(v*scale) / scale
}

// list draws the machines that the circuit allows: each single fault once, each that can come and go so too, and pairs.
func (m *maker) list() {
	var singles []circuits.Single
	for _, h := range reason.Hypotheses(m.c, reason.DefaultWeights(), nil) {
		if h.Fault.Kind != circuits.Healthy && h.Fault.Kind != circuits.Unlisted {
			singles = append(singles, m.withOhms(h.Fault))
		}
	}
	var all []*drawn
	add := func(f circuits.Fault, duty float64) {
		if d := m.draw(f, duty); d != nil {
			all = append(all, d)
		}
	}
	for _, f := range singles {
		add(circuits.Fault{First: f}, 1)
	}
	if m.q.Level >= 3 {
		for _, f := range singles {
			if f.Kind == circuits.Open || f.Kind == circuits.HighResistance || f.Kind.TakesOhms() {
				add(circuits.Fault{First: m.withOhms(f.WithoutOhms())}, 0.25+0.35*m.random.Float64())
			}
		}
		for range min(4*m.q.Count, len(singles)*(len(singles)-1)/2) {
			a, b := singles[m.random.IntN(len(singles))], singles[m.random.IntN(len(singles))]
			if f, err := m.c.ResolveFault(circuits.Fault{First: m.withOhms(a.WithoutOhms()), Second: m.withOhms(b.WithoutOhms())}); err == nil && a.At != b.At {
				add(f, 1)
			}
		}
	}
	m.drawn = m.order(all)
}

// withOhms draws what a fault leaves open. Ohms are log-uniform: 3 Ω to 300 kΩ in series, 0.1 Ω to 10 kΩ of a short.
func (m *maker) withOhms(f circuits.Single) circuits.Single {
	between := func(low, high float64) float64 {
		return roundTo(math.Exp(math.Log(low)+m.random.Float64()*math.Log(high/low)), 2)
	}
	switch {
	case f.Kind == circuits.HighResistance:
		return f.WithOhms(between(3, 300e3))
	case f.Kind.TakesOhms():
		return f.WithOhms(between(0.1, 10e3))
	case f.Kind == circuits.DeviceInside && f.Words == circuits.ReadsWrong:
		d := m.c.Device(f.At.From.Place)
		f.Ohms = roundTo(d.Range[0]+m.random.Float64()*(d.Range[1]-d.Range[0]), 3)
		f.Ohms = min(max(f.Ohms, d.Range[0]), d.Range[1])
		if d.Kind.TwoState() {
			f.Ohms = float64(m.random.IntN(2))
		}
	}
	return f
}

// draw builds a machine; nil where it shows nothing from outside.
func (m *maker) draw(f circuits.Fault, duty float64) *drawn {
	m.set.Allowed++
	x := &Exercise{CircuitName: Clean(m.q.CircuitName), CircuitText: m.text, Circuit: m.c, Meter: circuits.DefaultMeter(), Stands: m.stands, Intermittent: duty < 1,
		Hidden: Hidden{Fault: f, Seed: m.random.Uint64(), Duty: duty}}
	o := look(x, NewMachine(x))
	if o.quiet {
		m.set.Quiet++
		return nil
	}
	x.Codes = o.codes
	d := &drawn{x: x, outside: o, signature: o.signature(duty < 1), place: reason.PlaceOf(f)}
	if f.IsDouble() && !m.bothShow(f, d.signature) {
		m.set.Allowed-- // the other one hides it: this is no machine with two faults
		return nil
	}
	return d
}

// bothShow tells whether each of two faults changes what the machine shows.
func (m *maker) bothShow(f circuits.Fault, signature string) bool {
	for _, s := range []circuits.Single{f.First, f.Second} {
		x := &Exercise{Circuit: m.c, Meter: circuits.DefaultMeter(), Stands: m.stands, Hidden: Hidden{Fault: circuits.Fault{First: s}, Duty: 1}}
		if o := look(x, NewMachine(x)); o.quiet || o.signature(false) == signature {
			return false
		}
	}
	return true
}

// ofFamily is how many of one symptom are tried before the next symptom.
const ofFamily = 5

// order puts the machines into the order in which they are tried: those whose plain facts fit the level first, and
// some of one symptom together, so that families come about; symptoms of one place alone come last.
func (m *maker) order(all []*drawn) []*drawn {
	m.random.Shuffle(len(all), func(i, k int) { all[i], all[k] = all[k], all[i] })
	groups, places := map[string][]*drawn{}, map[string]map[string]bool{}
	var keys []string
	for _, d := range all {
		key := fmt.Sprint(m.unfit(d), d.signature)
		if groups[key] == nil {
			keys = append(keys, key)
			places[key] = map[string]bool{}
		}
		groups[key] = append(groups[key], d)
		places[key][d.place] = true
	}
	rank := func(key string) int { return 2*m.unfit(groups[key][0]) + max(0, 2-len(places[key])) }
	ranks := map[string]int{}
	for _, key := range keys {
		ranks[key] = rank(key)
	}
	slices.SortStableFunc(keys, func(a, b string) int { return ranks[a] - ranks[b] })
	var out []*drawn
	for len(out) < len(all) {
		for _, key := range keys {
			n := min(ofFamily, len(groups[key]))
			out = append(out, groups[key][:n]...)
			groups[key] = groups[key][n:]
		}
	}
	return out
}

// unfit is 1 for a machine that what is known before its proof makes unlikely for the level, else 0.
func (m *maker) unfit(d *drawn) int {
	special := d.x.Intermittent || d.x.Hidden.Fault.IsDouble()
	if m.q.Level >= 4 && !special || m.q.Level < 3 && special {
		return 1
	}
	return 0
}

// batch is how many machines are tried before what was found is counted: the same on every machine, so that the same
// request gives the same exercises.
const batch = 8

// mostTried bounds the machines tried, in multiples of those asked for.
const mostTried = 12

// prove puts machine after machine before the planner until there are enough.
func (m *maker) prove() {
	m.taken = map[string]bool{}
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
	h.Plan = m.prover.way(d.x, Planned)
	h.Difficulty.Readings = len(h.Plan.Readings)
	h.Level = h.Difficulty.Level()
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
	d.x.Hidden.HalfSplit = m.prover.way(d.x, HalfSplit)
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
