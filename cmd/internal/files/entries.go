package files

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"ohmtrail/circuits"
	"ohmtrail/cmd/internal/draft/circuittext"
)

// errNoEntry says that a file's text is laid out in a way in which its entries cannot be told apart safely.
var errNoEntry = errors.New("this entry cannot be changed from here without touching the rest of the file; edit the file by hand")

// Remove takes the index-th [[name]] ("reading", "inspection") out of a job file and gives the text that was removed. All
// else stays byte for byte, comments in front of the entry too. usable must hold the text against what it should say
// without the entry: where it is not usable the file stays as it is.
func Remove(path, name string, index int, usable Usable) (removed string, err error) {
	old, err := readPath(path)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, err)
	}
	e, err := entryAt(old, name, index)
	if err != nil {
		return "", fmt.Errorf("%s: %w", path, err)
	}
	start := e.start
	if before := bytes.TrimSuffix(bytes.TrimSuffix(old[:start], []byte("\n")), []byte("\r")); len(before) < start && endsLine(before) && blankFollows(old[e.end:]) {
		start = len(before) // the blank line that parts it from what stands before
	}
	removed = string(old[e.start:e.end])
	return removed, change(path, old, slices.Concat(old[:start], old[e.end:]), usable)
}

// SetReading writes a reading's value and note into the index-th [[reading]] of a job file, where it holds others or, of
// a planned reading, none. Only the text of these two values is touched. usable is as for Remove.
func SetReading(path string, index int, r circuits.Reading, usable Usable) error {
	old, err := readPath(path)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	e, err := entryAt(old, "reading", index)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	value := ""
	if r.Taken {
		value = valueText(r)
	}
	note := ""
	if r.Note != "" {
		note = circuittext.Quote(r.Note)
	}
	text := e.set(old, "note", note)
	if e, err = entryAt(text, "reading", index); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return change(path, old, e.set(text, string(r.Quantity), value), usable)
}

// InspectionBlock is an inspection as a job file has it.
func InspectionBlock(i circuits.Inspection) string {
	return "[[inspection]]\nat = " + circuittext.Quote(i.At.String()) + "\nseen = " + circuittext.Quote(i.Seen) + "\n"
}

func endsLine(text []byte) bool { return len(text) == 0 || text[len(text)-1] == '\n' }

// blankFollows tells whether a text begins with a blank line, or is at its end.
func blankFollows(text []byte) bool {
	line, _, _ := bytes.Cut(text, []byte("\n"))
	return len(bytes.TrimSpace(line)) == 0
}

// entry is one [[name]] of a text: whole lines from its header to the last line that says something of it.
type entry struct {
	start, end int
	keys       map[string]span // the plain keys of the entry itself, not of its sub-tables
	first      int             // where a further key may be written: behind `at`, else behind the header
}

// span is a key's whole lines, and the bytes of its value where it is one plain value.
type span struct{ start, end, valueStart, valueEnd int }

// entryAt finds an entry by a walk over the syntax tree; a text that is not TOML has none.
func entryAt(text []byte, name string, index int) (entry, error) {
	var (
		parser unstable.Parser
		marks  []mark
	)
	parser.Reset(text)
	for parser.NextExpression() {
		marks = append(marks, markOf(text, parser.Expression()))
	}
	if parser.Error() != nil {
		return entry{}, errNoEntry
	}
	for i, m := range marks {
		if m.header != "[["+name+"]]" {
			continue
		}
		if index--; index >= 0 {
			continue
		}
		return entryFrom(text, marks[i:], name), nil
	}
	return entry{}, errNoEntry
}

// mark is one expression of a text: where its line starts, and what it is.
type mark struct {
	start                int
	header               string // "[[reading]]", "[reading.set]"; "" for a key
	key                  string // a key of one word; "" for a dotted one
	valueStart, valueEnd int
}

func markOf(text []byte, e *unstable.Node) mark {
	var m mark
	var words []string
	it := e.Key()
	for first := true; it.Next(); first = false {
		if first {
			m.start = lineStart(text, int(it.Node().Raw.Offset))
		}
		words = append(words, string(it.Node().Data))
	}
	switch e.Kind {
	case unstable.ArrayTable:
		m.header = "[[" + strings.Join(words, ".") + "]]"
	case unstable.Table:
		m.header = "[" + strings.Join(words, ".") + "]"
	case unstable.KeyValue:
		if len(words) == 1 {
			m.key = words[0]
		}
		if raw := e.Value().Raw; raw.Length > 0 {
			m.valueStart, m.valueEnd = int(raw.Offset), int(raw.Offset+raw.Length)
		}
	}
	return m
}

func lineStart(text []byte, at int) int { return bytes.LastIndexByte(text[:at], '\n') + 1 }

// entryFrom gathers the entry whose header is the first of the marks.
func entryFrom(text []byte, marks []mark, name string) entry {
	e := entry{start: marks[0].start, keys: map[string]span{}}
	endOf := func(i int) int {
		next := len(text)
		if i+1 < len(marks) {
			next = marks[i+1].start
		}
		return trimmedEnd(text, marks[i].start, next)
	}
	e.first, e.end = endOf(0), endOf(0)
	own := true
	for i := 1; i < len(marks); i++ {
		m := marks[i]
		if m.header != "" {
			if !strings.HasPrefix(strings.Trim(m.header, "[]"), name+".") {
				break
			}
			own = false
		}
		e.end = endOf(i)
		if own && m.key != "" {
			e.keys[m.key] = span{m.start, e.end, m.valueStart, m.valueEnd}
			if m.key == "at" {
				e.first = e.end
			}
		}
	}
	return e
}

// trimmedEnd is the end of the last line before next that is neither blank nor a comment: no value ends in such a line.
func trimmedEnd(text []byte, start, next int) int {
	end := next
	for end > start {
		from := lineStart(text, end-1)
		line := bytes.TrimSpace(text[from:end])
		if from <= start || len(line) > 0 && line[0] != '#' {
			break
		}
		end = from
	}
	return end
}

// set gives the text with a key's value written anew, taken away where value is "", or added.
func (e entry) set(text []byte, key, value string) []byte {
	at, there := e.keys[key]
	switch {
	case there && value == "":
		return slices.Concat(text[:at.start], text[at.end:])
	case there && at.valueEnd > 0:
		return slices.Concat(text[:at.valueStart], []byte(value), text[at.valueEnd:])
	case value == "":
		return text
	}
	end := "\n"
	if bytes.Contains(text, []byte("\r\n")) {
		end = "\r\n"
	}
	line := key + " = " + value + end
	if there {
		return slices.Concat(text[:at.start], []byte(line), text[at.end:])
	}
	if !endsLine(text[:e.first]) {
		line = end + strings.TrimSuffix(line, end)
	}
	return slices.Concat(text[:e.first], []byte(line), text[e.first:])
}
