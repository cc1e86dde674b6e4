package paper

import (
	"encoding/base64"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Markdown writes a document in CommonMark with tables as GitHub has them. A drawing stands in it as an SVG picture
// within the file, at its end. Any text in a document is shown as text.
func Markdown(d Document) []byte {
	m := &markdown{}
	if d.Title != "" {
		m.out.WriteString("# " + inline(d.Title) + "\n\n")
	}
	m.blocks(d.Blocks)
	if d.Foot != "" {
		m.out.WriteString("---\n\n" + inline(d.Foot) + "\n")
	}
	for i, svg := range m.drawings {
		fmt.Fprintf(&m.out, "\n[drawing-%d]: data:image/svg+xml;base64,%s\n", i+1, base64.StdEncoding.EncodeToString(svg))
	}
	return []byte(strings.TrimRight(m.out.String(), "\n") + "\n")
}

type markdown struct {
	out      strings.Builder
	drawings [][]byte
}

func (m *markdown) blocks(list []Block) {
	for _, b := range list {
		m.block(b)
	}
}

func (m *markdown) block(b Block) {
	switch b := b.(type) {
	case Heading:
		m.out.WriteString(strings.Repeat("#", max(min(b.Level, 5), 1)+1) + " " + inline(b.Text) + "\n\n")
	case Paragraph:
		if b.Lead != "" {
			m.out.WriteString("**" + strings.TrimSpace(inline(b.Lead)) + "** ")
		}
		m.out.WriteString(lineBreaks(b.Text, "") + "\n\n")
	case Notice:
		if b.Head != "" {
			m.out.WriteString("> **" + strings.TrimSpace(inline(b.Head)) + "**\n")
		}
		if b.Text != "" {
			if b.Head != "" {
				m.out.WriteString(">\n")
			}
			m.out.WriteString("> " + lineBreaks(b.Text, "> ") + "\n")
		}
		m.out.WriteString("\n")
	case List:
		for i, item := range b.Items {
			mark := "- "
			if b.Numbered {
				mark = strconv.Itoa(max(b.First, 1)+i) + ". "
			}
			m.out.WriteString(mark + lineBreaks(item, strings.Repeat(" ", len(mark))) + "\n")
		}
		m.out.WriteString("\n")
	case Ticks:
		for _, item := range b.Items {
			m.out.WriteString("- [ ] " + lineBreaks(item, "  ") + "\n")
		}
		m.out.WriteString("\n")
	case Table:
		m.table(b)
	case Fields:
		for _, f := range b.Items {
			value := lineBreaks(f.Value, "  ")
			if f.Value == "" {
				value = blank
			}
			m.out.WriteString("- **" + strings.TrimSpace(inline(f.Label)) + ":** " + value + "\n")
		}
		m.out.WriteString("\n")
	case Ruled:
		for range b.Lines {
			m.out.WriteString(blank + "\n\n")
		}
	case Box:
		m.out.WriteString(inline(b.Caption) + "\n\n" + blank + "\n\n")
	case Drawing:
		m.drawings = append(m.drawings, b.Picture.SVG())
		fmt.Fprintf(&m.out, "![%s][drawing-%d]\n\n", inline(b.Alt), len(m.drawings))
	case Together:
		m.blocks(b.Blocks)
	case PageBreak:
		m.out.WriteString("---\n\n")
	}
}

// blank is a place to write in.
const blank = `\_\_\_\_\_\_\_\_\_\_\_\_`

func (m *markdown) table(t Table) {
	if len(t.Columns) == 0 {
		return
	}
	for _, c := range t.Columns {
		m.out.WriteString("| " + inline(c.Head) + " ")
	}
	m.out.WriteString("|\n")
	for _, c := range t.Columns {
		if c.Right {
			m.out.WriteString("| ---: ")
		} else {
			m.out.WriteString("| --- ")
		}
	}
	m.out.WriteString("|\n")
	for _, r := range t.Rows {
		for _, c := range fullRow(t, r) {
			text := inline(c.Text)
			if c.Bold && strings.TrimSpace(text) != "" {
				text = "**" + strings.TrimSpace(text) + "**"
			}
			m.out.WriteString("| " + text + " ")
		}
		m.out.WriteString("|\n")
	}
	m.out.WriteString("\n")
}

// lineBreaks sets a text of several lines, each behind a head.
func lineBreaks(s, head string) string {
	var out []string
	for _, l := range strings.Split(clean(s), "\n") {
		out = append(out, inline(l))
	}
	return strings.Join(out, "\\\n"+head)
}

// signs that mean something to Markdown wherever they stand.
var signs = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, "|", `\|`,
	"~", `\~`, "&", `\&`, "$", `\$`, "^", `\^`, "://", `:\//`, "@", `\@`, "{", `\{`, "}", `\}`, "\u00a0", " ")

// atStart are signs that mean something at the start of a line: headings, lists, quotes and rules.
var atStart = regexp.MustCompile(`^(?:#+(?: |$)|[+-](?: |$)|[-=][-= ]*$|>|\d+[.)](?: |$))`)

// web is how an address begins that a reader may be led to without being asked.
var web = regexp.MustCompile(`(?i)\b(www)\.`)

// inline is a text on one line in which nothing is markup.
func inline(s string) string {
	s = strings.Join(strings.Fields(strings.ReplaceAll(flat(s), "\u00a0", " ")), " ")
	s = web.ReplaceAllString(signs.Replace(s), `$1\.`)
	if at := atStart.FindString(s); at != "" {
		n := 0
		if strings.IndexByte("0123456789", s[0]) >= 0 {
			n = strings.IndexAny(s, ".)")
		}
		s = s[:n] + `\` + s[n:]
	}
	return s
}
