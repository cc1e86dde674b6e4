package draw

import (
	"cmp"
	"math"
	"slices"
)

const (
	barCrossing     = 0.6  // a wire that crosses the bar of a splice, in crossings of two wires: it stays level
	lengthUnderTies = 1e-3 // prefers near places among equal numbers of crossings
	readingOrder    = 0.2  // prefers what the file names first at the top; all of it counts less than one crossing
)

// cost is what an order of all columns costs, in crossings of two wires.
func (g *grid) cost(pos []float64) float64 {
	total := 0.0
	for k := range g.channel {
		total += g.crossings(k, pos)
	}
	for k := range g.bars {
		total += g.barCost(k, pos) + g.orderCost(k, pos)
	}
	return total
}

// orderCost is low where the slots of a column stand in the order in which the file names their wires.
func (g *grid) orderCost(column int, pos []float64) float64 {
	total := 0.0
	for _, s := range g.order(column) {
		for _, l := range g.legAt[s] {
			if l != none {
				total -= (pos[s] - 0.5) * (float64(g.legs[l].strand)/float64(len(g.strands)) - 0.5)
			}
		}
	}
	return total * readingOrder / float64(len(g.slots))
}

// crossings counts the crossings of legs in a channel, given by its index.
func (g *grid) crossings(k int, pos []float64) float64 {
	type pair struct{ a, b float64 }
	var pairs []pair
	total := 0.0
	for _, l := range g.channel[k] {
		a, b, ok := g.legs[l].across()
		if !ok {
			a, b = g.legs[l].from.slot, g.legs[l].to.slot
		}
		if d := pos[a] - pos[b]; d > 0 {
			total += d * lengthUnderTies
		} else {
			total -= d * lengthUnderTies
		}
		if ok {
			pairs = append(pairs, pair{pos[a], pos[b]})
		}
	}
	slices.SortFunc(pairs, func(p, q pair) int { return cmp.Compare(p.a, q.a) })
	right := make([]float64, len(pairs))
	for i, p := range pairs {
		right[i] = p.b
	}
	return total + float64(inversions(right, make([]float64, len(right))))
}

// inversions counts the pairs that stand in the wrong order, and sorts v; spare is as long as v.
func inversions(v, spare []float64) int {
	if len(v) < 2 {
		return 0
	}
	half := len(v) / 2
	n := inversions(v[:half], spare[:half]) + inversions(v[half:], spare[half:])
	i, j := 0, half
	for k := range spare {
		if j == len(v) || i < half && v[i] <= v[j] {
			spare[k] = v[i]
			i++
		} else {
			spare[k] = v[j]
			n += half - i
			j++
		}
	}
	copy(v, spare)
	return n
}

// barCost counts the wires that the bars of a column's splices cross.
func (g *grid) barCost(column int, pos []float64) float64 {
	total := 0.0
	for i := range g.bars[column] {
		total += g.crossed(column, g.bars[column][i], pos)
	}
	return total
}

// crossed is the cost of one bar: its slots are so many, and whatever else stands between its ends is crossed.
func (g *grid) crossed(column int, bar []int, pos []float64) float64 {
	low, high := pos[bar[0]], pos[bar[0]]
	for _, s := range bar {
		low, high = min(low, pos[s]), max(high, pos[s])
	}
	between := math.Round((high-low)*float64(g.size[column])) + 1 - float64(len(bar))
	return (high-low)*10*lengthUnderTies + between*barCrossing
}

// costOf is the part of the cost that changes when two neighbours change places.
func (g *grid) costOf(column int, upper, lower []int, pos []float64) float64 {
	total, lengths, order := 0.0, 0.0, 0.0
	var far [2][]float64 // of the wires of the upper lot, on each face
	for i, s := range slices.Concat(upper, lower) {
		for f, l := range g.legAt[s] {
			if l == none {
				continue
			}
			order -= (pos[s] - 0.5) * (float64(g.legs[l].strand)/float64(len(g.strands)) - 0.5)
			_, _, across := g.legs[l].across()
			y := pos[g.farSlot(l, s)]
			lengths += math.Abs(pos[s] - y)
			switch {
			case !across:
			case i < len(upper):
				far[f] = append(far[f], y)
			default:
				for _, u := range far[f] {
					if u > y {
						total++
					}
				}
			}
		}
	}
	total += lengths*lengthUnderTies + order*readingOrder/float64(len(g.slots))
	if len(g.bars[column]) == 0 {
		return total
	}
	seen := none
	for _, s := range slices.Concat(upper, lower) {
		if bar := g.barAt[s]; bar != none && bar != seen {
			total += g.crossed(column, g.bars[column][bar], pos)
			seen = bar
		}
	}
	return total
}
