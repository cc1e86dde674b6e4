package read

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// positions finds the line of every key and array element of a TOML text, by a path with indices such as
// `run[2].path[1]`, and the order in which the text names them. The decoder we use keeps positions by dotted key
// without indices, so inside repeated tables it knows only the last table's lines; this walk over the syntax tree
// serves messages and the order of names only.
type positions struct {
	lines  map[string]int // where a path is met first
	orders map[string]int // 0 for the first path of the text, 1 for the next, …
	starts []int          // offset of the start of each line
}

// findPositions indexes a text that the decoder has accepted already.
func findPositions(text []byte) positions {
	p := positions{lines: map[string]int{}, orders: map[string]int{}, starts: []int{0}}
	p.note("", 1)
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

// header notes a [table] or [[table]] and gives the path under which its keys stand. counts holds how many elements
// each array of tables has so far, by the array's own path; that path holds the indices of the arrays around it, so a
// new element begins its nested arrays anew by itself.
func (p *positions) header(e *unstable.Node, counts map[string]int) string {
	path := ""
	it := e.Key()
	for it.Next() {
		n := it.Node()
		path = join(path, string(n.Data))
		line := p.line(n)
		if it.IsLast() && e.Kind == unstable.ArrayTable {
			counts[path]++
		}
		p.note(path, line)
		if n := counts[path]; n > 0 {
			path = elementPath(path, n-1)
			p.note(path, line)
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
		for i := 0; it.Next(); i++ {
			if it.Node().Raw.Length > 0 {
				line = p.line(it.Node())
			} else if inner := firstRaw(it.Node()); inner != nil {
				line = p.line(inner)
			}
			sub := elementPath(path, i)
			p.note(sub, line)
			p.value(sub, line, it.Node())
		}
	case unstable.InlineTable:
		it := v.Children()
		for it.Next() {
			p.keyValue(path, it.Node())
		}
	}
}

// firstRaw is the first node below n that knows its bytes: an array of the syntax tree does not.
func firstRaw(n *unstable.Node) *unstable.Node {
	it := n.Children()
	for it.Next() {
		c := it.Node()
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
		p.lines[path], p.orders[path] = line, len(p.orders)
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

// At is the line of a path, or of the nearest enclosing one that is known.
func (p positions) At(path string) int {
	if line, ok := p.lines[p.known(path)]; ok {
		return line
	}
	return 1
}

// Has tells whether the text names a path.
func (p positions) Has(path string) bool {
	_, ok := p.lines[path]
	return ok
}

// order is the place of a path among all that the text names; that of the nearest enclosing one where it is unknown.
func (p positions) order(path string) int { return p.orders[p.known(path)] }

// known is the path itself, or the nearest enclosing one that the text names.
func (p positions) known(path string) string {
	for {
		i := strings.LastIndexAny(path, ".[")
		if _, ok := p.lines[path]; ok || i < 0 {
			return path
		}
		path = path[:i]
	}
}

// join is the path of a key of a table. A key that holds what paths are punctuated with is quoted, so that
// pins."A.1" and pins.A.1 stay two paths.
func join(path, key string) string {
	if key == "" || strings.ContainsAny(key, `.[]"`) {
		key = strconv.Quote(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// elementPath is the path of an array's element.
func elementPath(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }
