package plan

import (
	"runtime"
	"slices"
	"sort"
	"sync"

	"ohmtrail/circuits"
	"ohmtrail/solver/evidence"
	"ohmtrail/solver/hypothesis"
	"ohmtrail/solver/rank"
	"ohmtrail/solver/safety"
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

	rays   []evidence.Ray
	labels []int // the band of each ray
}

// OutcomeBand is a range of values in which a reading may come out, and what that would mean.
type OutcomeBand struct {
	Low, High   float64 // by the logarithm for ohms; NaN where it is no value
	Discrete    int     // 0 for a value; else the ray's outcome: evidence.RayOL, RayNone, …
	end         int     // of a value at the end of what a module reports: which one
	Probability float64
	Faults      []circuits.Fault   // that it would speak for, the likeliest of each place, most weight first
	Places      []hypothesis.Place // to repair, that it would speak for, most weight first

	repair map[int]float64 // weight by place
}

// Plan is what to do next.
type Plan struct {
	Done        bool
	Proven      bool     // done because the readings prove one place
	Standing    Standing // why it is done, or what is still open
	Suggestions []Suggestion
	Remaining   []rank.PlaceOdds // the places that the readings leave, likeliest first
	Telling     *Suggestion      // the reading that parts the odds most evenly (tells most), whatever it costs; nil where none tells enough

	pays bool // some reading is expected to save more minutes than it takes
}

const (
	// proven is the probability of one place from which on nothing more is measured.
	proven = 0.99
	// confirmed is the probability that is enough once a confirming reading has been taken.
	confirmed = 0.95
	// WorthBits is the least information for which a reading is worth taking at all.
	WorthBits = 0.02
	// mostSuggestions bounds the list.
	mostSuggestions = 6
)

// asItIs is what a reading that needs no part to be set is preferred by, beside another one that tells as much a minute.
const asItIs = 1.03

// order is what suggestions are put in order by, the greatest first.
func (s *Suggestion) order() float64 {
	if len(s.Reading.State.Set) == 0 {
		return s.Ahead * asItIs
	}
	return s.Ahead
}

// Next plans the next reading of a ranking's job.
func Next(r *rank.Ranking) Plan {
	plan := Plan{Remaining: r.Places()}
	particles := r.Particles()
	places := newPlaceIndex(r)
	suggestions := weighCandidates(r, particles, places, promising(r, particles, places))
	lookAhead(r, suggestions, len(particles))
	for i := range suggestions {
		suggestions[i].rays, suggestions[i].labels = nil, nil // thousands, and plans are kept
	}
	sort.SliceStable(suggestions, func(a, b int) bool { return suggestions[a].order() > suggestions[b].order() })
	blown := blownByShorts(r)
	for i, s := range suggestions {
		tells := s.GainBits >= WorthBits && (plan.Telling == nil || s.GainBits > plan.Telling.GainBits)
		shown := s.GainBits >= WorthBits && len(plan.Suggestions) < mostSuggestions
		pays := s.Saves > s.Minutes && !plan.pays
		if !tells && !shown && !pays || !safe(r.Job, s.Reading) || powers(s.Reading, blown) {
			continue
		}
		if tells {
			plan.Telling = &suggestions[i]
		}
		plan.pays = plan.pays || pays
		if shown {
			plan.Suggestions = append(plan.Suggestions, s)
		}
	}
	decide(r, &plan)
	return plan
}

// safe tells whether a reading hurts nothing. What a meter's current input does not bear is read with a clamp.
func safe(j *circuits.Job, r circuits.Reading) bool {
	for _, d := range safety.Look(j.Circuit, r, j.Known(r)) {
		if d.Kind != safety.MeterAmps {
			return false
		}
	}
	return true
}

// mostNextFuse is the odds of a short that has blown a fuse from which on no reading asks for the next one.
const mostNextFuse = 0.5

// blownByShorts are the fuses that shorts have blown, by at least those odds.
func blownByShorts(r *rank.Ranking) []string {
	odds := map[string]float64{}
	for _, c := range r.Candidates {
		for _, name := range c.Gone() {
			odds[name] += c.Probability
		}
	}
	var out []string
	for i := range r.Job.Circuit.Devices {
		if name := r.Job.Circuit.Devices[i].Name; odds[name] >= mostNextFuse {
			out = append(out, name)
		}
	}
	return out
}

// powers tells whether a reading puts one of the fuses in, with the key on: it would go at once.
func powers(r circuits.Reading, fuses []string) bool {
	return r.State.Key != circuits.KeyOff && slices.ContainsFunc(fuses, func(name string) bool { return !slices.Contains(r.State.Unplugged, name) })
}

// Weigh says what readings of somebody's own choice are expected to tell, in their order.
func Weigh(r *rank.Ranking, readings []circuits.Reading) []Suggestion {
	return weighCandidates(r, r.Particles(), newPlaceIndex(r), readings)
}

// All are all readings that could be taken, with what each is worth, in no order of merit.
func All(r *rank.Ranking) []Suggestion {
	particles := r.Particles()
	places := newPlaceIndex(r)
	return weighCandidates(r, particles, places, open(r))
}

// placeIndex numbers the places of the candidates.
type placeIndex struct {
	place   []int // by candidate
	places  []hypothesis.Place
	minutes []float64 // by place: repair and check
}

func newPlaceIndex(r *rank.Ranking) placeIndex {
	x := placeIndex{place: make([]int, len(r.Candidates))}
	number := map[hypothesis.Place]int{}
	for i := range r.Candidates {
		place := r.Candidates[i].Place()
		n, ok := number[place]
		if !ok {
			n = len(x.places)
			number[place] = n
			x.places = append(x.places, place)
			x.minutes = append(x.minutes, repairMinutes(r.Job, &r.Candidates[i]))
		}
		x.place[i] = n
	}
	return x
}

// gather makes places of the rays' groups.
func (x placeIndex) gather(rays []evidence.Ray) {
	for i := range rays {
		rays[i].Group = x.place[rays[i].Source]
	}
}

// open lists the candidate readings that have not been taken yet, or whose value is in doubt.
func open(r *rank.Ranking) []circuits.Reading {
	taken := map[string]int{}
	for _, reading := range r.Job.Readings {
		if reading.Taken {
			taken[circuits.ReadingKey(reading)]++
		}
	}
	var out []circuits.Reading
	offered := slices.Concat(Candidates(r.Job), bypasses(r), fuseHunt(r))
	if r.Job.Intermittent && !r.Job.Circuit.Pyrotechnic {
		offered = append(offered, movements(r)...)
	}
	for _, c := range offered {
		if n := taken[circuits.ReadingKey(c)]; n == 0 || n == 1 && doubtful(r, c) {
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
//
// What it may lose: let the faults of the first look hold the share M of all probability. A reading tells at most
// M·(its bits in the first look) + h(M) + (1−M)·log2(places of the other faults), h being the entropy of one yes or no (the chain rule
// of mutual information), as far as one strip of ohms stands for a fault. That is tight only where few faults are left; where many
// share the rest, it is measured: TestShortListLosesLittle in solver/trial holds the best reading of the list against the best of all.
func promising(r *rank.Ranking, ps []evidence.Particle, places placeIndex) []circuits.Reading {
	all := open(r)
	if len(all) <= shortList || len(ps) <= fewParticles {
		return all
	}
	few := append([]evidence.Particle(nil), ps...)
	sort.SliceStable(few, func(a, b int) bool { return few[a].Weight > few[b].Weight })
	// One particle a fault first, so that many strips of one fault do not crowd out the others.
	seen := map[int]bool{}
	var heavy []evidence.Particle
	for _, p := range few {
		if !seen[p.Candidate] && len(heavy) < fewParticles {
			seen[p.Candidate] = true
			p.Weight = r.Candidates[p.Candidate].Probability
			heavy = append(heavy, p)
		}
	}
	looks := weighCandidates(r, heavy, places, all)
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
func weighCandidates(r *rank.Ranking, ps []evidence.Particle, places placeIndex, todo []circuits.Reading) []Suggestion {
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
				rays, live := evidence.Rays(r.Job, ps, todo[i])
				places.gather(rays)
				s := Suggestion{Reading: todo[i], Minutes: r.Job.Circuit.Minutes(todo[i], reached)}
				if live < 0.2 {
					misread, span := evidence.Misreadings(r.Job, todo[i])
					s.GainBits = Gain(rays, misread, span)
					s.Ahead = s.GainBits / s.Minutes
					if s.GainBits >= WorthBits/2 {
						s.rays, s.labels = rays, bandLabels(rays)
						s.Outcomes = bands(r, s.Reading, rays, places)
						s.Saves = places.saves(rays, s.Outcomes)
						s.Confirms = confirms(r, rays, places)
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
func doubtful(r *rank.Ranking, c circuits.Reading) bool {
	for i, n := range r.Taken {
		if circuits.ReadingKey(r.Job.Readings[n]) == circuits.ReadingKey(c) && r.Misread[i] > 0.1 {
			return true
		}
	}
	return false
}
