// Package phrase reads the words of a paper from a file of texts by key and fills them in, so that all its words stand in one
// place: to translate a paper, translate its file.
package phrase

import (
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"
)

// Book is texts by key, such as "first.proven".
type Book map[string]string

// Read reads a compiled-in file of texts; tables become the first words of keys. A mistake in it is ours.
func Read(text string) Book {
	tree := map[string]any{}
	if _, err := toml.Decode(text, &tree); err != nil {
		panic("the file of words: " + err.Error())
	}
	b := Book{}
	b.flatten("", tree)
	return b
}

func (b Book) flatten(prefix string, tree map[string]any) {
	for k, v := range tree {
		switch v := v.(type) {
		case string:
			b[prefix+k] = v
		case map[string]any:
			b.flatten(prefix+k+".", v)
		}
	}
}

// Say fills a text in: Say("first.proven", "fault", name, …). What is filled in is never searched for names again.
func (b Book) Say(key string, pairs ...string) string {
	text, ok := b[key]
	if !ok {
		panic("the file of words lacks " + key) // our mistake: a test holds keys and text against each other
	}
	var replace []string
	for i := 0; i+1 < len(pairs); i += 2 {
		replace = append(replace, "{"+pairs[i]+"}", pairs[i+1])
	}
	return strings.NewReplacer(replace...).Replace(text)
}

// Joined joins a list by a key such as "and": "a, b and c".
func (b Book) Joined(key string, items []string) string {
	n := len(items)
	if n < 2 {
		return strings.Join(items, "")
	}
	return b.Say(key, "list", strings.Join(items[:n-1], ", "), "last", items[n-1])
}

// Counted says how many of a thing there are; one and many are keys.
func (b Book) Counted(n int, one, many string) string {
	if n == 1 {
		return b.Say(one)
	}
	return b.Say(many, "n", strconv.Itoa(n))
}
