package circuits

import (
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// positions finds the line of every key and array element of a TOML text, by a path with indices such as
// `run[2].path[1]`. The decoder we use keeps positions by dotted key without indices, so inside repeated tables it
// knows only the last table's lines; this walk over the syntax tree serves messages only.
type positions struct {
	lines  map[string]int
	starts []int // offset of the start of each line
}

// findPositions indexes a text that the decoder has accepted already.
func findPositions(text []byte) positions {
	p := positions{lines: map[string]int{"": 1}, starts: []int{0}}
	for i, b := range text {
		if b == '\n' {
			p.starts = append(p.starts, i+1)
		}
	}
	var parser unstable.Parser
	parser.Reset(text)
	prefix := ""
	counts := map[string]int{}
	for parser.NextExpression() {
		e := parser.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			prefix = p.header(e, counts)
		case unstable.KeyValue:
			p.keyValue(prefix, e)
		}
	}
	return p
}

// header notes a [table] or [[table]] and gives the path under which its keys stand.
func (p *positions) header(e *unstable.Node, counts map[string]int) string {
	path := ""
	line := 0
	it := e.Key()
	for it.Next() {
		n := it.Node()
		path = join(path, string(n.Data))
		line = p.line(n)
		if it.IsLast() && e.Kind == unstable.ArrayTable {
			i := counts[path]
			counts[path]++
			p.note(path, line)
			path = fmt.Sprintf("%s[%d]", path, i)
		} else if n := counts[path]; n > 0 {
			path = fmt.Sprintf("%s[%d]", path, n-1)
		}
		p.note(path, line)
	}
	if e.Kind == unstable.ArrayTable {
		for k := range counts { // a new element begins its nested arrays anew
			if strings.HasPrefix(k, path+".") {
				delete(counts, k)
			}
		}
	}
	return path
}

func (p *positions) keyValue(prefix string, e *unstable.Node) {
	path, line := prefix, 0
	it := e.Key()
	for it.Next() {
		path = join(path, string(it.Node().Data))
		line = p.line(it.Node())
		p.note(path, line)
	}
	p.value(path, line, e.Value())
}

func (p *positions) value(path string, line int, v *unstable.Node) {
	switch v.Kind {
	case unstable.Array:
		it := v.Children()
		for i := 0; it.Next(); {
			if it.Node().Kind == unstable.Comment {
				continue
			}
			element := fmt.Sprintf("%s[%d]", path, i)
			if it.Node().Raw.Length > 0 {
				line = p.line(it.Node())
			} else if inner := firstRaw(it.Node()); inner != nil {
				line = p.line(inner)
			}
			p.note(element, line)
			p.value(element, line, it.Node())
			i++
		}
	case unstable.InlineTable:
		it := v.Children()
		for it.Next() {
			if it.Node().Kind == unstable.KeyValue {
				p.keyValue(path, it.Node())
			}
		}
	}
}

// firstRaw is the first node below n that knows its bytes.
func firstRaw(n *unstable.Node) *unstable.Node {
	it := n.Children()
	for it.Next() {
		c := it.Node()
		if c.Kind == unstable.KeyValue {
			k := c.Key()
			if k.Next() {
				return k.Node()
			}
		}
		if c.Raw.Length > 0 {
			return c
		}
		if inner := firstRaw(c); inner != nil {
			return inner
		}
	}
	return nil
}

func (p *positions) note(path string, line int) {
	if _, seen := p.lines[path]; !seen {
		p.lines[path] = line
	}
}

func (p *positions) line(n *unstable.Node) int {
	offset := int(n.Raw.Offset)
	low, high := 0, len(p.starts)
	for high-low > 1 {
		if mid := (low + high) / 2; p.starts[mid] <= offset {
			low = mid
		} else {
			high = mid
		}
	}
	return low + 1
}

// at is the line of a path, or of the nearest enclosing one that is known.
func (p positions) at(path string) int {
	for {
		if line, ok := p.lines[path]; ok {
			return line
		}
		i := strings.LastIndexAny(path, ".[")
		if i < 0 {
			return 1
		}
		path = path[:i]
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
