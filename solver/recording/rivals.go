package recording

import "math"

// A rival is one way to explain the samples so far: its last cut lies at start. Its cost as a function of the level that is
// left is weight·(level − level of the rival)² + cost, in units of the noise's variance.
type rival struct {
	start  int64
	parent *cut // the cuts before start
	own    *cut // start itself, once another rival has needed it
	weight float64
	level  float64
	cost   float64
}

// cut is a place where a level ends, with those before it.
type cut struct {
	start int64
	prev  *cut
}

// chain is a rival's cuts, the latest first.
func (r *rival) chain() *cut {
	if r.own == nil {
		r.own = &cut{start: r.start, prev: r.parent}
	}
	return r.own
}

// mostRivals bounds the explanations that are kept side by side. In steady noise there are fewer than ten.
const mostRivals = 64

// contest is the search for the best cuts, sample by sample. The zero contest is ready.
type contest struct {
	rivals []rival
}

// add takes one sample at a position, with the noise around it. price is what a cut costs.
//
// It is exact: a rival is dropped only where another one is at least as good for every level that could still win, since
// whoever costs a price more than the best is beaten by a fresh cut from the best.
func (c *contest) add(at int64, v float64, n Noise, price float64) {
	w := 1 / (n.White * n.White)
	if len(c.rivals) == 0 {
		c.rivals = append(c.rivals, rival{start: at, weight: w, level: v})
		return
	}
	best := c.best()
	fresh := rival{start: at, parent: c.rivals[best].chain(), weight: w, level: v, cost: c.rivals[best].cost + price}
	stiff := 1 / (n.Wander * n.Wander)
	if n.Wander == 0 {
		stiff = math.Inf(1)
	}
	for i := range c.rivals {
		c.rivals[i].take(v, w, stiff)
	}
	c.rivals = append(c.rivals, fresh)
	c.prune(price)
}

// take lets a rival's level wander one sample's worth and then sees a sample.
func (r *rival) take(v, w, stiff float64) {
	if !math.IsInf(stiff, 1) {
		r.weight = r.weight * stiff / (r.weight + stiff)
	}
	sum := r.weight + w
	off := v - r.level
	r.cost += r.weight * w / sum * off * off
	r.level += w / sum * off
	r.weight = sum
}

// best is the index of the rival that costs least; of equals the one with the older cut.
func (c *contest) best() int {
	best := 0
	for i := range c.rivals {
		if c.rivals[i].cost < c.rivals[best].cost {
			best = i
		}
	}
	return best
}

// prune drops the rivals that cannot win any more.
func (c *contest) prune(price float64) {
	leader := c.rivals[c.best()]
	limit := leader.cost + price
	reach := math.Sqrt(price / leader.weight)
	kept := c.rivals[:0]
	for _, r := range c.rivals {
		switch {
		case r.start == leader.start:
		case r.cost >= limit:
			continue
		case r.weight <= leader.weight && math.Abs(r.level-leader.level)+math.Sqrt((limit-r.cost)/r.weight) <= reach:
			continue // wherever it is below the limit the leader is below it
		}
		kept = append(kept, r)
	}
	for len(kept) > mostRivals {
		worst := 0
		for i := range kept {
			if kept[i].cost > kept[worst].cost {
				worst = i
			}
		}
		kept = append(kept[:worst], kept[worst+1:]...)
	}
	clear(c.rivals[len(kept):])
	c.rivals = kept
}

// agreed is the latest cut that all rivals share, nil where there is none. A start belongs to one cut alone, for each sample
// begins at most one rival.
func (c *contest) agreed() *cut {
	if len(c.rivals) == 0 {
		return nil
	}
	at := c.rivals[0].chain()
	for i := 1; i < len(c.rivals); i++ {
		other := c.rivals[i].chain()
		for at != nil && other != nil && at != other {
			if at.start > other.start {
				at = at.prev
			} else {
				other = other.prev
			}
		}
		if at == nil || other == nil {
			return nil
		}
	}
	return at
}

// settle ends the contest in favour of the best, or of those who share its oldest cuts: rivals that do not have the best
// one's latest cut before a position are dropped.
func (c *contest) settle(before int64) {
	if len(c.rivals) == 0 {
		return
	}
	at := c.rivals[c.best()].chain()
	for at != nil && at.start >= before {
		at = at.prev
	}
	if at == nil {
		return
	}
	kept := c.rivals[:0]
	for _, r := range c.rivals {
		for k := r.chain(); k != nil; k = k.prev {
			if k == at {
				kept = append(kept, r)
				break
			}
		}
	}
	clear(c.rivals[len(kept):])
	c.rivals = kept
}
