package read

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"

	"ohmtrail/circuits"
	"ohmtrail/circuits/wording"
	"ohmtrail/models"
)

// decoder collects the problems of one file while cursors walk its tree.
type decoder struct {
	file      string
	positions positions
	problems  circuits.Problems
	misspelt  map[string]bool   // paths of keys that an unknown key was probably meant for
	titles    map[string]string // what messages call an element of a repeated table, by path
}

// cursor stands at one value of the tree. Reading through it reports what is wrong at that value's own line and goes
// on with a default, so that one pass finds every problem.
type cursor struct {
	d     *decoder
	path  string
	value any
}

// decode parses the text; the cursor stands at an empty table where it is not TOML (the problem is noted).
func decode(file string, text []byte) (*decoder, cursor) {
	d := &decoder{file: file, misspelt: map[string]bool{}, titles: map[string]string{}}
	empty := cursor{d: d, value: map[string]any{}}
	text = withoutMark(text)
	if line := tooDeep(text); line > 0 {
		d.problems = append(d.problems, circuits.Problem{File: file, Line: line, What: "brackets are nested too deeply", Hint: "close them"})
		return d, empty
	}
	tree := map[string]any{}
	if _, err := toml.Decode(string(text), &tree); err != nil {
		d.problems = append(d.problems, syntaxProblem(file, text, err))
		return d, empty
	}
	d.positions = findPositions(text)
	return d, cursor{d: d, value: tree}
}

func (c cursor) at() int { return c.d.positions.At(c.path) }

// order ranks the value among all that the file names.
func (c cursor) order() int { return c.d.positions.order(c.path) }

func (c cursor) problem(warning bool, where, what, hint string) {
	c.d.problems = append(c.d.problems, circuits.Problem{File: c.d.file, Line: c.at(), Where: where, What: what, Hint: hint, Warning: warning})
}

// fail notes an error at this value.
func (c cursor) fail(what, hint string) { c.problem(false, c.name(), what, hint) }

// warn notes a warning at this value.
func (c cursor) warn(what, hint string) { c.problem(true, c.name(), what, hint) }

// name is the value's place in the file, in the file's words: `device.MHS.range`, `reading 3: at`, `run "return": path`.
// Indices of inner lists are left out, for the message has its line.
func (c cursor) name() string {
	i := strings.IndexByte(c.path, '[')
	if i < 0 {
		return c.path
	}
	top, rest := c.path[:i], c.path[i:]
	if !slices.Contains(repeatedTables, top) {
		return top + withoutIndices(rest)
	}
	end := strings.IndexByte(rest, ']') + 1
	title, ok := c.d.titles[top+rest[:end]]
	if !ok {
		n, _ := strconv.Atoi(rest[1 : end-1])
		title = fmt.Sprintf("%s %d", top, n+1)
	}
	if inner := strings.TrimPrefix(withoutIndices(rest[end:]), "."); inner != "" {
		return title + ": " + inner
	}
	return title
}

// withoutIndices removes what stands in square brackets.
func withoutIndices(path string) string {
	for {
		i := strings.IndexByte(path, '[')
		if i < 0 {
			return path
		}
		end := strings.IndexByte(path[i:], ']')
		if end < 0 {
			return path[:i]
		}
		path = path[:i] + path[i+end+1:]
	}
}

// first steps to the first of the keys that the table has, or stays where it has none of them.
func (c cursor) first(keys ...string) cursor {
	for _, k := range keys {
		if sub, ok := c.key(k); ok {
			return sub
		}
	}
	return c
}

// key steps to a key of a table; ok is false where the table lacks it.
func (c cursor) key(name string) (cursor, bool) {
	t, _ := c.value.(map[string]any)
	v, ok := t[name]
	return cursor{d: c.d, path: join(c.path, name), value: v}, ok
}

// table checks that the value is a table, and reports keys other than these. It is true for a table with unknown keys
// too: the rest of it can be read on.
func (c cursor) table(keys ...string) bool {
	t, ok := c.value.(map[string]any)
	if !ok {
		c.fail("must be a table, not "+describe(c.value), "")
		return false
	}
	for _, k := range sortedKeys(t) {
		if slices.Contains(keys, k) {
			continue
		}
		sub, _ := c.key(k)
		sub.problem(false, c.name(), fmt.Sprintf("unknown key %q", k), wording.DidYouMean(k, keys))
		if meant := wording.Nearest(k, keys); meant != "" {
			c.d.misspelt[join(c.path, meant)] = true
		}
	}
	return true
}

// lacks tells whether a table has a key neither by its name nor misspelt, so that a misspelt key gives one message.
func (c cursor) lacks(key string) bool {
	sub, ok := c.key(key)
	return !ok && !c.d.misspelt[sub.path]
}

// each walks the entries of a table whose keys are names, in file order.
func (c cursor) each(visit func(name string, entry cursor)) {
	t, ok := c.value.(map[string]any)
	if !ok {
		c.fail("must be a table of names, not "+describe(c.value), "")
		return
	}
	keys := sortedKeys(t)
	sort.SliceStable(keys, func(i, j int) bool {
		a, _ := c.key(keys[i])
		b, _ := c.key(keys[j])
		return a.order() < b.order()
	})
	for _, k := range keys {
		entry, _ := c.key(k)
		visit(k, entry)
	}
}

// list gives the elements of an array; one cursor of the value itself where it is not an array.
func (c cursor) list() []cursor {
	switch v := c.value.(type) {
	case []any:
		out := make([]cursor, len(v))
		for i := range v {
			out[i] = cursor{d: c.d, path: elementPath(c.path, i), value: v[i]}
		}
		return out
	case []map[string]any:
		out := make([]cursor, len(v))
		for i := range v {
			out[i] = cursor{d: c.d, path: elementPath(c.path, i), value: v[i]}
		}
		return out
	}
	return []cursor{c}
}

// isList tells whether the value is an array.
func (c cursor) isList() bool {
	switch c.value.(type) {
	case []any, []map[string]any:
		return true
	}
	return false
}

// text reads a string.
func (c cursor) text() (string, bool) {
	s, ok := c.value.(string)
	if !ok {
		hint := ""
		if n, isNumber := c.value.(int64); isNumber {
			hint = fmt.Sprintf("write \"%d\"", n)
		}
		c.fail("must be text in quotes, not "+describe(c.value), hint)
	}
	return s, ok
}

// number reads a finite number.
func (c cursor) number() (float64, bool) {
	switch v := c.value.(type) {
	case int64:
		return float64(v), true
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			c.fail(fmt.Sprintf("must be a finite number, not %v", v), "")
			return 0, false
		}
		return v, true
	}
	hint := ""
	if s, isText := c.value.(string); isText {
		if _, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64); err == nil {
			hint = "write " + strings.Replace(s, ",", ".", 1) + " without quotes"
		}
	}
	c.fail("must be a number, not "+describe(c.value), hint)
	return 0, false
}

// ohms reads a resistance: a number, or text in the letter code of IEC 60062.
func (c cursor) ohms() (float64, bool) {
	s, isText := c.value.(string)
	if !isText {
		switch c.value.(type) {
		case int64, float64:
			return c.number()
		}
		c.fail("must be ohms, not "+describe(c.value), `write 4700 or "4k7"`)
		return 0, false
	}
	v, err := models.ParseOhms(s)
	if err != nil {
		c.fail(err.Error(), "")
		return 0, false
	}
	return v, true
}

// numberOr reads a number of this table, or the default where the key is absent or wrong.
func (c cursor) numberOr(key string, def float64, b circuits.Bounds) float64 {
	return c.read(key, def, b, cursor.number)
}

// ohmsOr reads a resistance of this table, or the default where the key is absent or wrong.
func (c cursor) ohmsOr(key string, def float64, b circuits.Bounds) float64 {
	return c.read(key, def, b, cursor.ohms)
}

func (c cursor) read(key string, def float64, b circuits.Bounds, take func(cursor) (float64, bool)) float64 {
	sub, ok := c.key(key)
	if !ok {
		return def
	}
	v, ok := take(sub)
	if !ok {
		return def
	}
	if !b.Holds(v) {
		sub.fail(fmt.Sprintf("%g is impossible here", v), "give a value "+b.String())
		return def
	}
	return v
}

func (c cursor) textOr(key, def string) string {
	if sub, ok := c.key(key); ok {
		if s, ok := sub.text(); ok {
			return s
		}
	}
	return def
}

func (c cursor) boolOr(key string, def bool) bool {
	sub, ok := c.key(key)
	if !ok {
		return def
	}
	b, ok := sub.value.(bool)
	if !ok {
		sub.fail("must be true or false without quotes, not "+describe(sub.value), "")
		return def
	}
	return b
}

// pairOr reads [low, high] in rising order.
func (c cursor) pairOr(key string, def [2]float64) [2]float64 {
	sub, ok := c.key(key)
	if !ok {
		return def
	}
	l := sub.list()
	if !sub.isList() || len(l) != 2 {
		sub.fail("must be two numbers, not "+describe(sub.value), "write "+key+" = [low, high]")
		return def
	}
	low, okLow := l[0].number()
	high, okHigh := l[1].number()
	if !okLow || !okHigh {
		return def
	}
	switch {
	case low > high:
		sub.fail(fmt.Sprintf("[%g, %g] is in falling order", low, high), "write the lower number first")
		return def
	case low == high:
		sub.fail(fmt.Sprintf("[%g, %g] has no width", low, high), "give two different numbers")
		return def
	}
	return [2]float64{low, high}
}

func describe(v any) string {
	switch v := v.(type) {
	case string:
		return fmt.Sprintf("the text %q", v)
	case bool:
		return fmt.Sprintf("%v", v)
	case int64, float64:
		return fmt.Sprintf("the number %v", v)
	case []any:
		return fmt.Sprintf("a list of %d", len(v))
	case []map[string]any:
		return fmt.Sprintf("a list of %d", len(v))
	case map[string]any:
		return "a table"
	}
	return "a date"
}

func sortedKeys(t map[string]any) []string {
	keys := make([]string, 0, len(t))
	for k := range t {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
