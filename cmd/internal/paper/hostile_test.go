package paper

import (
	"bytes"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"ohmtrail/cmd/internal/draw"
)

// hostile are texts that somebody may put into any field.
var hostile = []string{
	`<script>alert(1)</script><img src=x onerror=alert(1)>`,
	"</svg></table>]]><!-- --> &amp; {{.}} {page} {nb}",
	"![x](javascript:alert(1)) [a](https://example.org) <https://example.org> https://example.org www.example.org a@example.org",
	"| a | b |\n| --- | --- |\n# heading\n- point\n1. one\n> quote\n```\ncode\n```\n---\n***\n    indented",
	"שלום עולם مرحبا \u202eback\u202c \u2066x\u2069",
	"😀👍🏽👩\u200d🔧 漢字 \U0001f1fa\U0001f1f3 e\u0301 \U0010ffff",
	"\x00\x01\x07\x1b[31mred\x7f\u0085\ufeff\ufffe\t\v\f tab",
	"\xff\xfe broken \xc3",
	strings.Repeat("W", 10000),
	strings.Repeat("long words and short ones ", 400),
	strings.Repeat("\n", 500),
	") Tj ET (\\) endstream endobj",
	"",
}

// everywhere is a document with one text in each of its fields.
func everywhere(s string) Document {
	sheet := draw.Picture{Width: 300, Height: 100, Title: s, Shapes: []draw.Shape{
		{Kind: draw.Text, Points: []draw.XY{{X: 10, Y: 20}}, Size: 12, Fill: "#000000", Text: s},
		{Kind: draw.Group, Class: "x", Name: s, About: s}, {Kind: draw.End},
	}}
	return Document{Title: s, Foot: s, Numbers: s, Language: s, Blocks: []Block{
		Heading{Text: s}, Heading{Level: 2, Text: s}, Paragraph{Text: s}, Paragraph{Lead: s, Text: s, Small: true}, Notice{s, s},
		List{Items: []string{s, s}}, List{Items: []string{s}, Numbered: true}, Ticks{Items: []string{s}}, Box{Caption: s, HeightMM: 20},
		Fields{Columns: 2, Items: []Field{{Label: s, Value: s}, {Label: s}, {Label: "x", Value: s}}}, Ruled{Lines: 2},
		Table{Columns: []Column{{Head: s}, {Head: "b", Right: true}}, Rows: []Row{Cells(s, "1"), {Cells: []Cell{{Text: s, Bold: true}}}}},
		Table{Columns: []Column{{Head: "a", Share: 1}, {Head: s, Share: 1e-3}}, Rows: []Row{Cells("x", s)}},
		Together{[]Block{Paragraph{Text: s}, Drawing{Picture: sheet, Alt: s}}}, PageBreak{},
	}}
}

func TestHostileHTML(t *testing.T) {
	for _, s := range hostile {
		body, err := HTML(everywhere(s))
		if err != nil {
			t.Fatal(err)
		}
		allowed := regexp.MustCompile(`^</?(!DOCTYPE|html|head|meta|title|style|body|h[123]|p|strong|div|ol|ul|li|dl|dt|dd|table|thead|tbody|tr|th|td|figure|figcaption|section|footer|svg|rect|text|g|line)\b[^<]*>$`)
		for _, tag := range regexp.MustCompile(`<[^>]*>?`).FindAllString(string(body), -1) {
			if !allowed.MatchString(tag) {
				t.Fatalf("%.40q puts the tag %.100q on the page", s, tag)
			}
			if regexp.MustCompile(`(?i)\s(on\w+|src|href)\s*=`).MatchString(regexp.MustCompile(`"[^"]*"`).ReplaceAllString(tag, "")) {
				t.Fatalf("%.40q puts an attribute into %.100q", s, tag)
			}
		}
		if i := bytes.IndexFunc(body, func(r rune) bool { return r < 0x20 && r != '\n' || r >= 0x202a && r <= 0x202e }); i >= 0 {
			t.Errorf("%.40q: the control character %q is on the page", s, body[i:i+3])
		}
		d := xml.NewDecoder(bytes.NewReader(body[bytes.Index(body, []byte("<svg")) : bytes.LastIndex(body, []byte("</svg>"))+6]))
		for {
			if _, err := d.Token(); err != nil {
				if err.Error() != "EOF" {
					t.Errorf("%.40q: the drawing is no XML: %v", s, err)
				}
				break
			}
		}
	}
}

// TestHostileMarkdown looks for unescaped signs: what is left of the text once every escaped letter is taken away must
// be plain words.
func TestHostileMarkdown(t *testing.T) {
	escaped := regexp.MustCompile(`\\.`)
	for _, s := range hostile {
		d := everywhere(s)
		for _, b := range d.Blocks[2:3] {
			text := string(Markdown(Document{Blocks: []Block{b}}))
			for _, line := range strings.Split(text, "\n") {
				plain := escaped.ReplaceAllString(strings.TrimSuffix(line, `\`), "")
				if i := strings.IndexAny(plain, "`*_[]<|~&$^@{}"); i >= 0 {
					t.Errorf("%.40q: %q stands unescaped in %.80q", s, plain[i], line)
				}
				if strings.Contains(plain, "://") || regexp.MustCompile(`(?i)\bwww\.`).MatchString(plain) {
					t.Errorf("%.40q: an address stands in %.80q", s, line)
				}
				if regexp.MustCompile(`^\s*(#+ |[-+] |>|\d+[.)] |[-=]+\s*$)`).MatchString(line) || strings.HasPrefix(line, "    ") {
					t.Errorf("%.40q: %.80q begins a block", s, line)
				}
			}
		}
		whole := string(Markdown(d))
		rows := regexp.MustCompile(`(?m)^\|.*$`).FindAllString(whole, -1)
		for _, row := range rows {
			if n := strings.Count(escaped.ReplaceAllString(row, ""), "|"); n != 3 {
				t.Errorf("%.40q: a row of two cells has %d bars: %.100q", s, n, row)
			}
		}
		if len(rows) != 4+3 {
			t.Errorf("%.40q: %d rows, not 7", s, len(rows))
		}
	}
}

func TestHostilePDF(t *testing.T) {
	for _, size := range Sizes() {
		for i, s := range hostile {
			if size == Letter && i != 0 {
				continue
			}
			pdf, err := PDF(everywhere(s), size)
			if err != nil {
				t.Fatalf("%.40q: %v", s, err)
			}
			text, readable := textOf(t, pdf)
			if !readable {
				return
			}
			if i == 8 {
				if n := strings.Count(text, "W"); n < 10*10000 {
					t.Errorf("only %d of the letters of a long word are printed", n)
				}
			}
			if strings.Contains(s, "שלום") && !strings.Contains(text, "□□□□ □□□□") {
				t.Error("letters that the font lacks left no sign")
			}
		}
	}
}

// textOf is the text of a PDF as a viewer would copy it. Without poppler's tools that cannot be seen: it is said and
// left out, except where CI is set.
func textOf(t testing.TB, pdf []byte) (text string, ok bool) {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftotext is missing, and the PDF must be read back (Debian: apt install poppler-utils)")
		}
		t.Log("pdftotext is missing: the PDF is not read back (Debian: apt install poppler-utils)")
		return "", false
	}
	file := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", "-enc", "UTF-8", file, "-").CombinedOutput()
	if err != nil || bytes.Contains(out, []byte("Syntax Error")) {
		t.Fatalf("pdftotext: %v\n%.300s", err, out)
	}
	return string(out), true
}
