package recording

import (
	"math"
	"slices"
	"sort"
)

// Mark is a time during which a place was moved.
type Mark struct {
	Place    string
	From, To float64
}

// Slack is by how many seconds a movement may have begun before its mark, and gone on after it: marks are set by hand.
const Slack = 0.3

// A place is named only where two tests agree.
const (
	// FalseAlarm is the rate at which a place is named although the jumps have nothing to do with any movement and come at
	// moments of their own: once in a hundred recordings, over all places together.
	FalseAlarm = 0.01
	// SpellAlarm is that rate for each place if the jumps come in spells that have nothing to do with the movements.
	SpellAlarm = 0.05
)

// Following says whether the jumps follow the movements of one place.
//
// The first test holds the movements against chance by relocation: each movement, at its own length, is put at every moment
// of the recording, all alike, as a circular shift does (Lotwick and Silverman, Journal of the Royal Statistical Society B 44,
// 1982, for the independence of two point patterns). Chance is the share of these moments at which it would have met a jump;
// that is reckoned exactly, not drawn. The number of movements that meet a jump by chance then has a Poisson binomial
// distribution (Wang, Statistica Sinica 3, 1993).
//
// That takes movements as made at moments independent of each other. Where a place is moved several times within one spell in
// which the fault is acting up anyway, each movement meets a jump and means nothing. So the second test looks at each movement
// with the rest around it (to the middle between two movements): by chance a spell of jumps lies within the movement, and
// nowhere in the rest around it, in no more than the movement's share of that time.
type Following struct {
	Place     string
	Movements int     // marks of the place within the recording
	Seconds   float64 // moved in all
	Met       int     // movements during which the value jumped
	Jumps     int     // jumps and spikes during them
	Expected  float64 // movements that would have met a jump by chance
	Around    int     // movements with a jump in or around them
	Only      int     // of these, those with jumps only while it was moved
	// ByChance is the probability that at least so many movements meet a jump by chance; Corrected is that for any of the
	// places (Holm, Scandinavian Journal of Statistics 6, 1979).
	ByChance, Corrected float64
	// BySpells is the probability that jumps in spells fall into so many movements only.
	BySpells float64
	// Odds are those of "moving it makes the value jump, more or less often" to "it has nothing to do with it", given even odds
	// before, by the test that says less: how often it does is unknown, anything above chance alike. Below 1 they speak against
	// the place.
	Odds float64
	// Needed is how many further movements like those so far, each with a jump and quiet around it, would decide for the place; 0
	// where it is decided, or where thirty would not.
	Needed int
}

// Follows tells whether the place is named, at the stated rates of false alarms.
func (f Following) Follows() bool { return f.Corrected <= FalseAlarm && f.BySpells <= SpellAlarm }

// Follow holds the times at which a value jumped against the movements of each place, between the first and the last time of
// a recording. Places come in the order of their first mark. Marks outside the recording do not count.
func Follow(jumps []float64, marks []Mark, first, last float64) []Following {
	jumps = slices.Sorted(slices.Values(jumps))
	var out []Following
	chances, shares := map[string][]float64{}, map[string][]float64{}
	index := map[string]int{}
	marks = within(marks, first, last)
	var ends []float64
	for _, m := range marks {
		ends = append(ends, m.To)
	}
	sort.Float64s(ends)
	for k, m := range marks {
		i, known := index[m.Place]
		if !known {
			i = len(out)
			index[m.Place] = i
			out = append(out, Following{Place: m.Place})
		}
		f := &out[i]
		f.Movements++
		f.Seconds += m.To - m.From
		from, to := max(m.From-Slack, first), min(m.To+Slack, last)
		met := between(jumps, from, to)
		if met > 0 {
			f.Met++
			f.Jumps += met
		}
		p := chanceToMeet(jumps, to-from, first, last)
		chances[m.Place] = append(chances[m.Place], p)
		f.Expected += p
		begin, end := surroundings(marks, ends, k, first, last)
		begin, end = min(begin, from), max(end, to)
		if around := between(jumps, begin, end); around > 0 {
			f.Around++
			if around == met {
				f.Only++
			}
			shares[m.Place] = append(shares[m.Place], (to-from)/(end-begin))
		}
	}
	for i := range out {
		f := &out[i]
		f.ByChance, f.BySpells = atLeast(chances[f.Place], f.Met), atLeast(shares[f.Place], f.Only)
		f.Odds = min(oddsOf(f.Met, f.Movements, f.Expected/float64(f.Movements)), oddsOf(f.Only, f.Around, mean(shares[f.Place])))
	}
	holm(out)
	for i := range out {
		out[i].Needed = needed(out[i], chances[out[i].Place], shares[out[i].Place], len(out))
	}
	return out
}

// within are the marks that lie in a recording, cut to it, in the order of time.
func within(marks []Mark, first, last float64) []Mark {
	var out []Mark
	for _, m := range marks {
		if m.To > first && m.From < last && m.To > m.From {
			out = append(out, Mark{m.Place, max(m.From, first), min(m.To, last)})
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].From < out[b].From })
	return out
}

// MostMarks is how many movements a recording may have: far more than hands make in a day.
const MostMarks = 2000

// surroundings are a mark with half the rest before and after it. Marks are in the order of their beginnings, ends are all
// their ends in rising order.
func surroundings(marks []Mark, ends []float64, k int, first, last float64) (from, to float64) {
	from, to = first, last
	if i := sort.SearchFloat64s(ends, math.Nextafter(marks[k].From, math.Inf(1))); i > 0 {
		from = (ends[i-1] + marks[k].From) / 2
	}
	if i := sort.Search(len(marks), func(i int) bool { return marks[i].From >= marks[k].To }); i < len(marks) {
		to = (marks[i].From + marks[k].To) / 2
	}
	return from, to
}

func mean(v []float64) float64 {
	if len(v) == 0 {
		return 1
	}
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
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
func needed(f Following, chances, shares []float64, places int) int {
	if f.Follows() || f.Met == 0 || f.Around == 0 {
		return 0
	}
	chance, share := f.Expected/float64(f.Movements), mean(shares)
	chances, shares = slices.Clone(chances), slices.Clone(shares)
	const most = 30
	for k := 1; k <= most; k++ {
		chances, shares = append(chances, chance), append(shares, share)
		if atLeast(chances, f.Met+k)*float64(places) <= FalseAlarm && atLeast(shares, f.Only+k) <= SpellAlarm {
			return k
		}
	}
	return 0
}
