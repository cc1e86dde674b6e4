package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"ohmtrail/cmd/internal/draw"
	"ohmtrail/cmd/internal/layout"
	"ohmtrail/cmd/internal/paper"
	"ohmtrail/cmd/internal/view"
	"ohmtrail/solver/plan"
)

// flowPart is a part of a chart that stands in one picture: some of its cards, in pieces between which no line is drawn, and where
// those lead that stand elsewhere.
type flowPart struct {
	cards []int
	piece map[int]int           // by card; nil where all are of one piece
	page  func(card int) string // where a card stands that is not in this part; "" where it is a matter of course
}

// flowPicture draws a part of a chart.
func flowPicture(f view.Flow, part flowPart, head []string) (draw.Picture, error) {
	at := map[int]int{}
	for i, card := range part.cards {
		at[card] = i
	}
	var cards []draw.Card
	for _, card := range part.cards {
		cards = append(cards, drawnCard(f, card, at, part.page))
	}
	sheet := draw.LayOut(f.Title, head, cards)
	var g layout.Graph
	for _, size := range sheet.Sizes() {
		g.Nodes = append(g.Nodes, layout.Node{Width: size.Width, Height: size.Height, Top: size.Top, Ports: size.Rows})
	}
	for i, card := range part.cards {
		for row, r := range f.Cards[card].Rows {
			if to, here := at[r.To]; here && part.piece[card] == part.piece[r.To] {
				g.Edges = append(g.Edges, layout.Edge{From: i, Port: row, To: to})
			}
		}
	}
	placed, err := layout.Place(context.Background(), g)
	if err != nil {
		return draw.Picture{}, err
	}
	var centres []draw.XY
	for _, p := range placed.Nodes {
		centres = append(centres, draw.XY(p))
	}
	var leads []draw.Lead
	for i, e := range g.Edges {
		lead := draw.Lead{From: e.From, Row: e.Port, To: e.To}
		for _, p := range placed.Edges[i] {
			lead.Points = append(lead.Points, draw.XY(p))
		}
		leads = append(leads, lead)
	}
	return sheet.Paint(placed.Width, placed.Height, centres, leads), nil
}

// drawnCard is a card of a chart as it is drawn.
func drawnCard(f view.Flow, card int, here map[int]int, page func(int) string) draw.Card {
	c := f.Cards[card]
	out := draw.Card{Title: c.Title, Text: c.Steps, End: c.Kind == plan.FlowRepair}
	if c.Kind == plan.FlowRepair {
		for _, odds := range c.Places {
			out.Rows = append(out.Rows, draw.CardRow{Words: odds.Place, Share: odds.Share})
		}
		out.Foot = append(out.Foot, c.Proof...)
		return out
	}
	out.Foot = []string{c.Foot}
	for _, r := range c.Rows {
		leads := "→ " + f.Cards[r.To].Title
		if f.Cards[r.To].Kind == plan.FlowOneByOne {
			leads = "→ step"
		} else if _, drawn := here[r.To]; !drawn {
			leads += page(r.To)
		}
		out.Rows = append(out.Rows, draw.CardRow{Words: r.Shows, Share: r.Share, Leads: leads})
	}
	return out
}

// flowSVG is the whole chart in one picture.
func flowSVG(f view.Flow) ([]byte, error) {
	part := flowPart{page: func(int) string { return "" }}
	for i, c := range f.Cards {
		if c.Kind != plan.FlowOneByOne {
			part.cards = append(part.cards, i)
		}
	}
	p, err := flowPicture(f, part, append(append([]string(nil), f.Head...), f.Care...))
	if err != nil {
		return nil, flowUnplaced(err)
	}
	return p.SVG(), nil
}

// flowUnplaced says how to get a picture where it cannot be had now.
func flowUnplaced(err error) error {
	if errors.Is(err, layout.ErrNoProgram) {
		return fmt.Errorf("%w; `go install ./cmd/...` installs both, and -o chart.md or chart.txt is the same chart in words", err)
	}
	return err
}

// flowPDF is the chart on pages of A4, each with a part that begins at one card.
func flowPDF(f view.Flow) ([]byte, error) {
	parts := flowPages(f)
	var pages []draw.Picture
	for i, part := range parts {
		head := []string{"Page " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(parts)) + "."}
		if i == 0 {
			head = append(append(append([]string(nil), f.Head...), f.Care...), head...)
		}
		p, err := flowPicture(f, part, head)
		if err != nil {
			return nil, flowUnplaced(err)
		}
		pages = append(pages, p)
	}
	return paper.Pictures(f.Title, pages)
}
