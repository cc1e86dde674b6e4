package draw

// slot is one place in the vertical order of a column: a row of a part, or the passage of a strand through a column
// that it does not end in.
type slot struct {
	column    int
	part, row int // part is none for a passage
	strand    int // of a passage
}

// anchor is a face of a slot.
type anchor struct {
	slot int
	face face
}

// leg is the stretch of a strand within one channel. Channel k lies right of column k; from and to follow the
// strand's own direction, so both may be on the same side of the channel.
type leg struct {
	strand, channel int
	from, to        anchor
}

// across tells whether the leg leads from one side of its channel to the other, and gives its slots from left to right.
func (l leg) across() (left, right int, ok bool) {
	switch {
	case l.from.face == east && l.to.face == west:
		return l.from.slot, l.to.slot, true
	case l.from.face == west && l.to.face == east:
		return l.to.slot, l.from.slot, true
	}
	return 0, 0, false
}

// block is a set of slots that stay together in their column: a column of parts and passages, a part of module
// connectors, a connector of cavities, a cavity of lanes. A block without kids is its slot.
type block struct {
	kids []*block
	slot int
}

func (b *block) appendSlots(list []int) []int {
	if len(b.kids) == 0 {
		return append(list, b.slot)
	}
	for _, k := range b.kids {
		list = k.appendSlots(list)
	}
	return list
}

// grid is the diagram cut into columns of slots and channels of legs.
type grid struct {
	*diagram
	slots   []slot
	legs    []leg
	legsOf  [][]int   // of each strand, in its own direction
	legAt   [][2]int  // leg at each face of each slot, or none
	slotOf  [][]int   // of each row of each part
	columns []*block  // the order of each column, from top to bottom
	passing []bool    // passing[s]: slot s is a passage
	channel [][]int   // legs of each channel; index 0 is channel -1, left of column 0
	bars    [][][]int // by column: the slots of each part that is drawn as a bar, where it has more than one
	barAt   []int     // of each slot: which of its column's bars it belongs to, or none
	size    []int     // of each column: how many slots it has
}

func cut(d *diagram) *grid {
	g := &grid{diagram: d}
	columns := 0
	for _, p := range d.parts {
		columns = max(columns, p.column+1)
	}
	g.columns = make([]*block, columns)
	for k := range g.columns {
		g.columns[k] = &block{}
	}
	g.channel = make([][]int, columns+1)
	g.bars = make([][][]int, columns)
	g.size = make([]int, columns)
	for i := range d.parts {
		g.addPart(i)
	}
	for i := range d.strands {
		g.addStrand(i)
	}
	return g
}

func (g *grid) addSlot(s slot) int {
	g.slots = append(g.slots, s)
	g.legAt = append(g.legAt, [2]int{none, none})
	g.passing = append(g.passing, s.part == none)
	g.barAt = append(g.barAt, none)
	g.size[s.column]++
	return len(g.slots) - 1
}

func (g *grid) addPart(i int) {
	p := &g.parts[i]
	column := g.columns[p.column]
	rows := make([]int, len(p.rows))
	for j := range p.rows {
		rows[j] = g.addSlot(slot{column: p.column, part: i, row: j})
	}
	g.slotOf = append(g.slotOf, rows)
	if p.kind == splicePart {
		for _, s := range rows { // each leg of a splice stands where it likes
			column.kids = append(column.kids, &block{slot: s})
		}
		if len(rows) > 1 {
			for _, s := range rows {
				g.barAt[s] = len(g.bars[p.column])
			}
			g.bars[p.column] = append(g.bars[p.column], rows)
		}
		return
	}
	box := &block{}
	for j := 0; j < len(rows); {
		group := &block{}
		for first := j; j < len(rows) && p.rows[j].group == p.rows[first].group; {
			cell := &block{}
			for point := p.rows[j].point; j < len(rows) && p.rows[j].point == point; j++ {
				cell.kids = append(cell.kids, &block{slot: rows[j]})
			}
			group.kids = append(group.kids, cell)
		}
		box.kids = append(box.kids, group)
	}
	if len(rows) == 0 { // a part without a single cavity still needs a place
		box.slot = g.addSlot(slot{column: p.column, part: i, row: none})
	}
	column.kids = append(column.kids, box)
}

// addStrand cuts a strand into legs, with a passage in each column that it crosses.
func (g *grid) addStrand(i int) {
	s := g.strands[i]
	channelOf := func(e end) int {
		if e.face == east {
			return g.parts[e.part].column
		}
		return g.parts[e.part].column - 1
	}
	at := anchor{g.slotOf[s.from.part][s.from.row], s.from.face}
	k, last := channelOf(s.from), channelOf(s.to)
	var legs []int
	link := func(to anchor) {
		l := len(g.legs)
		g.legs = append(g.legs, leg{strand: i, channel: k, from: at, to: to})
		g.legAt[at.slot][at.face], g.legAt[to.slot][to.face] = l, l
		g.channel[k+1] = append(g.channel[k+1], l)
		legs = append(legs, l)
	}
	for k != last {
		column, step, in := k+1, 1, west
		if last < k {
			column, step, in = k, -1, east
		}
		pass := g.addSlot(slot{column: column, part: none, strand: i})
		g.columns[column].kids = append(g.columns[column].kids, &block{slot: pass})
		link(anchor{pass, in})
		at, k = anchor{pass, in.other()}, k+step
	}
	link(anchor{g.slotOf[s.to.part][s.to.row], s.to.face})
	g.legsOf = append(g.legsOf, legs)
}

// order lists the slots of a column from top to bottom.
func (g *grid) order(column int) []int { return g.columns[column].appendSlots(nil) }
