package read

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"ohmtrail/circuits"
)

// deepestNesting is far beyond any diagram; the decoder recurses, so that a file of nothing but brackets would exhaust
// the stack.
const deepestNesting = 200

// tooDeep is the line on which a text opens more brackets than any diagram needs, 0 where it does not. Brackets in
// texts and comments count too: hundreds of unclosed ones are no diagram either.
func tooDeep(text []byte) int {
	depth, line := 0, 1
	for _, b := range text {
		switch b {
		case '\n':
			line++
		case '[', '{':
			depth++
		case ']', '}':
			depth = max(0, depth-1)
		}
		if depth > deepestNesting {
			return line
		}
	}
	return 0
}

// withoutMark drops the byte order mark that some editors write before UTF-8 text.
func withoutMark(text []byte) []byte { return bytes.TrimPrefix(text, []byte("\xef\xbb\xbf")) }

// syntaxProblem turns the decoder's complaint into a sentence of ours with a hint.
func syntaxProblem(file string, text []byte, err error) circuits.Problem {
	p := circuits.Problem{File: file, What: err.Error()}
	var parse toml.ParseError
	if !errors.As(err, &parse) {
		return p
	}
	p.Line, p.What = syntaxLine(text, parse), strings.TrimSuffix(parse.Message, ".")
	if p.What == "" {
		p.What = strings.TrimPrefix(parse.Error(), "toml: ")
	}
	if m := twiceDefined.FindStringSubmatch(p.What); m != nil {
		p.What = m[1] + " is given twice"
		p.Hint = "remove one of them"
		switch {
		case slices.Contains(repeatedTables, m[1]):
			p.Hint = fmt.Sprintf("write [[%s]] with two brackets, one for each %s", m[1], m[1])
		case strings.Count(m[1], ".") == 1:
			p.Hint = "remove one of them, or give it another name"
		}
		return p
	}
	for _, h := range syntaxHints {
		if m := h.complaint.FindStringSubmatch(p.What); m != nil {
			p.What, p.Hint = h.what, h.hint
			if strings.Contains(p.What, "%s") {
				p.What = fmt.Sprintf(h.what, endOfLine(m[1]))
			}
			return p
		}
	}
	p.What = "not TOML: " + p.What
	return p
}

// syntaxLine is the line of a complaint. The decoder (v1.6.0) counts one too many where a table's name is not closed, and
// one too few where the text ends within the complaint or has lines that end in carriage returns; the offset is right
// but for escapes, where it is that of the text which holds them.
func syntaxLine(text []byte, parse toml.ParseError) int {
	offset := min(max(parse.Position.Start, 0), len(text))
	line := 1 + bytes.Count(text[:offset], []byte("\n"))
	if strings.Contains(parse.Message, "escape") || strings.Contains(parse.Message, "hexadecimal digits") {
		line = max(line, parse.Position.Line)
	}
	return line
}

// repeatedTables are the tables that a file has many of.
var repeatedTables = []string{"run", "note", "reading", "inspection", "tried", "verification"}

var twiceDefined = regexp.MustCompile(`^Key '(.*)' (?:has already been defined|was already created)`)

// syntaxHints say what to do about the mistakes that people who are new to TOML make most. The complaints are those of
// the decoder in go.mod; one that it words otherwise some day is passed on as it is.
var syntaxHints = []struct {
	complaint  *regexp.Regexp
	what, hint string
}{
	{regexp.MustCompile(`^expected a top-level item to end .* but got (.*) instead$`), "the line should end before %s",
		`write one key = value on a line, text in quotes ("4k7"), and a decimal point, not a comma`},
	{regexp.MustCompile(`^expected value but found ('[“”‘’„]') instead$`), "a value cannot begin with %s", `use straight quotes: "text"`},
	{regexp.MustCompile(`^expected value but found ('\\n'|'\\r'|'#') instead$`), "the key has no value on its line", "write key = value on one line"},
	{regexp.MustCompile(`^expected value but found (.*) instead$`), "a value cannot begin with %s", `put text into quotes: "text"`},
	{regexp.MustCompile(`^unexpected EOF; expected key separator '='$`), "the key ends at the end of the file, where '=' should stand", "write key = value"},
	{regexp.MustCompile(`^unexpected EOF; expected '?["']+'?$`), "the text is not closed", "end it with the quotes that it began with"},
	{regexp.MustCompile(`^unexpected EOF; expected value$`), "the key has no value", "write key = value on one line"},
	{regexp.MustCompile(`^expected '\.' or '=', but got (.*) instead$`), "the key ends at %s, where '=' should stand",
		"write key = value; a key is letters, digits, '-' and '_', or stands in quotes"},
	{regexp.MustCompile(`^expected '\.' or '\]' to end table name, but got (.*) instead$`), "the table's name ends at %s, where ']' should stand",
		"write [device.NAME]; a name is letters, digits, '-' and '_', or stands in quotes"},
	{regexp.MustCompile(`^expected end of table array name delimiter .* but got (.*) instead$`), "']]' should stand in place of %s", "write [[run]] with two brackets at both ends"},
	{regexp.MustCompile(`^expected a comma \(','\) or array terminator \('\]'\), but got (.*)$`), "a comma or ']' is missing before %s",
		"put commas between the values of a list and ] behind the last"},
	{regexp.MustCompile(`^expected a comma or an inline table terminator '\}', but got (.*) instead$`), "a comma or '}' is missing before %s",
		"put commas between the keys of { … } and } behind the last"},
	{regexp.MustCompile(`^unexpected comma$`), "nothing stands between two commas", "remove one of them"},
	{regexp.MustCompile(`^strings cannot contain newlines$`), "the text is not closed on its line", `end it with a quote, or write long text between """ and """`},
	{regexp.MustCompile(`^floats must start with a digit`), "a number cannot begin with a point", "write 0.5, not .5"},
	{regexp.MustCompile(`^Invalid (?:integer|float) "(.*)": cannot have leading zeroes$`), "the number %s begins with a zero too many", `remove it, or write it as text: "05"`},
	{regexp.MustCompile(`^invalid escape in string '(.*)'$`), "%s means nothing in a text", `write \\ for a backslash`},
	{regexp.MustCompile(`^files cannot contain NULL bytes`), "the file is not UTF-8 text", "save it as UTF-8"},
	{regexp.MustCompile(`^invalid UTF-8 byte: (.*)$`), "the byte %s is not UTF-8 text", "save the file as UTF-8"},
}

// endOfLine words what the decoder shows as an escaped character.
func endOfLine(shown string) string {
	switch shown {
	case `'\n'`, `'\r'`:
		return "the end of the line"
	case "end of file":
		return "the end of the file"
	}
	return shown
}
