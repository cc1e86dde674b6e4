package read

import (
	"strings"
	"testing"
)

// Where a text is not TOML, the line is that on which a reader finds the mistake, at the end of the file and with carriage
// returns too. The decoder itself gives other lines for the cases marked "decoder:".
func TestLinesOfSyntaxErrors(t *testing.T) {
	for _, test := range []struct {
		text string
		line int
		says string
	}{
		{"a = 1\n[device.X\nkind = 1\n", 2, "the table's name ends at the end of the line"}, // decoder: 3
		{"a = 1\n[[run\nk = 1\n", 2, "the table's name ends at the end of the line"},        // decoder: 3
		{"a = 1\nohms =\nb = 1\n", 2, "the key has no value on its line"},
		{"a = 1\nt = \"abc\nb = 1\n", 2, "the text is not closed on its line"},
		{"a = 1\r\nb = \"x\r\nc = 1\r\n", 2, "the text is not closed on its line"}, // decoder: 1
		{"a = 1\nt = \"abc", 2, "the text is not closed"},
		{"a = 1\nt = \"\\", 2, "means nothing in a text"}, // decoder: 1
		{"\"\\", 1, "means nothing in a text"},            // decoder: 0
		{"a = 1\nt = \"\"\"abc\ndef\n\\q\n\"\"\"\n", 4, "\\q means nothing in a text"},
		{"a = 1\npath = [\"a\"\n\"b\"]\n", 3, "a comma or ']' is missing before '\"'"},
		{"a = 1\nt = { a = 1\nb = 2 }\n", 3, "a comma or '}' is missing before 'b'"},
		{"a = 1\nt = [1,\n2,\n", 3, "the key has no value"},
		{"a = 1\nkey\nb = 1\n", 2, "the key ends at the end of the line, where '=' should stand"},
		{"a = 1\n\nb", 3, "the key ends at the end of the file, where '=' should stand"},
		{"[a]\n[b]\n[a]\nx=1\n", 3, "a is given twice"},
		{"a=1\nb=[1,\n2]\n[x]\nb=1\nb=2\n", 6, "x.b is given twice"},
		{"[a.b]\nc=1\n[[a]]\n", 3, "a is given twice"},
		{"a = 1\nb = 12.\nc = 1\n", 2, "not TOML: Invalid float"},
		{"a = 1\nb = 2020-13-45\n", 2, "not TOML: invalid datetime"},
		{"a = 1\nb = \"x\x01\"\n", 2, "not TOML: TOML files cannot contain control characters"},
		{"\xff\xfea\x00=\x001\x00", 1, "the file is not UTF-8 text; save it as UTF-8"},
		{"a = 1\nb = \"\xff\"\n", 2, "is not UTF-8 text; save the file as UTF-8"},
		{"\xef\xbb\xbfa = 1\n[b\n", 2, "the table's name ends"},
	} {
		_, problems := Circuit("x", []byte(test.text))
		if len(problems) != 1 || problems[0].Line != test.line || !strings.Contains(problems.Error(), test.says) {
			t.Errorf("%q\n got %v\nwant line %d, %s", test.text, problems, test.line, test.says)
		}
	}
}
