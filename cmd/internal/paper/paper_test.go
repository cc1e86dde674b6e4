package paper

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ohmtrail/circuits/library"
	"ohmtrail/cmd/internal/draw"
)

// perLetter measures a text at one unit a letter.
func perLetter(s string) float64 { return float64(len([]rune(s))) }

func TestBroken(t *testing.T) {
	for _, c := range []struct {
		text string
		most float64
		want []string
	}{
		{"", 5, []string{""}},
		{"one two three", 7, []string{"one two", "three"}},
		{"one\ntwo", 20, []string{"one", "two"}},
		{"read 4.98\u00a0V here", 9, []string{"read", "4.98 V", "here"}},
		{"abcdefghij", 4, []string{"abcd", "efgh", "ij"}},
		{"MCU:A2>C7:2", 8, []string{"MCU:A2>", "C7:2"}},
		{"x MCU:A2>C7:2 y", 8, []string{"x", "MCU:A2>", "C7:2 y"}},
	} {
		if got := broken(c.text, c.most, perLetter); !slices.Equal(got, c.want) {
			t.Errorf("%q at %g: %q, not %q", c.text, c.most, got, c.want)
		}
	}
}

func TestWidths(t *testing.T) {
	for _, c := range []struct {
		total        float64
		least, likes []float64
		want         []float64
	}{
		{100, []float64{10, 10}, []float64{10, 40}, []float64{20, 80}},  // all fits: spread by what each likes
		{100, []float64{20, 20}, []float64{20, 200}, []float64{20, 80}}, // too much: the wordy one gets the rest
		{100, []float64{100, 100}, []float64{0, 0}, []float64{50, 50}},  // not even the words fit
	} {
		got := widths(c.total, c.least, c.likes)
		for i := range got {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%v of %v: %v, not %v", c.least, c.total, got, c.want)
			}
		}
	}
}

func TestSettable(t *testing.T) {
	for text, want := range map[string]string{
		"220 Ω, 5 µA, ≠ ≥ 3 °C – 4": "220 Ω, 5 µA, ≠ ≥ 3 °C – 4",
		"e\u0301 \u2126":            "é Ω",
		"漢字 שלום 👍🏽":                "□□ □□□□ □",
		"a\u200db\u202ec\x00d\r\ne": "abcd\ne",
	} {
		if got := newAlphabet().settable(text); got != want {
			t.Errorf("%q is set as %q, not %q", text, got, want)
		}
	}
	if n := Lacks("漢 and Ω"); n != 1 {
		t.Errorf("%d letters are lacking, not 1", n)
	}
}

// long is a document of several pages, one of them turned.
func long(t testing.TB) Document {
	c, err := library.Circuit("shared-reference")
	if err != nil {
		t.Fatal(err)
	}
	d := Document{Title: "Long", Foot: "the foot", Numbers: "page {page} of {pages}", Blocks: []Block{
		Heading{Text: "Readings"}, Table{Columns: []Column{{Head: "HEADWHERE"}, {Head: "VALUE", Right: true}}},
		Drawing{Picture: draw.Draw(c, draw.Marks{})}, Heading{Text: "After"}, Ruled{Lines: 2},
	}}
	for i := range 120 {
		table := d.Blocks[1].(Table)
		table.Rows = append(table.Rows, Cells(fmt.Sprintf("row %d", i+1), "4.98\u00a0V"))
		d.Blocks[1] = table
	}
	return d
}

// TestPictureAlone: a drawing alone is one page of its own size, as lines and text that can be searched, in letters that a
// code page of 224 lacks too, and the same bytes again.
func TestPictureAlone(t *testing.T) {
	c, err := library.Circuit("throttle-potentiometer")
	if err != nil {
		t.Fatal(err)
	}
	marks := draw.Marks{Suspects: []draw.Suspect{{Location: c.Wires[0].Location, Words: "220 Ω here? −3 ‰"}}, Legend: true}
	picture := draw.Draw(c, marks)
	pdf, err := Picture(picture)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := Picture(draw.Draw(c, marks)); err != nil || !bytes.Equal(pdf, again) {
		t.Errorf("the same drawing gave other bytes (%v)", err)
	}
	if bytes.Contains(pdf, []byte("/Subtype /Image")) {
		t.Error("the drawing is an image, not vectors")
	}
	if size := fmt.Sprintf("/MediaBox [0 0 %.2f %.2f]", picture.Width*0.75, picture.Height*0.75); !bytes.Contains(pdf, []byte(size)) {
		t.Errorf("the page is not of the drawing's size, %s", size)
	}
	text, readable := textOf(t, pdf)
	if !readable {
		return
	}
	if strings.Count(text, "\f") != 1 {
		t.Errorf("%d pages", strings.Count(text, "\f"))
	}
	for _, want := range []string{"220 Ω here?", "0.5 mm²", "throttle position", "suspect place, dashed beyond it"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the file:\n%s", want, text)
		}
	}
}

func TestPDFPages(t *testing.T) {
	for _, size := range Sizes() {
		pdf, err := PDF(long(t), size)
		if err != nil {
			t.Fatal(err)
		}
		text, readable := textOf(t, pdf)
		if !readable {
			return
		}
		pages := strings.Split(strings.TrimRight(text, "\f\n"), "\f")
		for i, page := range pages {
			if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(page, want) || !strings.Contains(page, "the foot") {
				t.Errorf("%s: page %d lacks %q or its foot", size.Name, i+1, want)
			}
			if strings.Contains(page, "row ") != strings.Contains(page, "HEADWHERE") {
				t.Errorf("%s: page %d has rows without a head, or a head without rows", size.Name, i+1)
			}
		}
		for i := range 120 {
			if n := len(regexp.MustCompile(fmt.Sprintf(`row %d +4\.98 V\n`, i+1)).FindAllString(text, -1)); n != 1 {
				t.Errorf("%s: row %d is printed %d times", size.Name, i+1, n)
			}
		}
		if !strings.Contains(text, "Four engine sensors on one 5 V reference") {
			t.Errorf("%s: the drawing's text cannot be selected", size.Name)
		}
		box := fmt.Sprintf("/MediaBox [0 0 %.2f %.2f]", size.WidthMM*72/25.4, size.HeightMM*72/25.4)
		turned := fmt.Sprintf("/MediaBox [0 0 %.2f %.2f]", size.HeightMM*72/25.4, size.WidthMM*72/25.4)
		if !bytes.Contains(pdf, []byte(box)) || !bytes.Contains(pdf, []byte(turned)) {
			t.Errorf("%s: no page of %s, or none of %s", size.Name, box, turned)
		}
	}
}

func TestSameBytes(t *testing.T) {
	first, err := PDF(long(t), A4)
	if err != nil {
		t.Fatal(err)
	}
	time.Sleep(1100 * time.Millisecond) // a clock in the file would have moved on
	again, err := PDF(long(t), A4)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, again) {
		t.Error("the same document gave other bytes")
	}
	d := long(t)
	d.Made = time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	dated, err := PDF(d, A4)
	if err != nil || !bytes.Contains(dated, []byte("D:20261125000000")) {
		t.Errorf("the date of creation is not in the file (%v)", err)
	}
}

// TestNothingIsLost holds the three forms against each other: every word of a document stands in each.
func TestNothingIsLost(t *testing.T) {
	var d Document
	var want []string
	word := func() string {
		want = append(want, fmt.Sprintf("word%dx", len(want)))
		return want[len(want)-1]
	}
	d.Title, d.Foot = word(), word()
	d.Blocks = []Block{Heading{Text: word()}, Heading{Level: 2, Text: word()}, Paragraph{Lead: word(), Text: word() + "\n" + word()},
		Notice{word(), word()}, List{Items: []string{word(), word()}}, List{Items: []string{word()}, Numbered: true, First: 7},
		Table{Columns: []Column{{Head: word()}, {Head: word()}}, Rows: []Row{Cells(word(), word()), Cells(word())}},
		Fields{Columns: 2, Items: []Field{{Label: word(), Value: word()}, {Label: word()}, {Label: word(), Value: word()}}},
		Ticks{Items: []string{word()}}, Box{Caption: word(), HeightMM: 10}, Together{[]Block{Paragraph{Text: word()}}}}
	pdf, err := PDF(d, Letter)
	if err != nil {
		t.Fatal(err)
	}
	html, err := HTML(d)
	if err != nil {
		t.Fatal(err)
	}
	printed, readable := textOf(t, pdf)
	for _, w := range want {
		if n := strings.Count(string(Markdown(d)), w); n != 1 {
			t.Errorf("%s stands %d times in the Markdown", w, n)
		}
		if n := strings.Count(string(html), w); n != 1 && !(w == d.Title && n == 2) {
			t.Errorf("%s stands %d times in the HTML", w, n)
		}
		if n := strings.Count(printed, w); n != 1 && readable {
			t.Errorf("%s stands %d times in the PDF", w, n)
		}
	}
}
