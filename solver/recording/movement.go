package recording

import (
	"math"
	"sort"
)

// Mark is a time during which a place was moved.
type Mark struct {
	Place    string
	From, To float64
}

// Slack is by how many seconds a movement may have begun before its mark, and gone on after it: marks are set by hand.
const Slack = 0.3

// FalseAlarm is the rate at which a place is named although the jumps have nothing to do with any movement: once in a
// hundred recordings, over all places together.
const FalseAlarm = 0.01

// Following says whether the jumps follow the movements of one place.
//
// The movements are held against chance by relocation: each movement, at its own length, is put at every moment of the
// recording, all alike, as a circular shift does (Lotwick and Silverman, Journal of the Royal Statistical Society B 44, 1982,
// for the independence of two point patterns). Chance is the share of these moments at which it would have met a jump; that is
// reckoned exactly, not drawn. Movements are taken as made independently of each other, so the number that meets a jump by
// chance has a Poisson binomial distribution (Wang, Statistica Sinica 3, 1993).
type Following struct {
	Place     string
	Movements int     // marks of the place within the recording
	Seconds   float64 // moved in all
	Met       int     // movements during which the value jumped
	Jumps     int     // jumps and spikes during them
	Expected  float64 // movements that would have met a jump by chance
	// ByChance is the probability that at least so many movements meet a jump by chance; Corrected is that for any of the
	// places (Holm, Scandinavian Journal of Statistics 6, 1979).
	ByChance, Corrected float64
	// Odds are those of "moving it makes the value jump, more or less often" to "it has nothing to do with it", given even odds
	// before: how often it does is unknown, anything above chance alike. Below 1 they speak against the place.
	Odds float64
	// Needed is how many further movements, each with a jump, would decide for the place; 0 where it is decided, or where no
	// number of them would (the value jumps all the time).
	Needed int
}

// Follows tells whether the place is named, at the stated rate of false alarms.
func (f Following) Follows() bool { return f.Corrected <= FalseAlarm }

// Follow holds the times at which a value jumped against the movements of each place, between the first and the last time of
// a recording. Places come in the order of their first mark. Marks outside the recording do not count.
func Follow(jumps []float64, marks []Mark, first, last float64) []Following {
	sort.Float64s(jumps)
	var out []Following
	chances := map[string][]float64{}
	index := map[string]int{}
	for _, m := range marks {
		from, to := max(m.From-Slack, first), min(m.To+Slack, last)
		if to <= from || m.To < first || m.From > last {
			continue
		}
		i, known := index[m.Place]
		if !known {
			i = len(out)
			index[m.Place] = i
			out = append(out, Following{Place: m.Place})
		}
		f := &out[i]
		f.Movements++
		f.Seconds += max(min(m.To, last)-max(m.From, first), 0)
		if n := between(jumps, from, to); n > 0 {
			f.Met++
			f.Jumps += n
		}
		p := chanceToMeet(jumps, to-from, first, last)
		chances[m.Place] = append(chances[m.Place], p)
		f.Expected += p
	}
	for i := range out {
		f := &out[i]
		f.ByChance = atLeast(chances[f.Place], f.Met)
		f.Odds = oddsOf(f.Met, f.Movements, f.Expected/float64(f.Movements))
	}
	holm(out)
	for i := range out {
		out[i].Needed = needed(out[i], chances[out[i].Place], len(out))
	}
	return out
}

// between is how many of the sorted times lie within two times.
func between(times []float64, from, to float64) int {
	return sort.SearchFloat64s(times, math.Nextafter(to, math.Inf(1))) - sort.SearchFloat64s(times, from)
}

// chanceToMeet is the share of all places that a window of that length can take in the recording at which it holds a jump.
// The recording is a circle for this: a window that runs over its end goes on at its beginning.
func chanceToMeet(jumps []float64, length, first, last float64) float64 {
	total := last - first
	if len(jumps) == 0 || total <= 0 {
		return 0
	}
	if length >= total {
		return 1
	}
	covered := 0.0 // a window meets a jump if it begins no more than its length before it
	for i, t := range jumps {
		before := jumps[len(jumps)-1] - total
		if i > 0 {
			before = jumps[i-1]
		}
		covered += min(length, t-before)
	}
	return min(covered/total, 1)
}

// atLeast is the probability that at least k of independent events with those probabilities happen.
func atLeast(p []float64, k int) float64 {
	dist := make([]float64, len(p)+1)
	dist[0] = 1
	for i, x := range p {
		for n := i + 1; n > 0; n-- {
			dist[n] = dist[n]*(1-x) + dist[n-1]*x
		}
		dist[0] *= 1 - x
	}
	sum := 0.0
	for n := len(p); n >= k; n-- {
		sum += dist[n]
	}
	return min(sum, 1)
}

// oddsOf weighs "each movement meets a jump with some chance above that of no connection, any alike" against that chance.
func oddsOf(met, of int, chance float64) float64 {
	if chance >= 1 {
		return 1
	}
	const steps = 2000
	sum := 0.0
	for i := range steps {
		q := chance + (1-chance)*(float64(i)+0.5)/steps
		sum += math.Exp(logBinomial(met, of, q)-logBinomial(met, of, max(chance, chanceLeast))) / steps
	}
	return sum
}

// chanceLeast stands for a recording in which nothing jumps: then nothing met is what both expect, and the odds stay fair.
const chanceLeast = 1e-6

func logBinomial(met, of int, q float64) float64 {
	sum := 0.0
	if met > 0 {
		sum += float64(met) * math.Log(q)
	}
	if of > met {
		sum += float64(of-met) * math.Log1p(-q)
	}
	return sum
}

// holm corrects the chances of several places for their number, in place.
func holm(f []Following) {
	order := make([]int, len(f))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return f[order[a]].ByChance < f[order[b]].ByChance })
	before := 0.0
	for rank, i := range order {
		before = max(before, min(1, f[i].ByChance*float64(len(f)-rank)))
		f[i].Corrected = before
	}
}

// needed is how many further movements like those so far, each with a jump, would decide for a place.
func needed(f Following, chances []float64, places int) int {
	if f.Follows() || f.Met == 0 {
		return 0
	}
	mean := f.Expected / float64(f.Movements)
	more := append([]float64(nil), chances...)
	const most = 30
	for k := 1; k <= most; k++ {
		more = append(more, mean)
		if atLeast(more, f.Met+k)*float64(places) <= FalseAlarm {
			return k
		}
	}
	return 0
}
