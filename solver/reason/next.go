package reason

import (
	"math"
	"runtime"
	"sort"
	"strings"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/network"
)

// Suggestion is a reading worth taking next.
type Suggestion struct {
	Reading  circuits.Reading // without a value
	GainBits float64          // expected information about the place to repair
	Minutes  float64
	Outcomes []OutcomeBand // by falling probability
	Saves    float64       // expected minutes of wrong repairs that it saves
	Ahead    float64       // bits for each minute of this reading, or of it and the best one that its access makes cheap
	Confirms bool          // it would show the opposite if the leading place were not the one

	rays   []Ray
	labels []int // the band of each ray
}

// OutcomeBand is a range of values in which a reading may come out, and what that would mean.
type OutcomeBand struct {
	Low, High   float64 // NaN where Words says it all
	Words       string  // "OL", or why there is no value; "" for a value
	Probability float64
	Groups      []string // the faults that it would speak for, the likeliest of each place, most weight first
	Places      []string // the places to repair that it would speak for, most weight first

	repair map[int]float64 // weight by place
}

// Plan is what to do next.
type Plan struct {
	Done        bool
	Proven      bool   // done because the readings prove one place
	Reason      string // why it is done, or what is still open
	Suggestions []Suggestion
	Remaining   []PlaceOdds // the places that the readings leave, likeliest first
	Telling     *Suggestion // the reading that parts the odds most evenly (tells most), whatever it costs; nil where none tells enough

	pays bool // some reading is expected to save more minutes than it takes
}

// PlaceOdds is a place to repair with its probability.
type PlaceOdds struct {
	Place       string
	Probability float64
	Leading     string // the likeliest fault there
}

const (
	// proven is the probability of one place from which on nothing more is measured.
	proven = 0.99
	// confirmed is the probability that is enough once a confirming reading has been taken.
	confirmed = 0.95
	// worthBits is the least information for which a reading is worth taking at all.
	worthBits = 0.02
	// mostSuggestions bounds the list.
	mostSuggestions = 6
)

// Next plans the next reading of a ranking's job.
func (r *Ranking) Next() Plan {
	plan := Plan{Remaining: r.places()}
	particles := r.particles()
	places := newPlaceIndex(r)
	suggestions := r.weighCandidates(particles, places, r.promising(particles, places))
	r.lookAhead(suggestions, len(particles))
	sort.SliceStable(suggestions, func(a, b int) bool { return suggestions[a].Ahead > suggestions[b].Ahead })
	for i, s := range suggestions {
		if s.GainBits >= worthBits && (plan.Telling == nil || s.GainBits > plan.Telling.GainBits) {
			plan.Telling = &suggestions[i]
		}
		plan.pays = plan.pays || s.Saves > s.Minutes
		if s.GainBits >= worthBits && len(plan.Suggestions) < mostSuggestions {
			plan.Suggestions = append(plan.Suggestions, s)
		}
	}
	r.decide(&plan)
	return plan
}

// Weigh says what readings of somebody's own choice are expected to tell, in their order.
func (r *Ranking) Weigh(readings []circuits.Reading) []Suggestion {
	return r.weighCandidates(r.particles(), newPlaceIndex(r), readings)
}

// Places are the places to repair with their probabilities, likeliest first.
func (r *Ranking) Places() []PlaceOdds { return r.places() }

// All are all readings that could be taken, with what each is worth, in no order of merit.
func (r *Ranking) All() []Suggestion {
	particles := r.particles()
	places := newPlaceIndex(r)
	return r.weighCandidates(particles, places, r.open())
}

// places adds up the candidates by place to repair.
func (r *Ranking) places() []PlaceOdds {
	index := map[string]int{}
	var out []PlaceOdds
	for _, c := range r.Candidates {
		place := c.Place()
		i, ok := index[place]
		if !ok {
			i = len(out)
			index[place] = i
			out = append(out, PlaceOdds{Place: place, Leading: c.Name()})
		}
		out[i].Probability += c.Probability
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Probability > out[b].Probability })
	return out
}

// Place is what would be repaired if the candidate is true: a terminal with its joint, a wire with its crimps, a part, a
// module. Two ways changed over are one repair at their connector, and a bridge between two ways or wires is cleared at
// both at once.
func (c Candidate) Place() string { return PlaceOf(c.full) }

// PlaceOf is what would be repaired if a fault is there, in the words of Candidate.Place.
func PlaceOf(f circuits.Fault) string {
	place := func(s circuits.Single) string {
		switch s.Kind {
		case circuits.Healthy:
			return "nothing to repair"
		case circuits.Unlisted:
			return "unlisted"
		case circuits.ModuleInside:
			return s.At.From.Place
		case circuits.ShortBetween, circuits.Swapped:
			return s.At.String() + " with " + s.To.String()
		}
		return s.At.String()
	}
	if f.IsDouble() {
		return place(f.First) + " and " + place(f.Second)
	}
	return place(f.First)
}

// placeIndex numbers the places of the candidates.
type placeIndex struct {
	place   []int // by candidate
	names   []string
	minutes []float64 // by place: repair and check
}

func newPlaceIndex(r *Ranking) placeIndex {
	x := placeIndex{place: make([]int, len(r.Candidates))}
	number := map[string]int{}
	for i := range r.Candidates {
		name := r.Candidates[i].Place()
		n, ok := number[name]
		if !ok {
			n = len(x.names)
			number[name] = n
			x.names = append(x.names, name)
			x.minutes = append(x.minutes, repairMinutes(r.Job, &r.Candidates[i]))
		}
		x.place[i] = n
	}
	return x
}

// open lists the candidate readings that have not been taken yet, or whose value is in doubt.
func (r *Ranking) open() []circuits.Reading {
	taken := map[string]int{}
	for _, reading := range r.Job.Readings {
		if reading.Taken {
			taken[ReadingKey(reading)]++
		}
	}
	var out []circuits.Reading
	offered := append(candidates(r.Job), r.bypasses()...)
	if r.Job.Intermittent && !r.Job.Circuit.Pyrotechnic {
		offered = append(offered, r.movements()...)
	}
	for _, c := range offered {
		if n := taken[ReadingKey(c)]; n == 0 || n == 1 && r.doubtful(c) {
			out = append(out, c)
		}
	}
	return out
}

const (
	// fewParticles stand for all in a first look at every candidate reading.
	fewParticles = 14
	// shortList is how many readings are looked at closely.
	shortList = 40
)

// promising is the short list of the open readings: the best by the minute, and the best whatever they cost, in a first
// look at the heaviest particles alone.
func (r *Ranking) promising(ps []particle, places placeIndex) []circuits.Reading {
	all := r.open()
	if len(all) <= shortList || len(ps) <= fewParticles {
		return all
	}
	few := append([]particle(nil), ps...)
	sort.SliceStable(few, func(a, b int) bool { return few[a].weight > few[b].weight })
	// One particle a fault first, so that many strips of one fault do not crowd out the others.
	seen := map[int]bool{}
	var heavy []particle
	for _, p := range few {
		if !seen[p.candidate] && len(heavy) < fewParticles {
			seen[p.candidate] = true
			p.weight = r.Candidates[p.candidate].Probability
			heavy = append(heavy, p)
		}
	}
	looks := r.weighCandidates(heavy, places, all)
	order := make([]int, len(looks))
	for i := range order {
		order[i] = i
	}
	picked := map[int]bool{}
	pick := func(worth func(s Suggestion) float64, count int) {
		sort.SliceStable(order, func(a, b int) bool { return worth(looks[order[a]]) > worth(looks[order[b]]) })
		for _, i := range order[:count] {
			picked[i] = true
		}
	}
	pick(func(s Suggestion) float64 { return s.GainBits / s.Minutes }, shortList*3/4)
	pick(func(s Suggestion) float64 { return s.GainBits }, shortList/4)
	var out []circuits.Reading
	for i, c := range all {
		if picked[i] {
			out = append(out, c)
		}
	}
	return out
}

// weighCandidates reckons the gain of readings.
func (r *Ranking) weighCandidates(ps []particle, places placeIndex, todo []circuits.Reading) []Suggestion {
	reached := r.Job.Reached()
	out := make([]Suggestion, len(todo))
	var wait sync.WaitGroup
	queue := make(chan int, len(todo))
	for i := range todo {
		queue <- i
	}
	close(queue)
	for range runtime.GOMAXPROCS(0) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range queue {
				rays, live := r.rays(ps, places, todo[i])
				s := Suggestion{Reading: todo[i], Minutes: r.Job.Circuit.Minutes(todo[i], reached)}
				if live < 0.2 {
					o := planned(r.Job, todo[i])
					s.GainBits = Gain(rays, o.misread(), o.span)
					s.Ahead = s.GainBits / s.Minutes
					if s.GainBits >= worthBits/2 {
						s.rays, s.labels = rays, bandLabels(rays)
						s.Outcomes = r.bands(rays, places)
						s.Saves = places.saves(rays, s.Outcomes)
						s.Confirms = r.confirms(rays, places)
					}
				}
				out[i] = s
			}
		}()
	}
	wait.Wait()
	return out
}

// doubtful tells whether a taken reading is likelier misread than not, so that taking it again is itself a test.
func (r *Ranking) doubtful(c circuits.Reading) bool {
	for i, n := range r.Taken {
		if ReadingKey(r.Job.Readings[n]) == ReadingKey(c) && r.Misread[i] > 0.1 {
			return true
		}
	}
	return false
}

// planned is the observation that a planned reading would be, without a value.
func planned(j *circuits.Job, c circuits.Reading) observation {
	o := observation{r: c, quantity: c.Quantity, span: 1.3*max(j.Circuit.Battery.Volts, j.Circuit.Battery.RunningVolts) + 1}
	switch c.Quantity {
	case circuits.Amps:
		o.span = 20
	case circuits.Ohms:
		o.span = 20 // e-folds: ohms are compared by their logarithm
	}
	return o
}

// discrete outcomes of a ray.
const (
	rayOL = iota + 1
	rayNone
	rayLow  // scan value at the bottom of its range
	rayHigh // at the top
)

// rays predicts a reading under every particle; of a symptom that comes and goes, with the fault there and away, and while
// a place is moved. live is the share of probability under which the circuit would be live at an ohms reading, which then
// must not be suggested.
func (r *Ranking) rays(ps []particle, places placeIndex, c circuits.Reading) (rays []Ray, live float64) {
	if !r.Job.Intermittent {
		return r.raysThere(ps, places, c)
	}
	moved, err := r.Job.Circuit.Somewhere(c.Wiggle)
	a := newCaster(r, places, c)
	for i := range ps {
		p := &ps[i]
		there := a.cast(i, p, p.fault, p.weight)
		switch {
		case c.Wiggle != "" && err == nil:
			away := there
			if !steady(p.fault) {
				away = a.cast(i, p, circuits.Single{}, p.weight)
			}
			rays = append(rays, r.movedRays(p, moved, there, away)...)
			continue
		case steady(p.fault) || p.fault.Kind == circuits.Healthy:
			rays = append(rays, there...)
			continue
		}
		duty := r.Candidates[p.candidate].Duty
		for k := range there {
			there[k].Weight *= duty
		}
		rays = append(append(rays, there...), a.cast(i, p, circuits.Single{}, (1-duty)*p.weight)...)
	}
	return rays, a.live
}

// raysThere predicts a reading with the fault there.
func (r *Ranking) raysThere(ps []particle, places placeIndex, c circuits.Reading) (rays []Ray, live float64) {
	a := newCaster(r, places, c)
	for i := range ps {
		rays = append(rays, a.cast(i, &ps[i], ps[i].fault, ps[i].weight)...)
	}
	return rays, a.live
}

// caster predicts one reading under particle after particle.
type caster struct {
	r      *Ranking
	places placeIndex
	c      circuits.Reading
	pin    *circuits.Pin
	frames map[*weigher]*network.Frame
	scenes map[sceneKey]*network.Scene
	live   float64
	pred   network.Prediction
	k      network.Case
}

// sceneKey names a network that particles share.
type sceneKey struct {
	w       *weigher
	stimuli string
}

func newCaster(r *Ranking, places placeIndex, c circuits.Reading) *caster {
	a := &caster{r: r, places: places, c: c, frames: map[*weigher]*network.Frame{}, scenes: map[sceneKey]*network.Scene{}}
	if c.Quantity == circuits.ScanVolts {
		a.pin = r.Job.Circuit.Pin(c.Point())
	}
	return a
}

// cast gives the rays of a fault under a particle's stimuli and tolerances.
func (a *caster) cast(i int, p *particle, f circuits.Single, weight float64) []Ray {
	var s *network.Scene
	key := sceneKey{p.w, p.key}
	if f.Kind == circuits.Swapped {
		s = p.w.layout.Swapped(a.r.Job.Meter, a.c, f).Scene(p.w.sceneSet(p, a.c))
	} else if s = a.scenes[key]; s == nil {
		if a.frames[p.w] == nil {
			a.frames[p.w] = p.w.layout.Frame(a.r.Job.Meter, a.c)
		}
		s = a.frames[p.w].Scene(p.w.sceneSet(p, a.c))
		a.scenes[key] = s
	}
	a.k.Place(s, f)
	a.k.At(p.ohms, &a.pred)
	ray := Ray{Group: a.places.place[p.candidate], Weight: weight, Source: p.candidate, particle: i}
	switch a.pred.Status {
	case network.OverRange:
		ray.Discrete = rayOL
	case network.NoValue:
		if strings.HasPrefix(a.pred.Why, "live") {
			a.live += weight
		}
		ray.Discrete = rayNone
		if a.pred.Why == network.WhyFloating {
			ray.Discrete, ray.SD = 0, 0.5
		}
	default:
		return a.r.valueRays(ray, p, a.c, &a.pred, a.pin)
	}
	return []Ray{ray}
}

// valueRays gives a ray its mean and spread; ohms by their logarithm, a scan value parted at the ends of its range.
func (r *Ranking) valueRays(ray Ray, p *particle, c circuits.Reading, pred *network.Prediction, pin *circuits.Pin) []Ray {
	sigma := sigmaOf(r.Job.Meter, c, pred.Value, pin)
	mean, variance := p.w.predict(p, c, pred, sigma)
	ray.Mean, ray.SD = mean, math.Sqrt(variance)
	switch c.Quantity {
	case circuits.Ohms:
		mean = max(mean, 0.1)
		ray.SD = min(max(ray.SD/mean, 0.003), 3)
		ray.Mean = math.Log(mean)
	case circuits.ScanVolts:
		return clipped(ray, math.Sqrt(max(variance-sigma*sigma, 0)+sq(floorVolts/4)), pin)
	}
	return []Ray{ray}
}
