package draw

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// setHeights gives every slot its height. Wires are made straight first: slots joined by a leg are tied to one height for
// as long as the orders of the columns allow it. Then the tied sets are packed from the top and drawn towards what
// they belong to.
func (p *placed) setHeights() {
	loose := map[int]bool{}
	for range loosenings {
		t := p.tie(loose)
		t.pack()
		for range pullPasses {
			t.pull()
		}
		if !t.loosen() {
			return
		}
	}
}

// mostStretch is how far apart level wires may pull two neighbouring rows of a part before one of them must change
// rows instead. An in-line connector may be as long as it likes.
var mostStretch = map[partKind]float64{devicePart: 140, modulePart: 220}

// loosen finds the parts that level wires have pulled long, and frees one wire of each: of the rows over and under the
// widest gap, the smaller lot gives way.
func (t *ties) loosen() (found bool) {
	for i, part := range t.parts {
		most, ok := mostStretch[part.kind]
		if !ok {
			continue
		}
		rows := slices.Clone(t.slotOf[i])
		slices.SortFunc(rows, func(a, b int) int { return cmp.Compare(t.y[a], t.y[b]) })
		widest := none
		for k := 1; k < len(rows); k++ {
			if stretch := t.y[rows[k]] - t.y[rows[k-1]] - t.gap(rows[k-1], rows[k]); stretch > most {
				most, widest = stretch, k
			}
		}
		if widest == none {
			continue
		}
		near, far := rows[widest:], rows[:widest] // from the gap outwards
		slices.Reverse(far)
		if len(far) <= len(near) {
			near, far = far, near
		}
		for _, s := range append(slices.Clone(near), far...) {
			if t.free(s) {
				found = true
				break
			}
		}
	}
	return found
}

// free lets a wire at a slot change rows; false where there is none left to free.
func (t *ties) free(s int) bool {
	for _, l := range t.legAt[s] {
		if l != none && !t.loose[l] {
			t.loose[l] = true
			return true
		}
	}
	return false
}

// ties are sets of slots that share one height.
type ties struct {
	*placed
	set         []int   // of each slot
	members     [][]int // of each set, nil for a set that was merged into another
	prev, next  []int   // of each slot in its column, or none
	topological []int   // sets from top to bottom
	rank        []int   // of each set: a set lies above another only where its rank is less
	loose       map[int]bool
}

// gap is the distance that two neighbours in a column keep.
func (p *placed) gap(above, below int) float64 { return p.down[above] + p.up[below] }

func (p *placed) tie(loose map[int]bool) *ties {
	t := &ties{placed: p, set: make([]int, len(p.slots)), members: make([][]int, len(p.slots)), prev: fill(len(p.slots)), next: fill(len(p.slots)), loose: loose}
	for s := range p.slots {
		t.set[s], t.members[s] = s, []int{s}
	}
	for k := range p.columns {
		order := p.order(k)
		for i := 1; i < len(order); i++ {
			t.prev[order[i]], t.next[order[i-1]] = order[i-1], order[i]
		}
	}
	t.rank = p.levels()
	legs := make([]int, len(p.legs))
	for i := range legs {
		legs[i] = i
	}
	rank := func(l int) int { // passages first: a long wire with a kink looks worst
		n := 0
		for _, a := range []anchor{p.legs[l].from, p.legs[l].to} {
			if p.passing[a.slot] {
				n--
			}
		}
		return n
	}
	sort.SliceStable(legs, func(i, j int) bool { return rank(legs[i]) < rank(legs[j]) })
	for _, l := range legs {
		if a, b, ok := p.legs[l].across(); ok && !loose[l] {
			t.merge(t.set[a], t.set[b])
		}
	}
	t.sort()
	return t
}

// merge ties two sets, unless one must lie above the other. Sets are ranked from top to bottom, so only what is ranked
// between the two can lie between them; that is ranked anew, the rest stays (after Pearce and Kelly).
func (t *ties) merge(a, b int) {
	if a == b {
		return
	}
	if t.rank[a] > t.rank[b] {
		a, b = b, a
	}
	low, high := t.rank[a], t.rank[b]
	below, found := t.reach(a, b, t.next, func(set int) bool { return t.rank[set] < high })
	if found {
		return
	}
	above, _ := t.reach(b, a, t.prev, func(set int) bool { return t.rank[set] > low })
	order := slices.Concat(above, below)
	ranks := make([]int, len(order))
	for i, set := range order {
		ranks[i] = t.rank[set]
	}
	slices.Sort(ranks)
	byRank := func(x, y int) int { return cmp.Compare(t.rank[x], t.rank[y]) }
	slices.SortFunc(above, byRank)
	slices.SortFunc(below, byRank)
	for i, set := range slices.Concat(above, below) { // b is the last above, a the first below: they become one
		t.rank[set] = ranks[i]
	}
	for _, s := range t.members[b] {
		t.set[s] = a
	}
	t.members[a] = append(t.members[a], t.members[b]...)
	t.members[b] = nil
}

// reach lists a set and what is met from it through the neighbours of one direction, as far as within allows; found
// tells whether the goal was met.
func (t *ties) reach(from, goal int, neighbour []int, within func(set int) bool) (met []int, found bool) {
	seen := map[int]bool{from: true}
	met = []int{from}
	for i := 0; i < len(met); i++ {
		for _, s := range t.members[met[i]] {
			if neighbour[s] == none {
				continue
			}
			n := t.set[neighbour[s]]
			if n == goal {
				return nil, true
			}
			if !seen[n] && within(n) {
				seen[n] = true
				met = append(met, n)
			}
		}
	}
	return met, false
}

// sort lists the sets so that each comes after all that lie above it.
func (t *ties) sort() {
	for set, m := range t.members {
		if m != nil {
			t.topological = append(t.topological, set)
		}
	}
	slices.SortFunc(t.topological, func(a, b int) int { return cmp.Compare(t.rank[a], t.rank[b]) })
}

// pack puts every set as high as those above it allow.
func (t *ties) pack() {
	t.y = make([]float64, len(t.slots))
	for _, set := range t.topological {
		y := 0.0
		for _, s := range t.members[set] {
			if t.prev[s] != none {
				y = max(y, t.y[t.prev[s]]+t.gap(t.prev[s], s))
			}
		}
		t.put(set, y)
	}
}

func (t *ties) put(set int, y float64) {
	for _, s := range t.members[set] {
		t.y[s] = y
	}
}

// pull moves each set, within its room, to the middle of what draws it: the far ends of wires with a kink, the other
// rows of its boxes, the other legs of its splices.
func (t *ties) pull() {
	for i := len(t.topological) - 1; i >= 0; i-- {
		t.pullSet(t.topological[i])
	}
	for _, set := range t.topological {
		t.pullSet(set)
	}
}

func (t *ties) pullSet(set int) {
	low, high := math.Inf(-1), math.Inf(1)
	var wants []float64
	for _, s := range t.members[set] {
		if a := t.prev[s]; a != none {
			low = max(low, t.y[a]+t.gap(a, s))
			if t.samePart(a, s) {
				wants = append(wants, t.y[a]+t.gap(a, s))
			}
		}
		if b := t.next[s]; b != none {
			high = min(high, t.y[b]-t.gap(s, b))
			if t.samePart(s, b) {
				wants = append(wants, t.y[b]-t.gap(s, b))
			}
		}
		for _, l := range t.legAt[s] {
			if l == none || t.loose[l] {
				continue
			}
			far := t.farSlot(l, s)
			if t.set[far] != set {
				wants = append(wants, t.y[far], t.y[far])
			}
		}
	}
	wants = append(wants, t.barWants(set)...)
	if len(wants) == 0 || low > high {
		return
	}
	sort.Float64s(wants)
	y := (wants[(len(wants)-1)/2] + wants[len(wants)/2]) / 2
	t.put(set, min(max(y, low), high))
}

func (t *ties) samePart(a, b int) bool {
	return t.slots[a].part != none && t.slots[a].part == t.slots[b].part
}

// barWants draws the legs of a splice together.
func (t *ties) barWants(set int) (wants []float64) {
	for _, s := range t.members[set] {
		if t.slots[s].part == none || t.kindOf(s) != splicePart {
			continue
		}
		for _, other := range t.slotOf[t.slots[s].part] {
			if t.set[other] != set {
				wants = append(wants, t.y[other])
			}
		}
	}
	return wants
}

// levels ranks single slots from top to bottom over all columns, so that slots that may come to one height lie near.
func (p *placed) levels() []int {
	pos := make([]float64, len(p.slots))
	order := make([]int, len(p.slots))
	for k := range p.columns {
		p.renumber(k, pos)
	}
	for s := range order {
		order[s] = s
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(pos[a], pos[b]) })
	rank := make([]int, len(p.slots))
	for i, s := range order {
		rank[s] = i
	}
	return rank
}
