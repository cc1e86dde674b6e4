package report

import (
	"strings"
	"time"

	"ohmtrail/cmd/internal/paper"
)

// HTML is the report as one page that stands alone and prints well.
func (r Report) HTML() ([]byte, error) { return paper.HTML(r.document(true)) }

// PDF is the report on paper of a size. A drawing too wide to be read upright stands on a turned page at its end.
func (r Report) PDF(size paper.Size) ([]byte, error) {
	return paper.PDF(r.document(!paper.Turns(r.drawing, size)), size)
}

// Markdown is the report as Markdown, with the drawing in it as a picture.
func (r Report) Markdown() []byte { return paper.Markdown(r.document(true)) }

// document is the report with its drawing where it is spoken of, or at its end.
func (r Report) document(within bool) paper.Document {
	d := paper.Document{Title: r.title, Language: say("language"), Foot: r.foot, Numbers: say("numbers")}
	if made, err := time.Parse(time.DateOnly, r.date); err == nil {
		d.Made = made
	}
	drawing := []paper.Block{paper.Together{Blocks: []paper.Block{paper.Heading{Text: say("head.drawing")}, r.drawing}}}
	if within {
		d.Blocks = concat(r.blocks, drawing, r.rest)
	} else {
		d.Blocks = concat(r.blocks, r.rest, []paper.Block{r.drawing})
	}
	return d
}

// lacks counts the letters that a PDF of the report cannot show.
func lacks(r Report) int {
	return paper.Lacks(strings.ReplaceAll(string(paper.Markdown(paper.Document{Title: r.title, Blocks: concat(r.blocks, r.rest)})), "□", ""))
}

// Short is the story in at most ShortLetters letters on one line, to paste into somebody else's form.
func (r Report) Short() string { return r.short }
