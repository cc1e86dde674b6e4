package files

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/pelletier/go-toml/v2/unstable"
)

// Number is a value to be written into a circuit file: the words of the table that holds it, such as module, ECU, pins, A12; its key; and
// the value as TOML.
type Number struct {
	Table []string
	Key   string
	Value string
}

// SetNumbers writes numbers into a circuit file, each over what stands there under its key or as a further key of its table; all else
// stays byte for byte. The file is written whole or not at all. usable is as for Remove.
func SetNumbers(path string, numbers []Number, usable Usable) error {
	old, err := readPath(path)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	text := old
	for _, n := range numbers {
		if text, err = n.in(text); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
	}
	return change(path, old, text, usable)
}

// in is a text with the number in it.
func (n Number) in(text []byte) ([]byte, error) {
	var parser unstable.Parser
	parser.Reset(text)
	var table []string
	at := place{}
	for parser.NextExpression() {
		e := parser.Expression()
		if e.Kind == unstable.KeyValue {
			n.find(text, table, e, &at)
			continue
		}
		table = nil
		end := 0
		for it := e.Key(); it.Next(); {
			table = append(table, string(it.Node().Data))
			end = int(it.Node().Raw.Offset + it.Node().Raw.Length)
		}
		if e.Kind == unstable.Table && slices.Equal(table, n.Table) {
			at.header = lineEnd(text, end)
		}
	}
	if parser.Error() != nil {
		return nil, errNoEntry
	}
	put := func(from, to int, words string) []byte {
		return slices.Concat(text[:from], []byte(words), text[to:])
	}
	switch {
	case at.valueEnd > 0:
		return put(at.value, at.valueEnd, n.Value), nil
	case at.inside > 0:
		return put(at.inside, at.inside, ", "+n.Key+" = "+n.Value), nil
	case at.header > 0:
		end := "\n"
		if bytes.Contains(text, []byte("\r\n")) {
			end = "\r\n"
		}
		return put(at.header, at.header, n.Key+" = "+n.Value+end), nil
	}
	return nil, errNoEntry
}

// place is where a number stands, or may be written.
type place struct {
	value, valueEnd int // of the key that is there
	inside          int // behind the last value of an inline table
	header          int // behind the line of a table's header
}

// find looks for the number in a key and its value, which may be an inline table.
func (n Number) find(text []byte, table []string, e *unstable.Node, at *place) {
	path := slices.Clone(table)
	value := 0
	for it := e.Key(); it.Next(); {
		path = append(path, string(it.Node().Data))
		value = int(it.Node().Raw.Offset + it.Node().Raw.Length)
	}
	value += bytes.IndexByte(text[value:], '=') + 1
	value += len(text[value:]) - len(bytes.TrimLeft(text[value:], " \t"))
	if slices.Equal(path, append(slices.Clone(n.Table), n.Key)) {
		at.value, at.valueEnd = value, valueEnd(text, value)
		return
	}
	if e.Value().Kind != unstable.InlineTable {
		return
	}
	last := 0
	for it := e.Value().Children(); it.Next(); {
		n.find(text, path, it.Node(), at)
		for key := it.Node().Key(); key.Next(); {
			last = int(key.Node().Raw.Offset + key.Node().Raw.Length)
		}
	}
	if slices.Equal(path, n.Table) && last > 0 {
		last += bytes.IndexByte(text[last:], '=') + 1
		last += len(text[last:]) - len(bytes.TrimLeft(text[last:], " \t"))
		at.inside = valueEnd(text, last)
	}
}

// valueEnd is behind the value that starts at a place of a text which the parser has taken.
func valueEnd(text []byte, start int) int {
	depth := 0
	quote := byte(0)
	for i := start; i < len(text); i++ {
		switch b := text[i]; {
		case quote != 0:
			if b == '\\' && quote == '"' {
				i++
			} else if b == quote {
				quote = 0
			}
		case b == '"' || b == '\'':
			quote = b
		case b == '[' || b == '{':
			depth++
		case (b == ']' || b == '}') && depth > 0:
			depth--
		case depth == 0 && (b == ',' || b == '}' || b == ']' || b == '\n' || b == '\r' || b == '#'):
			return start + len(bytes.TrimRight(text[start:i], " \t"))
		}
	}
	return start + len(bytes.TrimRight(text[start:], " \t"))
}

// lineEnd is behind the end of the line that holds a place.
func lineEnd(text []byte, at int) int {
	if i := bytes.IndexByte(text[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(text)
}
