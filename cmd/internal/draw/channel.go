package draw

import (
	"math"
	"sort"
)

// channelPlan divides a channel: texts of the slots at its left, tracks for wires that change rows, texts at its right.
type channelPlan struct {
	left, zone, tracks, right float64 // left edge, and the three widths
	track                     map[int]float64
}

// planChannel finds the widths of a channel, given by its index, and the tracks of the wires that change rows in it.
func (p *placed) planChannel(k int) channelPlan {
	c := channelPlan{track: map[int]float64{}}
	var jogs []int
	for _, l := range p.channel[k] {
		a, b, ok := p.legs[l].across()
		if !ok || math.Abs(p.y[a]-p.y[b]) > 0.5 {
			jogs = append(jogs, l)
		}
	}
	for _, l := range p.channel[k] {
		mw, _ := stack(p.under[l].middle)
		lw, rw := p.endWidths(l)
		mw = max(mw, p.ruler.width(p.runLabel(l)))
		label := 0.0
		if p.hasLabel(l) {
			label = p.ruler.width(p.wireLine(l))
		}
		need := max(label, lw+mw) + 20
		rightOnly := p.legs[l].from.face == west && p.legs[l].to.face == west
		switch {
		case rightOnly:
			c.right = max(c.right, need+rw)
		case len(jogs) > 0:
			c.zone, c.right = max(c.zone, need), max(c.right, rw+10)
		default:
			c.zone = max(c.zone, max(label, lw+mw+rw)+20)
		}
	}
	if len(p.channel[k]) > 0 {
		c.zone = max(c.zone, 24)
	}
	if len(jogs) > 0 {
		c.tracks = 12 * float64(len(jogs)+1)
		for i, l := range p.trackOrder(jogs) {
			c.track[l] = c.zone + 12*float64(i+1)
		}
	}
	return c
}

// endWidths are the widths of what hangs at the left and at the right side of a leg's channel.
func (p *placed) endWidths(l int) (left, right float64) {
	for k, a := range []anchor{p.legs[l].from, p.legs[l].to} {
		w, _ := stack(p.under[l].ends[k])
		if a.face == east {
			left = max(left, w)
		} else {
			right = max(right, w)
		}
	}
	return left, right
}

// trackOrder sorts the wires that change rows in a channel from left to right: one that leaves a height comes before
// one that takes that height over, so that they never lie on each other; else those that reach far stand outside.
func (p *placed) trackOrder(jogs []int) []int {
	const close = 16.0
	leaves := func(l int) (left []float64, takes []float64) {
		for _, a := range []anchor{p.legs[l].from, p.legs[l].to} {
			if a.face == east {
				left = append(left, p.y[a.slot])
			} else {
				takes = append(takes, p.y[a.slot])
			}
		}
		return left, takes
	}
	before := func(a, b int) bool { // a must stand left of b
		left, _ := leaves(a)
		_, takes := leaves(b)
		for _, u := range left {
			for _, v := range takes {
				if math.Abs(u-v) < close {
					return true
				}
			}
		}
		return false
	}
	rest := append([]int(nil), jogs...)
	sort.SliceStable(rest, func(i, j int) bool {
		a, _, _ := p.legs[rest[i]].across()
		b, _, _ := p.legs[rest[j]].across()
		return p.y[a] < p.y[b]
	})
	var out []int
	for len(rest) > 0 {
		pick := 0
		for i, l := range rest {
			free := true
			for j, other := range rest {
				free = free && (i == j || !before(other, l))
			}
			if free {
				pick = i
				break
			}
		}
		out = append(out, rest[pick])
		rest = append(rest[:pick], rest[pick+1:]...)
	}
	return out
}
