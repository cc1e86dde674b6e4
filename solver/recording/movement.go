package recording

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mathext"
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
// Jumps that follow each other within the length of a movement are one burst. The first test puts each burst at every moment
// of the recording, all alike, as a circular shift does (Lotwick and Silverman, Journal of the Royal Statistical Society B 44,
// 1982, for the independence of two point patterns): by chance it falls within a movement of the place in no more than the
// movements' share of the time, so the number that does has a binomial distribution. That is reckoned exactly, not drawn.
//
// It takes bursts as coming at moments independent of each other. Where a place is moved several times within one spell in
// which the fault is acting up anyway, many bursts fall into its movements and mean nothing. So the second test looks only at
// the bursts in each movement and the rest around it (half of it, and no more than the movement's own length): by chance such
// a burst falls within the movement in no more than the movement's share of that time. The number that does has a Poisson
// binomial distribution (Wang, Statistica Sinica 3, 1993).
type Following struct {
	Place     string
	Movements int     // marks of the place within the recording
	Seconds   float64 // moved in all
	Met       int     // movements during which the value jumped
	Jumps     int     // jumps and spikes during them
	Bursts    int     // of the whole recording
	Within    int     // bursts that lie wholly within a movement of the place
	Expected  float64 // bursts that would by chance
	Around    int     // bursts in the movements of the place and the rests around them
	// ByChance is the probability that at least so many bursts fall into the movements by chance; Corrected is that for any of the
	// places (Holm, Scandinavian Journal of Statistics 6, 1979).
	ByChance, Corrected float64
	// BySpells is the probability that so many of the bursts around the movements fall within them by chance.
	BySpells float64
	// Odds are those of "moving it makes the value jump, more or less often" to "it has nothing to do with it", given even odds
	// before, by the test that says less: how often it does is unknown, anything above chance alike. Below 1 they speak against
	// the place.
	Odds float64
	// Needed is how many further movements like those so far, each with a burst and quiet around it, would decide for the place; 0
	// where it is decided, or where thirty would not.
	Needed int
}

// Follows tells whether the place is named, at the stated rates of false alarms.
func (f Following) Follows() bool { return f.Corrected <= FalseAlarm && f.BySpells <= SpellAlarm }

// Follow holds the times at which a value jumped against the movements of each place, between the first and the last time of
// a recording. Places come in the order of their first mark. Marks outside the recording do not count.
func Follow(jumps []float64, marks []Mark, first, last float64) []Following {
	jumps = slices.Sorted(slices.Values(jumps))
	marks = within(marks, first, last)
	bursts := burstsOf(jumps, marks)
	var out []Following
	index := map[string]int{}
	shares, met := map[string][]float64{}, map[string]float64{}
	ends := make([]float64, 0, len(marks))
	for _, m := range marks {
		ends = append(ends, m.To)
	}
	sort.Float64s(ends)
	for k, m := range marks {
		i, known := index[m.Place]
		if !known {
			i = len(out)
			index[m.Place] = i
			out = append(out, Following{Place: m.Place, Bursts: len(bursts)})
		}
		f := &out[i]
		f.Movements++
		f.Seconds += m.To - m.From
		from, to := max(m.From-Slack, first), min(m.To+Slack, last)
		n := between(jumps, from, to)
		if n > 0 {
			f.Met++
			f.Jumps += n
		}
		begin, end := surroundings(marks, ends, k, first, last)
		begin, end = min(begin, from), max(end, to)
		for i := sort.Search(len(bursts), func(i int) bool { return bursts[i][1] >= begin }); i < len(bursts) && bursts[i][0] <= end; i++ {
			f.Around++
			shares[m.Place] = append(shares[m.Place], (to-from)/(end-begin))
			if bursts[i][0] >= from && bursts[i][1] <= to {
				f.Within++
			}
		}
		f.Expected += (to - from) / (last - first)
		met[m.Place] += chanceToMeet(jumps, to-from, first, last)
	}
	for i := range out {
		f := &out[i]
		f.Within = min(f.Within, f.Bursts)
		share := min(f.Expected, 1)
		f.Expected = share * float64(f.Bursts)
		f.ByChance, f.BySpells = binomialTail(f.Bursts, f.Within, share), atLeast(shares[f.Place], f.Within)
		if f.Met == 0 {
			f.Odds = oddsOf(0, f.Movements, met[f.Place]/float64(f.Movements))
		} else {
			f.Odds = min(oddsOf(f.Within, f.Bursts, share), oddsOf(f.Within, f.Around, mean(shares[f.Place])))
		}
	}
	holm(out)
	for i := range out {
		out[i].Needed = needed(out[i], shares[out[i].Place], last-first, len(out))
	}
	return out
}

// burstsOf puts jumps together that follow each other within the middle length of a movement: first and last of each burst.
func burstsOf(jumps []float64, marks []Mark) [][2]float64 {
	var long []float64
	for _, m := range marks {
		long = append(long, m.To-m.From)
	}
	gap := middle(long)
	var out [][2]float64
	for _, t := range jumps {
		if n := len(out); n > 0 && t-out[n-1][1] <= gap {
			out[n-1][1] = t
			continue
		}
		out = append(out, [2]float64{t, t})
	}
	return out
}

// binomialTail is the probability that at least k of n independent events of one probability happen: the incomplete beta
// function (Abramowitz and Stegun, 26.5.24).
func binomialTail(n, k int, p float64) float64 {
	switch {
	case k <= 0 || p >= 1:
		return 1
	case p <= 0 || k > n:
		return 0
	}
	return mathext.RegIncBeta(float64(k), float64(n-k+1), p)
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

// surroundings are a mark with half the rest before and after it, but no more than its own length on either side: what is
// further off may be another spell. Marks are in the order of their beginnings, ends are all
// their ends in rising order.
func surroundings(marks []Mark, ends []float64, k int, first, last float64) (from, to float64) {
	long := marks[k].To - marks[k].From
	from, to = max(first, marks[k].From-long), min(last, marks[k].To+long)
	if i := sort.SearchFloat64s(ends, math.Nextafter(marks[k].From, math.Inf(1))); i > 0 {
		from = max(from, (ends[i-1]+marks[k].From)/2)
	}
	if i := sort.Search(len(marks), func(i int) bool { return marks[i].From >= marks[k].To }); i < len(marks) {
		to = min(to, (marks[i].From+marks[k].To)/2)
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

// needed is how many further movements like those so far, each with a burst within, would decide for a place. Each makes the
// recording longer by its share.
func needed(f Following, shares []float64, seconds float64, places int) int {
	if f.Follows() || f.Met == 0 || f.Around == 0 {
		return 0
	}
	one := (f.Seconds + 2*Slack*float64(f.Movements)) / float64(f.Movements)
	local := mean(shares)
	shares = slices.Clone(shares)
	const most = 30
	for k := 1; k <= most; k++ {
		shares = append(shares, local)
		share := one * float64(f.Movements+k) / (seconds + float64(k)*one/local)
		if binomialTail(f.Bursts+k, f.Within+k, share)*float64(places) <= FalseAlarm && atLeast(shares, f.Within+k) <= SpellAlarm {
			return k
		}
	}
	return 0
}
