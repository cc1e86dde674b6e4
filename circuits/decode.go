package circuits

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"

	"ohmtrail/models"
)

// decoder collects the problems of one file while cursors walk its tree.
type decoder struct {
	file      string
	positions positions
	problems  Problems
}

// cursor stands at one value of the tree. Reading through it reports what is wrong at that value's own line and goes
// on with a default, so that one pass finds every problem.
type cursor struct {
	d     *decoder
	path  string
	value any
}

// decode parses the text; nil where it is not TOML (the problem is noted).
func decode(file string, text []byte) (*decoder, cursor) {
	d := &decoder{file: file}
	tree := map[string]any{}
	if _, err := toml.Decode(string(text), &tree); err != nil {
		p := Problem{File: file, What: err.Error()}
		var parse toml.ParseError
		if errors.As(err, &parse) {
			p.Line, p.What = parse.Position.Line, strings.TrimSuffix(parse.Message, ".")
			if p.What == "" {
				p.What = strings.TrimPrefix(parse.Error(), "toml: ")
			}
		}
		d.problems = append(d.problems, p)
		return d, cursor{d: d, value: map[string]any{}}
	}
	d.positions = findPositions(text)
	return d, cursor{d: d, value: tree}
}

func (c cursor) at() int { return c.d.positions.at(c.path) }

func (c cursor) problem(warning bool, where, what, hint string) {
	c.d.problems = append(c.d.problems, Problem{File: c.d.file, Line: c.at(), Where: where, What: what, Hint: hint, Warning: warning})
}

// fail notes an error at this value.
func (c cursor) fail(what, hint string) { c.problem(false, c.name(), what, hint) }

// warn notes a warning at this value.
func (c cursor) warn(what, hint string) { c.problem(true, c.name(), what, hint) }

// name is the value's place in the file, in the file's words: `device.MHS: range`.
func (c cursor) name() string {
	return c.path
}

// key steps to a key of a table; ok is false where the table lacks it.
func (c cursor) key(name string) (cursor, bool) {
	t, _ := c.value.(map[string]any)
	v, ok := t[name]
	return cursor{d: c.d, path: join(c.path, name), value: v}, ok
}

// table checks that the value is a table and that it has no other keys than these.
func (c cursor) table(keys ...string) bool {
	t, ok := c.value.(map[string]any)
	if !ok {
		c.fail("must be a table, not "+describe(c.value), "")
		return false
	}
	for _, k := range sortedKeys(t) {
		if !contains(keys, k) {
			sub, _ := c.key(k)
			sub.problem(false, c.name(), fmt.Sprintf("unknown key %q", k), didYouMean(k, keys))
		}
	}
	return true
}

// each walks the entries of a table whose keys are names, in file order.
func (c cursor) each(visit func(name string, entry cursor)) {
	t, ok := c.value.(map[string]any)
	if !ok {
		c.fail("must be a table, not "+describe(c.value), "")
		return
	}
	keys := sortedKeys(t)
	sort.SliceStable(keys, func(i, j int) bool {
		a, _ := c.key(keys[i])
		b, _ := c.key(keys[j])
		return a.at() < b.at()
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
			out[i] = cursor{d: c.d, path: fmt.Sprintf("%s[%d]", c.path, i), value: v[i]}
		}
		return out
	case []map[string]any:
		out := make([]cursor, len(v))
		for i := range v {
			out[i] = cursor{d: c.d, path: fmt.Sprintf("%s[%d]", c.path, i), value: v[i]}
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
		c.fail("must be text in quotes, not "+describe(c.value), "")
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
			c.fail("must be a finite number", "")
			return 0, false
		}
		return v, true
	}
	c.fail("must be a number, not "+describe(c.value), "")
	return 0, false
}

// ohms reads a resistance: a number, or text in the letter code of IEC 60062.
func (c cursor) ohms() (float64, bool) {
	s, isText := c.value.(string)
	if !isText {
		return c.number()
	}
	v, err := models.ParseOhms(s)
	if err != nil {
		c.fail(err.Error(), "")
		return 0, false
	}
	return v, true
}

// bounds limit a number; the words say them in a message.
type bounds struct {
	low, high float64
	openLow   bool // low itself is not allowed
}

var (
	anyNumber   = bounds{math.Inf(-1), math.Inf(1), false}
	notNegative = bounds{0, math.Inf(1), false}
	positive    = bounds{0, math.Inf(1), true}
	percent     = bounds{0, 100, false}
	share       = bounds{0, 1, false}
)

func (b bounds) holds(v float64) bool {
	return v >= b.low && v <= b.high && !(b.openLow && v == b.low)
}

func (b bounds) String() string {
	switch {
	case b.openLow && math.IsInf(b.high, 1):
		return fmt.Sprintf("greater than %g", b.low)
	case math.IsInf(b.high, 1):
		return fmt.Sprintf("%g or more", b.low)
	case b.openLow:
		return fmt.Sprintf("above %g and up to %g", b.low, b.high)
	}
	return fmt.Sprintf("between %g and %g", b.low, b.high)
}

// numberOr reads a number of this table, or the default where the key is absent or wrong.
func (c cursor) numberOr(key string, def float64, b bounds) float64 {
	return c.read(key, def, b, cursor.number)
}

// ohmsOr reads a resistance of this table, or the default where the key is absent or wrong.
func (c cursor) ohmsOr(key string, def float64, b bounds) float64 {
	return c.read(key, def, b, cursor.ohms)
}

func (c cursor) read(key string, def float64, b bounds, take func(cursor) (float64, bool)) float64 {
	sub, ok := c.key(key)
	if !ok {
		return def
	}
	v, ok := take(sub)
	if !ok {
		return def
	}
	if !b.holds(v) {
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
		sub.fail("must be true or false, not "+describe(sub.value), "")
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
		sub.fail("must be two numbers, [low, high]", "")
		return def
	}
	low, okLow := l[0].number()
	high, okHigh := l[1].number()
	if !okLow || !okHigh {
		return def
	}
	if low >= high {
		sub.fail(fmt.Sprintf("[%g, %g] is empty", low, high), "write the lower number first")
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
	case []any, []map[string]any:
		return "a list"
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

func contains(list []string, s string) bool {
	for _, l := range list {
		if l == s {
			return true
		}
	}
	return false
}
