package paper

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// Margins, in millimetres, and sizes of text, in points.
const (
	marginMM  = 15.0
	footMM    = 12.0 // from the lower edge to the line of the foot
	footGapMM = 4.0  // between the text and the foot
	titlePt   = 15.0
	headPt    = 11.5
	subheadPt = 10.0
	textPt    = 9.2
	smallPt   = 7.8
	mmPerPt   = 25.4 / 72
	leading   = 1.25
	gapMM     = 1.6 // below a block
)

// unmade is the date of a document that names none: a file has to have one.
var unmade = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// press is a PDF in the making. x and y, in millimetres from the top left corner, are where the next block begins.
type press struct {
	pdf      *fpdf.Fpdf
	size     Size
	letters  *alphabet
	y        float64
	top, low float64 // of the text on a page
	wide     float64 // of the text
	left     float64
	turned   bool
	scratch  *press // for measuring
	endless  bool   // its page has no end
}

// PDF sets a document on paper of a size. Text in it can be selected and searched, drawings are vectors, and the only
// fonts are the embedded ones. An error is a mistake of ours, never of the text.
func PDF(d Document, size Size) ([]byte, error) {
	p := newPress(d, size)
	p.newPage(false)
	if d.Title != "" {
		p.write(p.lines(d.Title, face{titlePt, true}, p.wide), face{titlePt, true}, p.left, true)
		p.y += gapMM
	}
	p.blocks(d.Blocks)
	p.feet(d)
	var out bytes.Buffer
	if err := p.pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("set the PDF: %w", err)
	}
	return out.Bytes(), nil
}

func newPress(d Document, size Size) *press {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: size.WidthMM, Ht: size.HeightMM}})
	p := &press{pdf: pdf, size: size, letters: newAlphabet()}
	made := d.Made
	if made.IsZero() {
		made = unmade
	}
	pdf.SetCreationDate(made.UTC())
	pdf.SetModificationDate(made.UTC())
	pdf.SetCatalogSort(true)
	pdf.SetProducer("ohmtrail", false)
	pdf.SetTitle(p.letters.settable(flat(d.Title)), true)
	pdf.SetLang(language(d))
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(marginMM, marginMM, marginMM)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	return p
}

// language is the document's, where it looks like one.
func language(d Document) string {
	for _, r := range d.Language {
		if !(r == '-' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9') {
			return "en"
		}
	}
	if d.Language == "" {
		return "en"
	}
	return d.Language
}

// newPage begins a page, upright or turned.
func (p *press) newPage(turned bool) {
	way := "P"
	if turned {
		way = "L"
	}
	wide, high := p.size.room(turned)
	p.pdf.AddPageFormat(way, fpdf.SizeType{Wd: p.size.WidthMM, Ht: p.size.HeightMM})
	p.turned, p.left, p.wide = turned, marginMM, wide
	p.top, p.low = marginMM, marginMM+high
	p.y = p.top
	p.pdf.SetTextColor(0, 0, 0)
	p.pdf.SetDrawColor(0, 0, 0)
	p.pdf.SetFillColor(255, 255, 255)
}

// room is what is left of the page, in millimetres.
func (p *press) room() float64 { return p.low - p.y }

// ask begins a new page where what is wanted does not fit this one and fits a new one better.
func (p *press) ask(mm float64) {
	if (mm > p.room() || p.turned) && p.y > p.top {
		p.newPage(false)
	}
}

// mostFoot is how many bytes of a foot are looked at; its one line holds fewer.
const mostFoot = 300

// feet writes the foot of all pages, once their number is known.
func (p *press) feet(d Document) {
	pages := p.pdf.PageCount()
	_, last := p.pdf.GetPageSize() // the library counts y from the lower edge of the last page on whichever page it writes
	numbers := d.Numbers
	if numbers == "" || len(numbers) > mostFoot {
		numbers = "{page} / {pages}"
	}
	text := flat(d.Foot)
	if len(text) > mostFoot {
		text = strings.ToValidUTF8(text[:mostFoot], "") + " …"
	}
	for n := 1; n <= pages; n++ {
		p.pdf.SetPage(n)
		w, _, _ := p.pdf.PageSize(n)
		p.pdf.SetDrawColor(0, 0, 0)
		p.pdf.SetTextColor(0, 0, 0)
		p.pdf.SetDashPattern(nil, 0)
		p.pdf.SetLineWidth(0.2)
		y := last - footMM
		p.pdf.Line(marginMM, y, w-marginMM, y)
		number := p.letters.settable(flat(strings.NewReplacer("{page}", strconv.Itoa(n), "{pages}", strconv.Itoa(pages)).Replace(numbers)))
		small := face{smallPt, false}
		p.use(small)
		base := y + 4
		right := p.pdf.GetStringWidth(number)
		p.pdf.Text(w-marginMM-right, base, number)
		if foot := p.lines(text, small, w-2*marginMM-right-6); foot[0] != "" {
			p.use(small)
			if len(foot) > 1 {
				foot[0] += " …"
			}
			p.pdf.Text(marginMM, base, foot[0])
		}
	}
}

// face is a size of text, in points, and its weight.
type face struct {
	pt   float64
	bold bool
}

// lineMM is the height of a line.
func (f face) lineMM() float64 { return f.pt * mmPerPt * leading }

func (p *press) use(f face) {
	style := ""
	if f.bold {
		style = "B"
	}
	p.pdf.SetFont("go", style, f.pt)
}

// lines breaks a text for a face and a width; there is at least one line.
func (p *press) lines(text string, f face, wide float64) []string {
	p.use(f)
	return broken(p.letters.settable(text), wide, p.pdf.GetStringWidth)
}

// write prints lines from p.y on and moves it below them. Where pages may be turned over it goes on on the next one.
func (p *press) write(lines []string, f face, x float64, overPages bool) {
	for _, l := range lines {
		if overPages {
			p.ask(f.lineMM())
		}
		p.line(l, f, x, p.y)
		p.y += f.lineMM()
	}
}

// line prints one line whose upper edge is at y.
func (p *press) line(text string, f face, x, y float64) {
	if text == "" {
		return
	}
	p.use(f)
	p.pdf.Text(x, y+f.lineMM()*0.74, text)
}
