package paper

import "ohmtrail/cmd/internal/draw"

const (
	mostMMPerUnit = 0.2  // a small drawing is not blown up: 12 units of text are then 6.8 points
	readableMM    = 0.13 // millimetres a unit below which 12 units of text are less than 4.4 points
)

// scale is millimetres a unit of a drawing in a space.
func scale(s draw.Picture, wide, high float64) float64 {
	if s.Width <= 0 || s.Height <= 0 {
		return mostMMPerUnit
	}
	return min(wide/s.Width, high/s.Height, mostMMPerUnit)
}

// room is the width and height of the text on a page, upright or turned.
func (s Size) room(turned bool) (wide, high float64) {
	w, h := s.WidthMM, s.HeightMM
	if turned {
		w, h = h, w
	}
	return w - 2*marginMM, h - marginMM - footMM - footGapMM
}

// Turns tells whether a drawing is better off on a turned page of its own, as PDF sets it.
func Turns(b Drawing, size Size) bool {
	wide, high := size.room(false)
	upright := scale(b.Picture, wide, high)
	wide, high = size.room(true)
	return !b.Upright && upright < readableMM && scale(b.Picture, wide, high) > 1.2*upright
}

// uprightScale is the scale of a drawing on an upright page: as large as an empty page takes it, or smaller, down to
// what can be read, where that lets it fit what is left of this page.
func (p *press) uprightScale(b Drawing) float64 {
	_, most := p.size.room(false)
	if b.MostMM > 0 {
		most = min(most, b.MostMM)
	}
	k := scale(b.Picture, p.wide, most)
	if here := scale(b.Picture, p.wide, p.room()); here < k && here >= readableMM {
		return here
	}
	return k
}

func (p *press) drawing(b Drawing) {
	if p.endless { // the least height that it asks for; one on a turned page of its own asks for none
		if !Turns(b, p.size) {
			p.y += b.Picture.Height*min(p.uprightScale(b), readableMM) + gapMM
		}
		return
	}
	if Turns(b, p.size) {
		p.newPage(true)
		wide, high := p.size.room(true)
		k := scale(b.Picture, wide, high)
		p.picture(b.Picture, p.left+(wide-b.Picture.Width*k)/2, p.y, k)
		p.y += b.Picture.Height*k + gapMM
		return
	}
	k := p.uprightScale(b)
	p.ask(b.Picture.Height * k)
	p.picture(b.Picture, p.left+(p.wide-b.Picture.Width*k)/2, p.y, k)
	p.y += b.Picture.Height*k + gapMM
}
