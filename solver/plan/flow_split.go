package plan

import (
	"math"
	"sort"
)

// split is a lens with its bins joined into branches.
type split struct {
	lens  int
	cuts  []int // indices of edges between branches, rising
	none  bool  // no value is a branch of its own
	gain  float64
	saves float64
}

const (
	// flowBranches is the most branches of values at one node.
	flowBranches = 4
	// worthBranch is the least information in bits for which a branch is parted further.
	worthBranch = 0.05
)

// splitAt joins a lens's bins into the branches that tell the places of a situation apart best, one cut after the other.
func (f *flow) splitAt(number int, n *flowDraft) (split, bool) {
	l := &f.lenses[number]
	byPlace, minutes := f.table(l, n.weights)
	out := split{lens: number}
	none := l.bins() - 1
	for _, row := range byPlace {
		out.none = out.none || row[none] > 1e-4
	}
	out.gain = information(byPlace, f.bounds(l, out), l.misread)
	for len(out.cuts) < flowBranches-1 {
		best, bestGain := f.bestCut(l, byPlace, out)
		least := worthBranch
		if len(out.cuts) == 0 {
			least = WorthBits
		}
		if best < 0 || bestGain < out.gain+least {
			break
		}
		out.cuts, out.gain = withCut(out.cuts, best), bestGain
	}
	if len(out.cuts) == 0 && !out.none {
		return out, false
	}
	now, after := map[int]float64{}, 0.0
	for k, p := range minutes {
		for _, share := range byPlace[k] {
			now[p] += share
		}
	}
	for _, b := range f.bounds(l, out) {
		repair, whole := map[int]float64{}, 0.0
		for k, p := range minutes {
			repair[p] = branchShare(byPlace[k], b, l.misread, len(out.cuts)+1)
			whole += repair[p]
		}
		after += whole * f.places.repairCost(repair)
	}
	out.saves = f.places.repairCost(now) - after
	return out, true
}

// bestCut is the next cut of a split, and the information with it. Of cuts that tell nearly the same the one in the widest gap
// between values is taken, for there the fewest values are in doubt.
func (f *flow) bestCut(l *lens, byPlace [][]float64, s split) (best int, gain float64) {
	gains := make([]float64, len(l.edges))
	most := s.gain
	for e := range l.edges {
		if i := sort.SearchInts(s.cuts, e); i < len(s.cuts) && s.cuts[i] == e {
			continue
		}
		try := s
		try.cuts = withCut(s.cuts, e)
		gains[e] = information(byPlace, f.bounds(l, try), l.misread)
		most = max(most, gains[e])
	}
	best, gain = -1, s.gain
	const nearly = 0.99
	for e, g := range gains {
		if g > s.gain && g >= nearly*most && (best < 0 || l.gaps[e] > l.gaps[best]) {
			best, gain = e, g
		}
	}
	return best, gain
}

func withCut(cuts []int, e int) []int {
	out := append(append([]int(nil), cuts...), e)
	sort.Ints(out)
	return out
}

// table is the weight of each place in each bin of a lens, and the places' numbers.
func (f *flow) table(l *lens, weights []float64) (rows [][]float64, places []int) {
	row := map[int]int{}
	for p, w := range weights {
		if w < 1e-7 {
			continue
		}
		at, ok := row[f.place[p]]
		if !ok {
			at = len(rows)
			row[f.place[p]] = at
			rows, places = append(rows, make([]float64, l.bins())), append(places, f.place[p])
		}
		for _, s := range l.shares[p] {
			rows[at][s.bin] += w * s.share
		}
	}
	return rows, places
}

// bounds are the first and the last bin of each branch.
func (f *flow) bounds(l *lens, s split) [][2]int {
	var out [][2]int
	from := 0
	for _, cut := range s.cuts {
		out = append(out, [2]int{from, cut})
		from = cut + 1
	}
	out = append(out, [2]int{from, l.bins() - 2})
	if s.none {
		out = append(out, [2]int{l.bins() - 1, l.bins() - 1})
	}
	return out
}

// branchShare is what of a row falls into a branch: a misread value falls into any of them.
func branchShare(row []float64, bounds [2]int, misread float64, branches int) float64 {
	own, whole := 0.0, 0.0
	for bin, share := range row {
		whole += share
		if bin >= bounds[0] && bin <= bounds[1] {
			own += share
		}
	}
	return (1-misread)*own + misread*whole/float64(branches)
}

// information is the mutual information in bits between place and branch.
func information(rows [][]float64, bounds [][2]int, misread float64) float64 {
	total := 0.0
	branch := make([]float64, len(bounds))
	parts := make([][]float64, len(rows))
	whole := make([]float64, len(rows))
	for k, row := range rows {
		parts[k] = make([]float64, len(bounds))
		for b, at := range bounds {
			own := 0.0
			for bin := at[0]; bin <= at[1]; bin++ {
				own += row[bin]
			}
			parts[k][b] = own
			whole[k] += own
		}
		for b := range bounds {
			parts[k][b] = (1-misread)*parts[k][b] + misread*whole[k]/float64(len(bounds))
			branch[b] += parts[k][b]
		}
		total += whole[k]
	}
	if total <= 0 {
		return 0
	}
	sum := 0.0
	for k := range rows {
		for b := range bounds {
			if x := parts[k][b]; x > 0 {
				sum += x / total * math.Log2(x*total/(whole[k]*branch[b]))
			}
		}
	}
	return max(sum, 0)
}
