package draw

import (
	"ohmtrail/models"
)

// sign is one entry of the legend: a picture 34 wide and centred on y, and its words.
type sign struct {
	words string
	draw  func(x, y float64)
}

// legend explains the signs in use, in lines that fit the width, and returns its bottom.
func (p *painter) legend(y, width float64) float64 {
	p.group("legend", "", "legend")
	p.lineAlong([]XY{{margin, y}, {width - margin, y}}, faint, 0.8, nil, 0)
	y += 18
	x := margin
	for _, s := range append(p.colourSigns(), p.otherSigns()...) {
		words := line{text: s.words, size: smallSize, ink: ink}
		w := 40 + p.ruler.width(words) + 18
		if x > margin && x+w > width-margin {
			x, y = margin, y+24
		}
		s.draw(x, y)
		p.text(x+40, y-smallSize*0.6, false, []line{words})
		x += w
	}
	p.end()
	return y + 10
}

func (p *painter) colourSigns() []sign {
	var out []sign
	for _, code := range p.colours() {
		name := models.ColourName(code)
		if name == "" {
			continue
		}
		out = append(out, sign{code + " " + name, func(x, y float64) {
			p.insulation([]XY{{x, y}, {x + 34, y}}, code, linkWidth, false)
		}})
	}
	return out
}

func (p *painter) otherSigns() []sign {
	var out []sign
	has := map[partKind]bool{}
	for _, part := range p.parts {
		has[part.kind] = true
	}
	out = append(out, sign{"contact", func(x, y float64) {
		p.lineAlong([]XY{{x, y}, {x + 34, y}}, ink, 1.4, nil, 0)
		p.mated(XY{x + 17, y}, east, none)
	}})
	if has[splicePart] {
		out = append(out, sign{"splice", func(x, y float64) {
			p.lineAlong([]XY{{x, y}, {x + 34, y}}, ink, 1.4, nil, 0)
			p.put(Shape{Kind: Disc, Points: []XY{{x + 17, y}}, Radius: 4.8, Fill: ink})
		}})
	}
	if has[studPart] {
		out = append(out, sign{"ground stud", func(x, y float64) {
			p.lineAlong([]XY{{x + 17, y - 8}, {x + 17, y}}, ink, 2, nil, 0)
			for k, half := range []float64{9, 6, 3} {
				p.lineAlong([]XY{{x + 17 - half, y + 4*float64(k)}, {x + 17 + half, y + 4*float64(k)}}, ink, 1.8, nil, 0)
			}
		}})
	}
	if len(p.marks.Suspects) > 0 {
		out = append(out, sign{"suspect place, dashed beyond it", func(x, y float64) {
			p.lineAlong([]XY{{x - 6, y}, {x + 10, y}}, ink, linkSuspectWidth, nil, 0)
			p.lineAlong([]XY{{x + 10, y}, {x + 36, y}}, ink, linkSuspectWidth, []float64{6, 4}, 2)
			p.badge(XY{x + 10, y}, 0)
		}})
	}
	if len(p.marks.Tests) > 0 {
		words := "test point: value read"
		for _, t := range p.marks.Tests {
			if t.Healthy != "" || t.Leading != "" {
				words = "test point: value read; in a healthy circuit; with the first suspect at fault"
			}
		}
		out = append(out, sign{words, func(x, y float64) {
			p.put(Shape{Kind: Area, Points: []XY{{x + 24, y - 5}, {x + 19, y + 5}, {x + 29, y + 5}}, Fill: ink})
		}})
	}
	return out
}
