package draw

// Weights of the search for columns, in columns of wire length. They are our own choice, found by looking.
const (
	againstReading = 12.0 // a wire drawn right to left although its run reads left to right
	againstFeed    = 0.8  // the same for a ground or for a feed at its module, which would else stand far from the left edge
	perColumn      = 0.5  // a column more
	backward       = 8.0  // a wire that must turn back round a part

	freeWiresSearched = 400 // beyond this the search for better directions is skipped; the drawing stays valid
)

// columns says how far to the right each part stands. Wires at a crossed in-line connector are bound: first half to
// the left, second half to the right. Any other wire may lead either way, and goes the way that keeps wires short.
func (d *diagram) columns() {
	var free []int
	right := make([]bool, len(d.strands)) // the wire's far end stands right of its near end
	for i, s := range d.strands {
		right[i] = true
		if d.parts[s.from.part].kind == studPart && s.from.part != s.to.part {
			right[i] = false // a ground stands at the end, however the run is written
		}
		if bound, leads := d.bound(s); bound {
			right[i] = leads
		} else {
			free = append(free, i)
		}
	}
	best, cost := d.layer(right)
	if len(free) <= freeWiresSearched {
		for improved, pass := true, 0; improved && pass < 6; pass++ {
			improved = false
			for _, i := range free {
				right[i] = !right[i]
				if cols, k := d.layer(right); k < cost-1e-9 {
					best, cost, improved = cols, k, true
				} else {
					right[i] = !right[i]
				}
			}
		}
	}
	for i := range d.parts {
		d.parts[i].column = best[i]
	}
	d.splitSplices()
}

// bound tells whether a wire may lead only one way, and which: the halves of a crossed connector look west and east. One
// that lies between two halves that look alike is free.
func (d *diagram) bound(s strand) (bound, right bool) {
	from, to := d.parts[s.from.part], d.parts[s.to.part]
	leaves, arrives := s.from.at.Side == from.sides[1], s.to.at.Side == to.sides[0]
	switch {
	case from.crossed && to.crossed:
		return leaves == arrives, leaves
	case from.crossed:
		return true, leaves
	case to.crossed:
		return true, arrives
	}
	return from.kind == postPart, true
}

// layer gives each part a column such that wires lead the wanted way, and the cost of the result.
func (d *diagram) layer(right []bool) (cols []int, cost float64) {
	n := len(d.parts)
	after := make([][]int, n)  // parts that must stand right of this one
	before := make([][]int, n) // and left
	for i, s := range d.strands {
		a, b := s.from.part, s.to.part
		if a == b {
			continue
		}
		if !right[i] {
			a, b = b, a
		}
		after[a], before[b] = append(after[a], b), append(before[b], a)
	}
	order, rank := topological(after, before)
	cols = make([]int, n)
	forward := func(a, b int) bool { return rank[a] < rank[b] }
	for _, v := range order {
		for _, b := range after[v] {
			if forward(v, b) {
				cols[b] = max(cols[b], cols[v]+1)
			}
		}
	}
	// A part with more to its right than to its left moves right as far as it may, as long as that shortens wires.
	for pass := 0; pass < 4; pass++ {
		for i := len(order) - 1; i >= 0; i-- {
			v, limit, pull := order[i], n+1, 0
			for _, b := range after[v] {
				if forward(v, b) {
					limit, pull = min(limit, cols[b]-1), pull+1
				}
			}
			for _, a := range before[v] {
				if forward(a, v) {
					pull--
				}
			}
			if pull > 0 && limit > cols[v] && limit <= n {
				cols[v] = limit
			}
		}
	}
	widest := 0
	for i, s := range d.strands {
		a, b := cols[s.from.part], cols[s.to.part]
		widest = max(widest, a, b)
		span := b - a
		if span < 0 {
			span = -span
			if d.mayTurn(s) {
				cost += againstFeed
			} else {
				cost += againstReading
			}
		}
		if (b > a) != right[i] {
			cost += backward
		}
		cost += float64(span)
	}
	return cols, cost + perColumn*float64(widest)
}

// mayTurn tells whether a wire is a ground, or a feed's last piece into its module: these may hang at the module's right.
func (d *diagram) mayTurn(s strand) bool {
	switch d.circuit.Runs[s.wire.Run].Role {
	case "ground":
		return true
	case "power":
		return d.parts[s.to.part].kind == modulePart
	}
	return false
}

// topological orders the parts so that each stands behind those before it; where a ring leaves no such part, the
// first of the file is taken. rank is each part's place in that order.
func topological(after, before [][]int) (order, rank []int) {
	n := len(after)
	waiting := make([]int, n)
	rank = make([]int, n)
	done := make([]bool, n)
	for i := range before {
		waiting[i] = len(before[i])
	}
	for len(order) < n {
		pick := none
		for i := range n {
			if !done[i] && (pick == none || waiting[i] == 0 && waiting[pick] > 0) {
				pick = i
			}
		}
		done[pick], rank[pick] = true, len(order)
		order = append(order, pick)
		for _, b := range after[pick] {
			waiting[b]--
		}
	}
	return order, rank
}

// splitSplices gives splices columns of their own, left of the boxes that share their column, so that the bar of a
// splice never runs through a box.
func (d *diagram) splitSplices() {
	widest := 0
	for _, p := range d.parts {
		widest = max(widest, p.column)
	}
	hasSplice, hasBox := make([]bool, widest+1), make([]bool, widest+1)
	for _, p := range d.parts {
		if p.kind == splicePart {
			hasSplice[p.column] = true
		} else {
			hasBox[p.column] = true
		}
	}
	boxes, splices := make([]int, widest+1), make([]int, widest+1)
	next := 0
	for k := range hasBox {
		splices[k] = next
		if hasSplice[k] && hasBox[k] {
			next++
		}
		boxes[k] = next
		next++
	}
	for i := range d.parts {
		p := &d.parts[i]
		if p.kind == splicePart {
			p.column = splices[p.column]
		} else {
			p.column = boxes[p.column]
		}
	}
}
