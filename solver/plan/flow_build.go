package plan

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"ohmtrail/circuits"
	"ohmtrail/solver/rank"
)

// build works out situation after situation, the one first to which most machines come.
func (f *flow) build() {
	if len(f.nodes) == 0 || len(f.lenses) == 0 {
		return
	}
	if root := f.nodes[0]; f.enough(root) {
		f.nodes = nil // there is nothing to be worked out: the plan says what is left
		if f.sure(root) {
			f.end(root)
			f.nodes = []*flowDraft{root}
		}
		return
	}
	f.open = []int{0}
	for len(f.open) > 0 {
		sort.SliceStable(f.open, func(a, b int) bool { return f.nodes[f.open[a]].Share > f.nodes[f.open[b]].Share })
		at := f.open[0]
		f.open = f.open[1:]
		f.expand(at)
	}
}

// expand puts down what each branch of a situation's reading leads to.
func (f *flow) expand(at int) {
	n := f.nodes[at]
	best := n.best
	l := &f.lenses[best.lens]
	n.Kind, n.Reading = FlowReading, l.reading
	n.Minutes = f.r.Job.Circuit.Minutes(l.reading, n.reached)
	bounds := f.bounds(l, *best)
	for i, b := range bounds {
		child := f.child(at, n, best, b, len(bounds))
		if child.Share < flowLeastShare {
			continue
		}
		branch := f.values(l, n.weights, best, i, b)
		branch.Sound = f.soundShare(l, b) > 0.5
		branch.Share = child.Share / n.Share
		child.Way = append(append([]FlowStep(nil), n.Way...), FlowStep{at, len(n.Branches)})
		branch.Node = f.settle(child)
		n.Branches = append(n.Branches, branch)
	}
}

// enough chooses a situation's reading, and tells whether none is worth taking any more.
func (f *flow) enough(n *flowDraft) bool {
	best, pays := f.choose(n)
	n.best = best
	n.Places = f.named(n.weights)
	if best == nil || n.Places[0].Probability < proven && pays {
		return best == nil
	}
	if meter := f.meter(n); meter != nil {
		n.best = meter
		return false
	}
	return true
}

// meter is the meter's reading within a few minutes that tells most, where the way here has scan values alone: no place is put right on
// those.
func (f *flow) meter(n *flowDraft) (best *split) {
	if !scanned(f.r) {
		return nil
	}
	for taken := range n.taken {
		if !onlyLooks(f.lenses[taken].reading) {
			return nil
		}
	}
	for i := range f.lenses {
		l := &f.lenses[i]
		if n.taken[i] || l.reading.Quantity == circuits.ScanVolts || f.r.Job.Circuit.Minutes(l.reading, n.reached) > fewMinutes {
			continue
		}
		if s, ok := f.splitAt(i, n); ok && (best == nil || s.gain > best.gain) {
			best = &s
		}
	}
	return best
}

// sure tells whether a situation in which nothing is worth measuring is an end: a few places hold nearly all. Else the plan, which has
// the values themselves, goes on.
func (f *flow) sure(n *flowDraft) bool {
	const nearly = 0.9
	sum := 0.0
	for _, p := range n.Places {
		if p.Place.Known() {
			sum += p.Probability
		}
	}
	return sum >= nearly || !n.Places[0].Place.Known() && !n.Places[0].Place.First.Unlisted && n.Places[0].Probability >= nearly
}

// choose is the split that tells most a minute, and whether any reading saves more minutes of wrong repairs than it takes.
func (f *flow) choose(n *flowDraft) (best *split, pays bool) {
	most := 0.0
	for i := range f.lenses {
		if n.taken[i] {
			continue
		}
		s, ok := f.splitAt(i, n)
		if !ok || s.gain < WorthBits {
			continue
		}
		minutes := f.r.Job.Circuit.Minutes(f.lenses[i].reading, n.reached)
		worth := s.gain / minutes
		if len(f.lenses[i].reading.State.Set) == 0 {
			worth *= asItIs
		}
		if worth > most {
			most, best = worth, &s
		}
		pays = pays || s.saves > minutes
	}
	return best, pays
}

// child is the situation behind a branch.
func (f *flow) child(at int, n *flowDraft, s *split, bounds [2]int, branches int) *flowDraft {
	l := &f.lenses[s.lens]
	c := &flowDraft{depth: n.depth + 1, taken: map[int]bool{s.lens: true}, reached: map[string]bool{}}
	c.Left = l.reading
	for k := range n.taken {
		c.taken[k] = true
	}
	for place := range n.reached {
		c.reached[place] = true
	}
	for _, place := range f.r.Job.Circuit.Touches(l.reading) {
		c.reached[place] = true
	}
	total := 0.0
	c.weights = make([]float64, len(n.weights))
	for p, w := range n.weights {
		if w == 0 {
			continue
		}
		own := 0.0
		for _, share := range l.shares[p] {
			if share.bin >= bounds[0] && share.bin <= bounds[1] {
				own += share.share
			}
		}
		c.weights[p] = w * ((1-l.misread)*own + l.misread/float64(branches))
		total += c.weights[p]
	}
	c.Share = n.Share * total
	normalise(c.weights)
	return c
}

// settle finds the node of a situation: one that is alike, an end, or a new one to be worked out.
func (f *flow) settle(c *flowDraft) int {
	if c.Share < flowNodeShare || len(f.nodes) >= f.most {
		return f.oneByOne()
	}
	if f.enough(c) {
		if !f.sure(c) {
			return f.oneByOne()
		}
		if at, ok := f.leaf[leafKey(c.Places)]; ok {
			f.join(f.nodes[at], c)
			return at
		}
		f.end(c)
		return f.put(c, f.leaf, leafKey(c.Places))
	}
	key := f.situation(c)
	if at, ok := f.known[key]; ok {
		f.nodes[at].Share += c.Share
		return at
	}
	at := f.put(c, f.known, key)
	f.open = append(f.open, at)
	return at
}

func (f *flow) put(c *flowDraft, where map[string]int, key string) int {
	where[key] = len(f.nodes)
	f.nodes = append(f.nodes, c)
	return len(f.nodes) - 1
}

// join adds the machines of a situation to an end.
func (f *flow) join(n, c *flowDraft) {
	whole := n.Share + c.Share
	for p := range n.weights {
		n.weights[p] = (n.Share*n.weights[p] + c.Share*c.weights[p]) / whole
	}
	if n.Share < c.Share {
		n.Way = c.Way
	}
	n.Share = whole
	n.Places = f.named(n.weights)
	f.end(n)
}

// end makes an end of a situation: the places in the order in which they are tried.
func (f *flow) end(n *flowDraft) {
	n.Kind = FlowRepair
	n.Places = f.inOrder(n.Places)
}

// oneByOne is the node at which the chart ends.
func (f *flow) oneByOne() int {
	if f.rest < 0 {
		f.rest = len(f.nodes)
		f.nodes = append(f.nodes, &flowDraft{FlowNode: FlowNode{Kind: FlowOneByOne}})
	}
	return f.rest
}

// leafKey names an end by the places that hold most and what is likeliest there: two with the same are one.
func leafKey(places []rank.PlaceOdds) string {
	var names []string
	for _, p := range places {
		if p.Probability >= 0.1 {
			names = append(names, p.Place.String()+" "+p.Leading.String())
		}
	}
	sort.Strings(names)
	return strings.Join(names, "|")
}

// situation names what a reading node stands for: the odds to a twentieth, what has been reached, how the machine stands, and how
// many readings were taken, so that no way leads back.
func (f *flow) situation(n *flowDraft) string {
	odds := f.odds(n.weights)
	var parts []string
	for place, p := range odds {
		if step := math.Round(20 * p); step > 0 {
			parts = append(parts, fmt.Sprintf("%d:%g", place, step))
		}
	}
	for place := range n.reached {
		parts = append(parts, place)
	}
	sort.Strings(parts)
	return fmt.Sprintf("%d %s %s", n.depth, strings.Join(parts, " "), circuits.StateKey(n.Left.State))
}

// soundShare is the share of sound machines that fall into a branch.
func (f *flow) soundShare(l *lens, bounds [2]int) float64 {
	sum := 0.0
	if f.sound >= 0 {
		for _, s := range l.shares[f.sound] {
			if s.bin >= bounds[0] && s.bin <= bounds[1] {
				sum += s.share
			}
		}
	}
	return sum
}

// values are the ends of a branch: what the machines at the node show there, kept clear of the cuts by the reading's own error.
func (f *flow) values(l *lens, weights []float64, s *split, index int, bounds [2]int) Branch {
	if bounds[0] == l.bins()-1 {
		return Branch{None: true, Low: math.NaN(), High: math.NaN()}
	}
	b := Branch{}
	below, above := math.Inf(-1), math.Inf(1)
	if index > 0 {
		below = l.edges[s.cuts[index-1]] + l.margins[s.cuts[index-1]]
	}
	if index < len(s.cuts) {
		above = l.edges[s.cuts[index]] - l.margins[s.cuts[index]]
	}
	// Three standard deviations of a machine's own spread, without what few machines show: that lies between two branches.
	const reach, few = 3, 0.003
	var lows, highs []weightedEnd
	whole := 0.0
	for _, ray := range l.rays {
		if ray.Discrete != 0 || ray.Mean < below || ray.Mean > above {
			continue
		}
		w := weights[ray.Particle] * ray.Weight / l.base[ray.Particle]
		whole += w
		lows, highs = append(lows, weightedEnd{ray.Mean - reach*ray.SD, w}), append(highs, weightedEnd{-ray.Mean - reach*ray.SD, w})
	}
	b.Low, b.High = endAt(lows, few*whole), -endAt(highs, few*whole)
	if whole == 0 { // a branch of the tails alone
		b.Low, b.High = below, above
	}
	low, high := reachOf(f.r.Job, l.reading)
	b.Low, b.High = max(b.Low, below, low), min(b.High, above, high)
	b.OL = l.reading.Quantity == circuits.Ohms && b.High >= math.Log(f.r.Job.Meter.MaxOhms)
	return b
}

// weightedEnd is the end of what one machine shows.
type weightedEnd struct{ at, weight float64 }

// endAt is the lowest of the ends once so much weight has been left out.
func endAt(ends []weightedEnd, few float64) float64 {
	sort.SliceStable(ends, func(a, b int) bool { return ends[a].at < ends[b].at })
	sum := 0.0
	for _, e := range ends {
		if sum += e.weight; sum > few {
			return e.at
		}
	}
	return math.Inf(1)
}

// reachOf is between what a reading lies on any machine: nothing drives a point far beyond the battery, and a module reports nothing
// beyond its range.
func reachOf(j *circuits.Job, r circuits.Reading) (low, high float64) {
	battery := j.Circuit.Battery.Volts
	if r.State.Key == circuits.KeyRun {
		battery = j.Circuit.Battery.RunningVolts
	}
	switch r.Quantity {
	case circuits.ScanVolts:
		if pin := j.Circuit.Pin(r.Point()); pin != nil {
			return pin.RangeVolts[0] - pin.StepVolts(), pin.RangeVolts[1] + pin.StepVolts()
		}
	case circuits.Volts:
		const over = 1.1
		if r.To == circuits.BNegative {
			return -1, over*battery + 1
		}
		return -over*battery - 1, over*battery + 1
	}
	return math.Inf(-1), math.Inf(1)
}
