package main

import (
	"slices"
	"strconv"

	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
)

// A page of A4 across holds so much of a chart at a size of letters that reads well: units of the drawing, at three quarters of a point.
const (
	pageColumns = 3     // cards side by side
	pageHeight  = 660.0 // of the cards of one column, one under the other, beneath the head
	firstHead   = 90.0  // what more the head of the first page takes
	cardGap     = 24.0
)

// flowPages parts a chart into pages. A reading whose outcomes do not fit beside it begins anew, on the same page where there is room
// below, else on another one.
func flowPages(f view.Flow) []flowPart {
	heights := cardHeights(f)
	waiting := []int{0}
	page := map[int]int{}
	var parts []flowPart
	for len(waiting) > 0 {
		room := pageHeight
		if len(parts) == 0 {
			room -= firstHead
		}
		part := flowPart{piece: map[int]int{}}
		var later []int
		for i := 0; i < len(waiting); i++ {
			start := waiting[i]
			filling := newFilling(f, heights, start, room)
			elsewhere, fits := filling.fill()
			if len(part.cards) > 0 && !fits {
				later = append(later, start)
				continue
			}
			page[start] = len(parts)
			for _, card := range filling.cards {
				part.piece[card] = i
			}
			part.cards = append(part.cards, filling.cards...)
			room -= slices.Max(filling.used[:]) + cardGap
			for _, card := range elsewhere {
				if _, begun := page[card]; !begun && !slices.Contains(waiting, card) {
					waiting = append(waiting, card)
				}
			}
		}
		waiting = later
		parts = append(parts, part)
	}
	for i := range parts {
		parts[i].page = func(card int) string {
			if at, ok := page[card]; ok && at != i {
				return ", page " + strconv.Itoa(at+1)
			}
			return ""
		}
	}
	return parts
}

// cardHeights are the heights of all cards.
func cardHeights(f view.Flow) []float64 {
	var cards []draw.Card
	for i := range f.Cards {
		cards = append(cards, drawnCard(f, i, nil, func(int) string { return ", page 0" }))
	}
	var out []float64
	for _, size := range draw.LayOut("", nil, cards).Sizes() {
		out = append(out, size.Height)
	}
	return out
}

// pageFilling is a piece of a page while it is filled, from one card on.
type pageFilling struct {
	f       view.Flow
	heights []float64
	cards   []int
	column  map[int]int
	used    [pageColumns]float64
	most    float64
}

func newFilling(f view.Flow, heights []float64, start int, most float64) *pageFilling {
	p := &pageFilling{f: f, heights: heights, column: map[int]int{start: 0}, cards: []int{start}, most: most}
	p.used[0] = heights[start]
	return p
}

// fill puts down card after card with all that its outcomes lead to. It gives the readings for which there was no room: they are not on
// this piece; fits tells whether its beginning had room.
func (p *pageFilling) fill() (elsewhere []int, fits bool) {
	var cards []int
	fits = p.used[0] <= p.most
	for i := 0; i < len(p.cards); i++ {
		card := p.cards[i]
		next, height := p.next(card)
		column := p.column[card] + 1
		roomy := column < pageColumns && p.used[column]+height <= p.most
		if len(next) > 0 && !roomy && i > 0 {
			elsewhere = append(elsewhere, card)
			continue
		}
		fits = fits && (len(next) == 0 || roomy)
		cards = append(cards, card)
		for _, n := range next {
			p.column[n] = column
			p.cards = append(p.cards, n)
			p.used[column] += p.heights[n] + cardGap
		}
	}
	p.cards = cards
	return elsewhere, fits
}

// next are the cards to which one leads that are not on the page yet, and the height that they take.
func (p *pageFilling) next(card int) (next []int, height float64) {
	for _, r := range p.f.Cards[card].Rows {
		_, here := p.column[r.To]
		if !here && p.f.Cards[r.To].Kind != plan.FlowOneByOne && !slices.Contains(next, r.To) {
			next = append(next, r.To)
			height += p.heights[r.To] + cardGap
		}
	}
	return next, height
}
